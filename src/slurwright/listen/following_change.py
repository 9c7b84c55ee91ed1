"""When does a slurred note start? Where the pitch is half way from one note to the other, found on the sound itself.

How like itself the sound is one period later is looked at for all periods between the two notes', over no more than
two periods of time, every two milliseconds. The likeliest period tells on which side of half way the pitch is; the
change is put where fewest moments are on the wrong side.
"""

import numpy as np
from numpy.typing import NDArray

from slurwright.listen.following_rise import Moment
from slurwright.listen.sound import Sound

__all__ = ["change_of"]

_Array = NDArray[np.float64]

_STEP_S = 0.002
_SEARCH_S = 0.06
_SEARCH_PERIODS = 3.0
_BEYOND = 1.06
"""Periods are looked for this far beyond those of the two notes."""
_FINE = 32.0
"""Samples to the shorter period that are enough: above, the sound is thinned."""
_FIRST_TOP = 0.9
"""A shorter period is taken for the right one if it is as good as this against the best: a multiple always is."""
_SD_S, _SD_PERIODS, _SD_UNSURE, _SD_UNLIKE = 0.0022, 0.12, 0.25, 0.02
_ROOM_S, _ROOM_UNLIKE_S, _MOST_UNLIKE = 0.0005, 0.01, 0.2
"""By so much a room makes the pitch seem to change late: the note before goes on in it, so that just after the change
the sound is less like itself [s]."""
_AFTER_S = 0.05


def change_of(
    sound: Sound, near_s: float, from_hz: float, to_hz: float, *, earliest_s: float, latest_s: float
) -> Moment | None:
    """Find when the pitch is half way.

    Args:
        sound: the take.
        near_s: about when [s].
        from_hz: pitch before [Hz].
        to_hz: pitch after [Hz].
        earliest_s: not before [s].
        latest_s: not after [s].

    Returns:
        The moment; None where the pitch is not found to change.
    """
    longest = 1.0 / min(from_hz, to_hz)
    reach = max(_SEARCH_S, _SEARCH_PERIODS * longest)
    times = np.arange(max(earliest_s, near_s - reach), min(latest_s, near_s + reach), _STEP_S)
    if len(times) < 5:
        return None
    thin = max(1, int(sound.rate_hz / (_FINE * max(from_hz, to_hz))))
    rate = sound.rate_hz / thin
    pad_s = 1.6 * _BEYOND * longest
    first = max(0, round((times[0] - pad_s) * sound.rate_hz))
    samples = sound.read(first, round((times[-1] + pad_s) * sound.rate_hz)).astype(np.float64)
    samples = samples[: len(samples) // thin * thin].reshape(-1, thin).mean(axis=1)
    middle = (times - (first / sound.rate_hz + (thin - 1) / (2 * sound.rate_hz))) * rate
    periods = rate / max(from_hz, to_hz) / _BEYOND, rate / min(from_hz, to_hz) * _BEYOND
    lags = np.arange(max(2, int(periods[0])), int(periods[1]) + 2)
    likeness = _likeness(samples, middle, lags, width=rate / np.sqrt(from_hz * to_hz))
    period, sure = _period(likeness, lags)
    above = np.log2(rate / period) - 0.5 * np.log2(from_hz * to_hz)
    done = above if to_hz > from_hz else -above
    at, wrong = _split(done, sure)
    if not 0 < at < len(times):
        return None
    time_s = _half_way(times, done, at)
    after = sure[at : at + round(_AFTER_S / _STEP_S)]
    unlike = min(_MOST_UNLIKE, 1.0 - float(np.median(after)))
    sd = _SD_S + _SD_PERIODS * longest + _SD_UNSURE * wrong * _STEP_S + _SD_UNLIKE * unlike
    return Moment(time_s - _ROOM_S - _ROOM_UNLIKE_S * unlike, float(sd))


def _likeness(samples: _Array, middle: _Array, lags: NDArray[np.intp], *, width: float) -> _Array:
    """Normalised correlation of the sound with itself, both windows centred on each middle; (lags, times)."""
    half = max(2, round(width / 2))
    energy = np.concatenate(([0.0], np.cumsum(np.square(samples))))
    result = np.zeros((len(lags), len(middle)))
    for row, lag in enumerate(lags):
        product = np.concatenate(([0.0], np.cumsum(samples[:-lag] * samples[lag:])))
        start = np.clip(np.round(middle - lag / 2).astype(np.intp) - half, 0, len(product) - 1)
        stop = np.clip(start + 2 * half, 0, len(product) - 1)
        both = energy[stop] - energy[start] + energy[stop + lag] - energy[start + lag]
        result[row] = 2.0 * (product[stop] - product[start]) / np.maximum(both, 1e-12)
    return result


def _period(likeness: _Array, lags: NDArray[np.intp]) -> tuple[_Array, _Array]:
    """The likeliest period at each time, in samples, and how sure it is, 0..1."""
    best = likeness.max(axis=0)
    inner = likeness[1:-1]
    peak = (inner >= likeness[:-2]) & (inner >= likeness[2:]) & (inner >= _FIRST_TOP * best)
    row = np.where(peak.any(axis=0), np.argmax(peak, axis=0) + 1, np.argmax(likeness, axis=0))
    row = np.clip(row, 1, len(lags) - 2)
    each = np.arange(likeness.shape[1])
    low, mid, high = (likeness[row + step, each] for step in (-1, 0, 1))
    curve = low - 2.0 * mid + high
    shift = np.where(np.abs(curve) > 1e-9, 0.5 * (low - high) / np.where(np.abs(curve) > 1e-9, curve, 1.0), 0.0)
    return lags[row] + np.clip(shift, -0.5, 0.5), np.clip(best, 0.02, 1.0)


def _split(done: _Array, sure: _Array) -> tuple[int, float]:
    """Where to part what is before half way from what is after: (first index after, what is on the wrong side)."""
    wrong_before = np.concatenate(([0.0], np.cumsum(np.where(done > 0, sure, 0.0))))
    wrong_after = np.concatenate(([0.0], np.cumsum(np.where(done <= 0, sure, 0.0))))
    cost = wrong_before + (wrong_after[-1] - wrong_after)
    best = float(cost.min())
    ties = np.flatnonzero(cost <= best + 1e-9)
    return int(ties[-1]), best


def _half_way(times: _Array, done: _Array, at: int) -> float:
    """When half way is passed between two moments [s]."""
    before, after = done[at - 1], done[at]
    part = -before / (after - before) if before <= 0 < after else 0.5
    return float(times[at - 1] + np.clip(part, 0.0, 1.0) * (times[at] - times[at - 1]))
