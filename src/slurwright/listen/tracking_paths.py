"""Which of the possible pitches of each frame hang together? The cheapest path through them.

All stretches of a block are searched at the same time, step by step, each with a run-in on both sides after which its
path no longer depends on where the search began.
"""

import numpy as np
from numpy.typing import NDArray

__all__ = ["NONE_HEARD", "best_path"]

NONE_HEARD = 0.0
"""Stands in a track where there is no pitch [Hz]."""

_KEPT = 5
"""How many candidates of a frame are looked at."""
_STRETCH = 48
_RUN_IN = 32
_UNVOICED = 0.5
"""A pitch less like itself than this is not one."""
_SHORTEST = 0.02
"""How much likeness an octave less of pitch must bring."""
_LEAP = 0.25
"""Cost of a leap by an octave, and the most that any leap costs."""
_LEAP_MOST = 0.3
_TURN = 0.12
"""Cost of starting or ending a pitch."""
_REFERENCE_HZ = 1600.0

Floats = NDArray[np.float32]


def best_path(hz: Floats, likeness: Floats) -> tuple[Floats, Floats]:
    """Choose one pitch a frame, or none.

    Args:
        hz: candidates, 0 for none, shape=(frames, candidates) [Hz].
        likeness: of each to itself one period later, shape=(frames, candidates) [1].

    Returns:
        Pitch, 0 where there is none, and likeness, each shape=(frames,).
    """
    frames = len(hz)
    with np.errstate(divide="ignore"):
        octave = np.where(hz > 0, np.log2(hz / _REFERENCE_HZ), -20).astype(np.float32)
    score = np.where(hz > 0, likeness + _SHORTEST * octave, np.float32(-9))
    order = np.argsort(-score, axis=1, kind="stable")[:, :_KEPT]
    octave, score = np.take_along_axis(octave, order, 1), np.take_along_axis(score, order, 1)
    silent = np.full((frames, 1), _UNVOICED, np.float32)
    octave = np.concatenate((octave, np.zeros_like(silent)), axis=1)
    score = np.concatenate((score, silent), axis=1)
    chosen = _search(octave, score)
    rows = np.arange(frames)
    heard = chosen < _KEPT
    column = order[rows, np.where(heard, chosen, 0)]
    strength = np.clip(likeness[rows, column], 0, 1)
    return np.where(heard, hz[rows, column], np.float32(NONE_HEARD)), strength


def _search(octave: Floats, score: Floats) -> NDArray[np.intp]:
    """Find the state of every frame; the last state is "no pitch"."""
    frames, states = score.shape
    count = -(-frames // _STRETCH)
    span = _STRETCH + 2 * _RUN_IN
    places = np.arange(count)[:, None] * _STRETCH + np.arange(span) - _RUN_IN
    inside = (places >= 0) & (places < frames)
    places = np.clip(places, 0, frames - 1)
    gains = np.where(inside[..., None], score[places], np.float32(0))
    octaves = octave[places]
    total = gains[:, 0]
    came_from = np.zeros((span, count, states), np.int8)
    for at in range(1, span):
        ways = total[:, :, None] - _leaps(octaves[:, at - 1], octaves[:, at])
        came = np.argmax(ways, axis=1)
        came_from[at] = came
        total = np.take_along_axis(ways, came[:, None], 1)[:, 0] + gains[:, at]
    state = np.argmax(total, axis=1)
    path = np.empty((count, span), np.intp)
    rows = np.arange(count)
    for at in range(span - 1, -1, -1):
        path[:, at] = state
        state = came_from[at, rows, state].astype(np.intp)
    return path[:, _RUN_IN : _RUN_IN + _STRETCH].ravel()[:frames]


def _leaps(before: Floats, after: Floats) -> Floats:
    """Cost of going from each state to each, shape=(stretches, from, to)."""
    cost: Floats = np.minimum(_LEAP * np.abs(before[:, :, None] - after[:, None, :]), np.float32(_LEAP_MOST))
    cost[:, -1, :] = _TURN
    cost[:, :, -1] = _TURN
    cost[:, -1, -1] = 0
    return cost
