"""What does a slur sound like, cut out of its take and brought to the rate that its pitch needs? Samples."""

from dataclasses import dataclass

import numpy as np
import scipy.fft
from numpy.typing import NDArray

from slurwright.listen.slur_window import SlurWindow
from slurwright.listen.sound import Sound

__all__ = ["SlurSound", "running_mean", "slur_sound"]

Real = NDArray[np.float64]

_HARMONICS = 9.0
"""So many harmonics of the higher note are kept: those above are weak and tell little more about the pitch."""
_LOWEST_TOP_HZ = 900.0
_TIMES = 4.5
"""Samples a cycle of the highest harmonic: lags between samples are found by a parabola."""
_PAD_S = 0.02
_BACK_S, _BACK_PERIODS = 0.12, 4.0
_AHEAD_S, _AHEAD_PERIODS = 0.24, 5.0


@dataclass(frozen=True, slots=True, eq=False)
class SlurSound:
    """A stretch around a slur."""

    samples: Real
    """shape=(n,)"""
    rate_hz: float
    start_s: float
    """Time of the first sample in the take [s]."""


def slur_sound(sound: Sound, window: SlurWindow) -> SlurSound:
    """Cut a slur out of a take, without what lies above the harmonics that matter.

    Args:
        sound: the take.
        window: where the slur is.
    """
    low, high = sorted((window.before_hz, window.after_hz))
    start_s = max(window.start_s, window.change_s - _BACK_S - _BACK_PERIODS / low)
    stop_s = min(window.stop_s, window.change_s + _AHEAD_S + _AHEAD_PERIODS / low)
    rate = sound.rate_hz
    first, last = max(0, round((start_s - _PAD_S) * rate)), round((stop_s + _PAD_S) * rate)
    samples = sound.read(first, last).astype(np.float64)
    top = min(0.45 * rate, max(_HARMONICS * high, _LOWEST_TOP_HZ))
    count = scipy.fft.next_fast_len(len(samples) + round(_PAD_S * rate), real=True)
    spectrum = scipy.fft.rfft(samples, n=count)
    hz = np.arange(len(spectrum)) * (rate / count)
    spectrum *= np.clip((1.1 * top - hz) / (0.2 * top), 0.0, 1.0) * np.clip(2.0 * hz / low - 0.5, 0.0, 1.0)
    wanted = scipy.fft.next_fast_len(max(16, round(count * _TIMES * top / rate)), real=True)
    resampled = np.zeros(wanted // 2 + 1, complex)
    kept = min(len(spectrum), len(resampled))
    resampled[:kept] = spectrum[:kept]
    out = scipy.fft.irfft(resampled, n=wanted) * (wanted / count)
    new_rate = wanted * rate / count
    begin = max(0, round((start_s - first / rate) * new_rate))
    end = min(round((stop_s - first / rate) * new_rate), round(len(samples) * wanted / count))
    return SlurSound(np.ascontiguousarray(out[begin:end]), new_rate, first / rate + begin / new_rate)


def running_mean(values: Real, width: int) -> Real:
    """Mean over ``width`` samples around each, shorter at the ends; shape as ``values``.

    Args:
        values: shape=(n,).
        width: how many [samples].
    """
    total = np.concatenate(([0.0], np.cumsum(values)))
    at = np.arange(len(values))
    low = np.clip(at - width // 2, 0, len(values))
    high = np.clip(at - width // 2 + width, 0, len(values))
    return np.asarray((total[high] - total[low]) / np.maximum(high - low, 1))
