"""How does the room answer? Judged from the take itself, where a note ends and nothing follows at once.

When a note ends, what came straight from the bell ends with it, and what the room had stored dies away. As energy
in short steps, a note's end is

    steady level · ((1 - r) · release(t) + r · e^(-13.8 t / decay)) + noise

with the share r of the room, the time in which it falls by 60 dB, and a player's release that is quick or slow. All
ends in a take are fitted over one grid of shares and decays; for each end its own moment and release are the best
there are, and its share may lie some decibels off, since the room answers each pitch differently.
"""

import math

import numpy as np
from numpy.typing import NDArray

from slurwright.listen.figure import Figure, Hidden, Measured, Veil
from slurwright.listen.followed import Following
from slurwright.listen.measures import Room
from slurwright.listen.room_ends import NoteEnd, ends_of
from slurwright.listen.sound import Sound
from slurwright.listen.track import PitchTrack

__all__ = ["room_of"]

Real = NDArray[np.float64]

_DECAYS_S = np.geomspace(0.12, 2.5, 16)
_DIRECT_DB = np.arange(-8.0, 31.0, 2.0)
_RELEASES_S = (0.02, 0.06, 0.14)
_START_STEP_S = 0.012
_SPREAD_DB = 2.8
"""So differently does a room answer single notes."""
_SCATTER_DB = 2.8
"""Energy of a few harmonics in a dying room, about the mean."""
_LIKE = 2.0
"""So many steps in a row err alike."""
_WORST_DB = 8.0
"""A step that is further off tells of something else: a valve, a chair, the next breath."""
_HEARD_DB = 22.0
"""A room that adds less than this is not heard."""
_FIVE, _NINETY_FIVE = 0.05, 0.95
_BIAS_DB = 2.5
"""The best moment and release of each end take some of the direct sound's fall for the room's; fitted on made-up
takes."""


def room_of(sound: Sound, track: PitchTrack, following: Following) -> Room:
    """Judge the room's decay and how much of it the recording holds.

    Args:
        sound: the take.
        track: its coarse pitch.
        following: which notes sounded when.

    Returns:
        Decay and direct level with their intervals; hidden where no note ends in the open, or no room is heard.
    """
    chances = np.zeros((len(_DECAYS_S), len(_DIRECT_DB)))
    count = 0
    for end in ends_of(sound, track, following):
        chances += _chances(end)
        count += 1
    if not count:
        return Room(Hidden(Veil.UNHEARD), Hidden(Veil.UNHEARD))
    weights = np.exp(chances - chances.max())
    weights /= weights.sum()
    direct = _figure(_DIRECT_DB + _BIAS_DB, weights.sum(axis=0))
    if direct.value > _HEARD_DB:
        return Room(Hidden(Veil.SOFT), direct)
    return Room(_decay(weights), direct)


def _decay(weights: Real) -> Measured:
    logs = _figure(np.log(_DECAYS_S), weights.sum(axis=1))
    if logs.high - logs.low > math.log(6.0):
        return Hidden(Veil.SOFT)
    return Figure(math.exp(logs.value), math.exp(logs.low), math.exp(logs.high))


def _figure(values: Real, weights: Real) -> Figure:
    """Median and interval of a distribution on a grid of equal steps."""
    step = float(values[1] - values[0])
    edges = np.append(values - step / 2, values[-1] + step / 2)
    below = np.append(0.0, np.cumsum(weights) / weights.sum())
    low, middle, high = np.interp((_FIVE, 0.5, _NINETY_FIVE), below, edges)
    return Figure(float(middle), float(low), float(high))


def _chances(end: NoteEnd) -> Real:
    """Log likelihood of every decay and direct level, shape=(decays, levels)."""
    times = end.times_s
    observed = 10.0 * np.log10(end.energy)
    best = np.full((len(_DECAYS_S), len(_DIRECT_DB)), np.inf)
    share = 1.0 / (1.0 + 10.0 ** (_DIRECT_DB / 10.0))
    stored = 1.0 - np.exp(-13.8155 * end.length_s / _DECAYS_S)
    shares = share[None, :] * stored[:, None]
    shares /= shares + (1.0 - share)[None, :]
    for start in np.arange(times[0] + 0.01, end.latest_s, _START_STEP_S):
        since = np.maximum(times - start, 0.0)
        dying = np.exp(-13.8155 * since / _DECAYS_S[:, None])
        for release in _RELEASES_S:
            direct = np.square(0.5 + 0.5 * np.cos(np.pi * np.clip(since / release, 0.0, 1.0)))
            model = direct + shares[:, :, None] * (dying[:, None, :] - direct)
            off = observed - 10.0 * np.log10(end.steady * model + end.noise)
            np.minimum(best, np.square(np.clip(off, -_WORST_DB, _WORST_DB)).sum(axis=2), out=best)
    chances = -best / (2.0 * _LIKE * _SCATTER_DB**2)
    return _spread(chances)


def _spread(chances: Real) -> Real:
    """Let an end's own share lie off that of the room."""
    off = (_DIRECT_DB[:, None] - _DIRECT_DB[None, :]) / _SPREAD_DB
    kernel = np.exp(-0.5 * np.square(off))
    kernel /= kernel.sum(axis=0)
    peak = chances.max()
    return np.asarray(peak + np.log(np.exp(chances - peak) @ kernel + 1e-12))
