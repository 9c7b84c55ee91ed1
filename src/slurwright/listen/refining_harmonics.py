"""How do the harmonics of one note turn? The sound of a stretch, cut into its own periods.

The stretch is resampled so that every period of a carrier, the coarse pitch, has the same number of samples. The
Fourier transform of one period then gives all harmonics at once, none disturbed by another. What the pitch does
beside the carrier shows as a slow turn of their phases: harmonic n turns n times as fast as the first.
"""

from dataclasses import dataclass

import numpy as np
import scipy.fft
from numpy.lib.stride_tricks import sliding_window_view
from numpy.typing import NDArray

from slurwright.listen.sound import Sound

__all__ = ["Carrier", "Harmonics", "harmonics_of"]

_MOST = 48
"""Harmonics that are looked at, at most."""
_TOP_HZ = 5500.0
"""Harmonics above this are not looked at, unless fewer than ``_LEAST`` lie below."""
_LEAST = 8
_TAPER = (0.8, 0.98)
"""Where the upper edge of the band starts and ends to fall, as a part of half the rate."""
_BASS_HZ = (12.0, 20.0)
_MARGIN_S = 0.02
_TAPS = 8
_PHASES = 512
_FINE_S = 0.001

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True, eq=False)
class Carrier:
    """A pitch that is known nearly, from moment to moment; straight lines between the times."""

    times_s: Floats
    hz: Floats

    @classmethod
    def steady(cls, start_s: float, stop_s: float, hz: float) -> "Carrier":
        """Hold one pitch.

        Args:
            start_s: from where [s].
            stop_s: to where [s].
            hz: the pitch [Hz].
        """
        return cls(np.array([start_s, stop_s]), np.array([hz, hz]))


@dataclass(frozen=True, slots=True, eq=False)
class Harmonics:
    """Harmonics of a stretch, one row a period of the carrier."""

    edges_s: Floats
    """Where the periods start and the last one ends; shape=(periods + 1,) [s]."""
    turns: NDArray[np.complex64]
    """Size and phase of harmonic 1 and up, a sine of peak 1 having size 1; shape=(periods, harmonics)."""

    @property
    def hz(self) -> Floats:
        """Pitch of the carrier in each period, shape=(periods,) [Hz]."""
        return 1.0 / np.diff(self.edges_s)

    @property
    def middles_s(self) -> Floats:
        """Middle of each period, shape=(periods,) [s]."""
        return 0.5 * (self.edges_s[1:] + self.edges_s[:-1])


def harmonics_of(sound: Sound, start_s: float, stop_s: float, carrier: Carrier) -> Harmonics:
    """Measure the harmonics of a stretch, period by period.

    Args:
        sound: the recording.
        start_s: start of the stretch [s].
        stop_s: end of the stretch [s].
        carrier: its coarse pitch.
    """
    edges = _period_edges(start_s, stop_s, carrier)
    middle_hz = float(np.median(1.0 / np.diff(edges))) if len(edges) > 1 else 1.0
    most = min(_MOST, max(_LEAST, int(_TOP_HZ / middle_hz)))
    samples, rate, first_s = _band(sound, start_s, stop_s, top_hz=1.3 * most * middle_hz)
    per_period = scipy.fft.next_fast_len(int(np.ceil(1.1 * rate / middle_hz)) + 3, real=True)
    count = min(most, int(0.5 * _TAPER[0] * rate / middle_hz))
    inner = np.arange(per_period) / per_period
    moments = (edges[:-1, None] + np.diff(edges)[:, None] * inner).ravel()
    periods = _interpolated(samples, (moments - first_s) * rate).reshape(-1, per_period)
    turns = scipy.fft.rfft(periods, axis=1)[:, 1 : count + 1]
    return Harmonics(edges_s=edges, turns=(turns * np.complex64(2j / per_period)).astype(np.complex64))


def _period_edges(start_s: float, stop_s: float, carrier: Carrier) -> Floats:
    """Where the carrier's periods start."""
    times = np.arange(start_s, stop_s + _FINE_S, _FINE_S)
    times[-1] = stop_s
    hz = np.interp(times, carrier.times_s, carrier.hz)
    phase = np.concatenate(([0.0], np.cumsum(0.5 * (hz[1:] + hz[:-1]) * np.diff(times))))
    return np.asarray(np.interp(np.arange(int(phase[-1]) + 1), phase, times), np.float64)


def _band(sound: Sound, start_s: float, stop_s: float, *, top_hz: float) -> tuple[NDArray[np.float32], float, float]:
    """Read a stretch at the lowest rate that holds a band: samples, rate, time of the first."""
    rate = sound.rate_hz
    margin = _MARGIN_S + _TAPS * rate / (2 * top_hz) / rate
    start = int(np.floor((start_s - margin) * rate))
    stop = int(np.ceil((stop_s + margin) * rate)) + 1
    count = scipy.fft.next_fast_len(stop - start, real=True)
    block = np.zeros(count, np.float32)
    have = sound.read(start, stop)
    at = max(0, -start)
    block[at : at + len(have)] = have
    size = count
    if 2 * top_hz < rate:
        size = min(count, scipy.fft.next_fast_len(int(np.ceil(count * 2 * top_hz / rate)), real=True))
    part_rate = rate * size / count
    hz = np.arange(size // 2 + 1, dtype=np.float32) * np.float32(rate / count)
    top = np.clip((_TAPER[1] * 0.5 * part_rate - hz) / ((_TAPER[1] - _TAPER[0]) * 0.5 * part_rate), 0, 1)
    bass = np.clip((hz - _BASS_HZ[0]) / (_BASS_HZ[1] - _BASS_HZ[0]), 0, 1)
    spectrum = scipy.fft.rfft(block)[: size // 2 + 1] * (top * bass * np.float32(size / count))
    return scipy.fft.irfft(spectrum, n=size), part_rate, start / rate


def _interpolated(samples: NDArray[np.float32], places: Floats) -> NDArray[np.float32]:
    """Read between the samples with a short windowed sinc."""
    whole = np.floor(places).astype(np.intp)
    phase = np.rint((places - whole) * _PHASES).astype(np.intp)
    first = np.clip(whole - _TAPS // 2 + 1, 0, len(samples) - _TAPS)
    rows = sliding_window_view(samples, _TAPS)[first]
    return np.asarray(np.einsum("ij,ij->i", rows, _TABLE[phase]), np.float32)


def _table() -> NDArray[np.float32]:
    """Interpolate: one row a phase."""
    away = np.arange(_TAPS) - (_TAPS // 2 - 1) - np.arange(_PHASES + 1)[:, None] / _PHASES
    window = np.i0(6.0 * np.sqrt(np.clip(1 - (away / (_TAPS / 2)) ** 2, 0, 1))) / np.i0(6.0)
    rows = np.sinc(away) * window
    return np.asarray(rows / rows.sum(axis=1, keepdims=True), np.float32)


_TABLE = _table()
