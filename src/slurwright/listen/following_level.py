"""Where the level of a sound dips and rises again, finely in time.

The track is too coarse to show a tongue that touches a note for thirty milliseconds. Here the power is averaged over
one period of the pitch that sounds (so that a low note does not ripple) every two milliseconds, once for the sound
itself and once for its slope, where the high harmonics weigh more: a player's tongue takes those away first.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from slurwright.listen.sound import Samples, Sound
from slurwright.listen.track import PitchTrack

__all__ = ["Dips", "dips_of", "fine_levels"]

_STEP_S = 0.002
_BLOCK_S = 20.0
_PAD_S = 0.25
_LEAST_WINDOW_S = 0.006
_MOST_WINDOW_S = 0.036
_LOWEST_HZ = 1.0 / _MOST_WINDOW_S
_NEAR_S = 0.024
"""A dip is lower than all within this on both sides."""
_QUICK_S = 0.012
"""The level is looked at for how far it falls and rises within this: a tongue is quick."""
_REACH_S = 0.06
"""How far from the lowest moment the fall and the rise may lie."""
_MOST_DB = 12.0
_ODDS, _ODDS_RISE, _ODDS_NOTCH, _ODDS_OCTAVE = -4.8, 0.82, 0.21, -0.75
"""Logistic regression on 1,760 repeated notes and 3,820 other dips of made-up takes in four rooms, 33 to 1,200 Hz
[per dB of both levels together, and per octave]."""
_ODDS_HZ = 200.0
_LEAST_ODDS, _MOST_ODDS = -4.5, 7.0
_FLOOR = 1e-11


@dataclass(frozen=True, slots=True, eq=False)
class Dips:
    """Moments at which the level is lowest between two louder ones, in order of time; all arrays shape=(dips,)."""

    time_s: NDArray[np.float64]
    """When it is lowest [s]."""
    odds: NDArray[np.float64]
    """How much it looks like a new start of the same note [log of the odds]."""


def dips_of(sound: Sound, track: PitchTrack) -> Dips:
    """Find every dip of the level, block by block.

    Args:
        sound: the take.
        track: its pitch, which says how long a period is.
    """
    found: list[NDArray[np.float64]] = []
    length_s = sound.length / sound.rate_hz
    for start_s in np.arange(0.0, length_s, _BLOCK_S):
        stop_s = min(length_s, start_s + _BLOCK_S)
        times, level, bright = fine_levels(sound, track, start_s=start_s - _PAD_S, stop_s=stop_s + _PAD_S)
        block = _dips(track, times, level, bright)
        found.append(block[:, (block[0] >= start_s) & (block[0] < stop_s)])
    table = np.concatenate(found, axis=1) if found else np.zeros((2, 0))
    return Dips(table[0], table[1])


def fine_levels(
    sound: Sound, track: PitchTrack, *, start_s: float, stop_s: float
) -> tuple[NDArray[np.float64], NDArray[np.float64], NDArray[np.float64]]:
    """Tell how loud a stretch is every two milliseconds, over one period of what sounds.

    Args:
        sound: the take.
        track: its pitch.
        start_s: from when; what lies before the sound is left out [s].
        stop_s: to when [s].

    Returns:
        Times [s], level of the sound [dB], level of its slope [dB]; shape=(n,) each.
    """
    rate = sound.rate_hz
    first = max(0, int((start_s - _MOST_WINDOW_S) * rate))
    samples = sound.read(first, int((stop_s + _MOST_WINDOW_S) * rate))
    times = np.arange(max(start_s, 0.0), min(stop_s, sound.length / rate), _STEP_S)
    middle = np.round(times * rate).astype(np.intp) - first
    half = _half_windows(track, times, rate)
    level = _mean_power_db(samples, middle, half)
    bright = _mean_power_db(np.diff(samples, n=2), middle, half)
    return times, level, bright


def _half_windows(track: PitchTrack, times: NDArray[np.float64], rate: float) -> NDArray[np.intp]:
    """Half of the period that sounds at each time, or of several of a high note, in samples."""
    period_s = 1.0 / np.maximum(_heard_hz(track, times), _LOWEST_HZ)
    whole = np.ceil(_LEAST_WINDOW_S / period_s) * period_s
    return np.maximum(1, np.round(whole * rate / 2)).astype(np.intp)


def _heard_hz(track: PitchTrack, times: NDArray[np.float64]) -> NDArray[np.float64]:
    """The pitch that sounds at each time; where none does, the last that did before."""
    if not len(track.hz):
        return np.full(len(times), 1.0 / _LEAST_WINDOW_S)
    frames = np.clip(np.round((times - track.start_s) / track.step_s).astype(np.intp), 0, len(track.hz) - 1)
    hz = np.asarray(track.hz[frames], np.float64)
    last = np.maximum.accumulate(np.where(hz > 0, np.arange(len(hz)), 0)) if len(hz) else np.zeros(0, np.intp)
    return np.asarray(np.where(hz[last] > 0, hz[last], 1.0 / _LEAST_WINDOW_S))


def _mean_power_db(samples: Samples, middle: NDArray[np.intp], half: NDArray[np.intp]) -> NDArray[np.float64]:
    """Mean power around each middle."""
    total = np.concatenate(([0.0], np.cumsum(np.square(samples, dtype=np.float64))))
    low = np.clip(middle - half, 0, len(samples))
    high = np.clip(middle + half, 0, len(samples))
    power = (total[high] - total[low]) / np.maximum(1, high - low)
    return np.asarray(10.0 * np.log10(np.maximum(power, _FLOOR)))


def _dips(
    track: PitchTrack, times: NDArray[np.float64], level: NDArray[np.float64], bright: NDArray[np.float64]
) -> NDArray[np.float64]:
    """Rows of time and odds; shape=(2, dips)."""
    near, reach, quick = (round(time_s / _STEP_S) for time_s in (_NEAR_S, _REACH_S, _QUICK_S))
    if len(times) < 2 * near:
        return np.zeros((2, 0))
    both = (level + bright) / 2
    lowest = np.flatnonzero((both <= _behind(both, near, np.minimum)) & (both <= _ahead(both, near, np.minimum)))
    rises, notches = np.zeros(len(lowest)), np.zeros(len(lowest))
    for heard in (level, bright):
        rise = _ahead(_ahead(heard, quick, np.maximum) - heard, reach, np.maximum)[lowest]
        fall = _behind(_behind(heard, quick, np.maximum) - heard, reach, np.maximum)[lowest]
        rises += np.minimum(_MOST_DB, rise)
        notches += np.minimum(_MOST_DB, np.minimum(rise, fall))
    octaves = np.log2(_heard_hz(track, times[lowest]) / _ODDS_HZ)
    odds = _ODDS + _ODDS_RISE * rises + _ODDS_NOTCH * notches + _ODDS_OCTAVE * octaves
    keep = odds > _LEAST_ODDS
    return np.stack((times[lowest], np.minimum(odds, _MOST_ODDS)))[:, keep]


def _behind(values: NDArray[np.float64], reach: int, best: np.ufunc) -> NDArray[np.float64]:
    """The best of each value and the ``reach`` before it."""
    return _ahead(values[::-1], reach, best)[::-1]


def _ahead(values: NDArray[np.float64], reach: int, best: np.ufunc) -> NDArray[np.float64]:
    """The best of each value and the ``reach`` after it, by doubling."""
    result = values.copy()
    done = 1
    while done < reach + 1:
        more = min(done, reach + 1 - done)
        result[:-more] = best(result[:-more], result[more:])
        done += more
    return result
