"""How high is the whole take tuned, and in which octave is it played? Said by which pitches are heard at all."""

import numpy as np
from numpy.typing import NDArray

from slurwright.listen.following_evidence import mismatch
from slurwright.listen.following_segments import Segments

__all__ = ["tunings_of"]

_MOST_CENTS = 105
_STEP_CENTS = 5
_OCTAVES = (0, -1, 1)
_APART = 0.6
"""Two tunings nearer than this would lead to the same path [semitones]."""
_MOST_TUNINGS = 3
_WORTH = 0.8
"""A tuning is tried if it explains this part of what the best one does."""
_GRID = 20.0
"""Steps to a semitone in which pitches are counted."""
_MOST_S = 0.6
"""A longer sound counts no more."""
_UNLIKELY_SD = 1.0
_UNLIKELY_OCTAVE = 0.12


def tunings_of(segments: Segments, asked: NDArray[np.float64], length_s: NDArray[np.float64]) -> tuple[float, ...]:
    """List the offsets of the whole take from the part that are worth trying, likeliest first.

    An offset explains a steady segment if some asked pitch, moved by it, lies near; common asked pitches count more.

    Args:
        segments: the take, cut.
        asked: pitches of the part; shape=(notes,) [semitones].
        length_s: how long the notes are; shape=(notes,) [s].

    Returns:
        Offsets, octaves counted in [semitones].
    """
    steady = segments.heard_s - segments.unsteady_s
    sounding = steady > 0.06
    if not sounding.any():
        return (0.0,)
    heard, which_heard = np.unique(np.round(segments.semitones[sounding] * _GRID) / _GRID, return_inverse=True)
    weight = np.bincount(which_heard, np.minimum(steady[sounding], _MOST_S))
    weight = weight / weight.sum()
    pitches, which = np.unique(np.round(asked * _GRID) / _GRID, return_inverse=True)
    share = np.bincount(which, np.minimum(length_s, 1.0))
    worth = 1.0 + 0.5 * np.sqrt(share / share.max())
    fine = np.arange(-_MOST_CENTS, _MOST_CENTS + 1, _STEP_CENTS) / 100.0
    offsets = np.concatenate([12.0 * octave + fine for octave in _OCTAVES])
    away = np.abs(heard[:, None, None] - pitches[None, :, None] - offsets)
    near = (1.0 - mismatch(away)) * (1.0 - 0.3 * np.minimum(away / 0.35, 1.0) ** 2) * worth[None, :, None]
    explained = weight @ near.max(axis=1)
    octave = np.repeat(np.arange(len(_OCTAVES)) > 0, len(fine))
    within = offsets - 12.0 * np.repeat(_OCTAVES, len(fine))
    score = explained - 0.05 * np.square(within / _UNLIKELY_SD) - _UNLIKELY_OCTAVE * octave
    found: list[float] = []
    for at in np.argsort(-score, kind="stable"):
        if len(found) == _MOST_TUNINGS or score[at] < _WORTH * score.max():
            break
        if all(abs(offsets[at] - other) >= _APART for other in found):
            found.append(float(offsets[at]))
    return tuple(found)
