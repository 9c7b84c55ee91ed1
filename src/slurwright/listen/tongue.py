"""Was a slur touched by the tongue, or did it break off? What the level and the noise around the change say.

A tongue cuts a short, sharp notch and puffs air; a slur that breaks is silent for longer and starts again at once; a
soft slur dips slowly. The level is averaged over bands of about an octave, so that no single harmonic's echo decides;
how deep a silence can show depends on the room.
"""

import math
from dataclasses import dataclass

import numpy as np
import scipy.fft
from numpy.lib.stride_tricks import sliding_window_view
from numpy.typing import NDArray

from slurwright.listen.figure import Figure
from slurwright.listen.measures import Room
from slurwright.listen.slur_window import SlurWindow
from slurwright.listen.sound import Samples, Sound

__all__ = ["TouchTraits", "touch_traits"]

Real = NDArray[np.float64]

_STEP_S = 0.002
_BACK_S, _AHEAD_S = 0.28, 0.26
_MARGIN_S = 0.04
_EDGE_S = 0.02
_NEAR_S = 0.12
"""The lowest moment lies this near the change."""
_LINE_S = 0.05
"""The line between the two levels leaves the first and reaches the second so long before and after the change."""
_LEAST_WINDOW_S = 0.007
_EDGES = (1.5, 3.0, 6.0, 12.0, 24.0)
"""Bands of the level, in lower notes' pitches."""
_CROSSING_OCTAVES = 0.7
"""Neighbouring bands share so much: a sharp edge on a harmonic would ring."""
_BASS_HZ = 20.0
_SMOOTH = 5
_FAINT_DB = 40.0
"""Bands further than this below the strongest do not count."""
_SHARP_S = 0.008
_AROUND_S = 0.05
_NOISE_HZ = 4000.0
_NOISE_WINDOW_S, _NOISE_STEP_S = 0.016, 0.004
_PUFF_S = (0.008, 0.040)
_HISS_HZ, _HISS_WINDOW_S = 5500.0, 0.008
_HISS_S = (-0.012, 0.045)
_FLOOR = 1e-13
_USUAL_DIRECT_DB = 6.0
_FLOOR_DB = (2.0, 20.0)


@dataclass(frozen=True, slots=True)
class TouchTraits:
    """What speaks for a tongue or a break; all about the moment where the level is lowest."""

    level_db: float = 0.0
    """How far the bands together lie below the line from note to note [dB]."""
    level_ms: float = 0.0
    """How long they lie more than 3 dB below [ms]."""
    total_db: float = 0.0
    """How far the sound as a whole lies below its line [dB]."""
    sharp_db: float = 0.0
    """By how much the level is higher 8 ms before and after, together [dB]."""
    notch_db: float = 0.0
    """The same for 16 ms [dB]."""
    fall_db_ms: float = 0.0
    """Steepest fall [dB a millisecond]."""
    rise_db_ms: float = 0.0
    """Steepest rise [dB a millisecond]."""
    hiss_db: float = 0.0
    """How loud the highest band becomes just after, above its line [dB]."""
    puff_db: float = 0.0
    """Noise above the harmonics just after, more than just before, over the louder of the two notes' [dB]."""
    floor_db: float = 20.0
    """How far the level falls in this room where nothing sounds at all; 20 for more [dB]."""
    octaves: float = 0.0
    """The lower note above 100 Hz: low ones move slowly [octaves]."""


def touch_traits(sound: Sound, window: SlurWindow, room: Room) -> TouchTraits:
    """Gather what speaks for a tongue or a break.

    Args:
        sound: the take.
        window: where the slur lies.
        room: how it answers.
    """
    rate = sound.rate_hz
    start = max(window.start_s, window.change_s - _BACK_S) + _EDGE_S
    stop = min(window.stop_s, window.change_s + _AHEAD_S) - _EDGE_S
    times = np.arange(start, stop, _STEP_S)
    first = max(0, int((start - _MARGIN_S) * rate))
    samples = sound.read(first, int((stop + _MARGIN_S) * rate))
    if len(times) < 4 * _SMOOTH or len(samples) < rate * (stop - start):
        return TouchTraits()
    low_hz = min(window.before_hz, window.after_hz)
    powers = _band_powers(samples, rate, times - first / rate, low_hz)
    plain = _dip(powers, times, window.change_s)
    total = _dip(powers.sum(axis=0, keepdims=True), times, window.change_s)
    near = np.flatnonzero(np.abs(times - window.change_s) < _NEAR_S)
    at = near[int(np.argmin(plain[near]))]
    around = slice(max(0, at - round(_AROUND_S / _STEP_S)), at + round(_AROUND_S / _STEP_S))
    slopes = np.diff(plain[around]) / (1000.0 * _STEP_S)
    return TouchTraits(
        level_db=float(-plain[at]),
        level_ms=_below_ms(plain, at, 3.0),
        total_db=float(-total[near].min()),
        sharp_db=_bend(plain, at, round(_SHARP_S / _STEP_S)),
        notch_db=_bend(plain, at, 2 * round(_SHARP_S / _STEP_S)),
        fall_db_ms=float(-slopes.min(initial=0.0)),
        rise_db_ms=float(slopes.max(initial=0.0)),
        hiss_db=_hiss(
            samples, rate, times - first / rate, float(times[at]) - first / rate, window.change_s - first / rate
        ),
        puff_db=_puff(samples, rate, times - first / rate, float(times[at]) - first / rate),
        floor_db=_floor_db(room),
        octaves=float(np.log2(low_hz / 100.0)),
    )


def _floor_db(room: Room) -> float:
    """What the room leaves of a sound that stops at once, below it."""
    direct_db = room.direct_db.value if isinstance(room.direct_db, Figure) else _USUAL_DIRECT_DB
    left = 10.0 * math.log10(1.0 + 10.0 ** (min(max(direct_db, 0.0), _FLOOR_DB[1]) / 10.0))
    return min(max(left, _FLOOR_DB[0]), _FLOOR_DB[1])


def _band_powers(samples: Samples, rate: float, places: Real, low_hz: float) -> Real:
    """Mean power of each band over whole periods of the lower note, shape=(bands, moments)."""
    edges = [low_hz * times for times in _EDGES if low_hz * times < 0.4 * rate]
    count = scipy.fft.next_fast_len(len(samples), real=True)
    spectrum = scipy.fft.rfft(samples, n=count)
    octaves = np.log2(np.maximum(np.arange(len(spectrum)) * rate / count, 1.0))
    passed = [np.clip((octaves - np.log2(edge)) / _CROSSING_OCTAVES + 0.5, 0.0, 1.0) for edge in edges]
    above = np.array([octaves > np.log2(_BASS_HZ), *passed, np.zeros(len(octaves))], np.float32)
    parts = np.sqrt(np.maximum(above[:-1] - above[1:], 0.0)) * spectrum
    bands = scipy.fft.irfft(parts, n=count, axis=1)[:, : len(samples)]
    energy = np.zeros((len(bands), len(samples) + 1))
    np.cumsum(np.square(bands, dtype=np.float64), axis=1, out=energy[:, 1:])
    half = 0.5 * np.ceil(_LEAST_WINDOW_S * low_hz) / low_hz
    low, high = (np.clip(np.rint((places + side * half) * rate).astype(np.intp), 0, len(samples)) for side in (-1, 1))
    return np.asarray((energy[:, high] - energy[:, low]) / np.maximum(high - low, 1) + _FLOOR)


def _dip(powers: Real, times: Real, change_s: float) -> Real:
    """Level against the line from note to note, the louder bands together, shape=(moments,) [dB]."""
    count = max(5, min(30, len(times) // 6))
    before, after = np.median(powers[:, :count], axis=1), np.median(powers[:, -count:], axis=1)
    done = np.clip((times - change_s + _LINE_S) / (2.0 * _LINE_S), 0.0, 1.0)
    line = np.log(before)[:, None] * (1.0 - done) + np.log(after)[:, None] * done
    strength = 5.0 * np.log10(before * after)
    weight = np.clip(strength - strength.max() + _FAINT_DB, 0.0, _FAINT_DB)
    level = (10.0 / np.log(10.0)) * (weight / weight.sum()) @ (np.log(powers) - line)
    padded = np.pad(level, _SMOOTH // 2, mode="edge")
    return np.asarray(np.convolve(padded, np.full(_SMOOTH, 1.0 / _SMOOTH), "valid"))


def _below_ms(level: Real, at: int, limit_db: float) -> float:
    """How long the level around a moment stays below a limit."""
    if level[at] > -limit_db:
        return 0.0
    above = np.flatnonzero(level > -limit_db)
    left, right = above[above < at], above[above > at]
    first = int(left[-1]) + 1 if len(left) else 0
    last = int(right[0]) if len(right) else len(level)
    return 1000.0 * _STEP_S * (last - first)


def _bend(level: Real, at: int, reach: int) -> float:
    return float(level[max(0, at - reach)] + level[min(len(level) - 1, at + reach)] - 2.0 * level[at])


def _hiss(samples: Samples, rate: float, places: Real, lowest_s: float, change_s: float) -> float:
    """How loud the highest band becomes around a moment, above the line from note to note."""
    if rate < 2.2 * _HISS_HZ:
        return 0.0
    count = scipy.fft.next_fast_len(len(samples), real=True)
    spectrum = scipy.fft.rfft(samples, n=count)
    spectrum[: int(_HISS_HZ * count / rate)] = 0.0
    band = scipy.fft.irfft(spectrum, n=count)[: len(samples)]
    energy = np.concatenate(([0.0], np.cumsum(np.square(band, dtype=np.float64))))
    low, high = (
        np.clip(np.rint((places + side * 0.5 * _HISS_WINDOW_S) * rate).astype(np.intp), 0, len(samples))
        for side in (-1, 1)
    )
    power = (energy[high] - energy[low]) / np.maximum(high - low, 1) + _FLOOR
    level = _dip(power[None], places, change_s)
    here = (places > lowest_s + _HISS_S[0]) & (places < lowest_s + _HISS_S[1])
    return float(level[here].max(initial=-_FAINT_DB))


def _puff(samples: Samples, rate: float, places: Real, lowest_s: float) -> float:
    """Noise that stands out just after a moment, more than just before."""
    size = int(_NOISE_WINDOW_S * rate)
    middles = np.arange(places[0], places[-1], _NOISE_STEP_S)
    starts = np.clip(np.rint(middles * rate).astype(np.intp) - size // 2, 0, len(samples) - size)
    pieces = sliding_window_view(samples, size)[starts] * np.hanning(size).astype(np.float32)
    bins = slice(int(np.ceil(_NOISE_HZ * size / rate)), int(0.48 * size))
    spectra = np.square(np.abs(scipy.fft.rfft(pieces, axis=1)[:, bins]))
    if not spectra.shape[1]:
        return 0.0
    count = max(4, min(16, len(spectra) // 6))
    usual = np.maximum(spectra[:count].mean(axis=0), spectra[-count:].mean(axis=0))
    over = np.mean(np.maximum(10.0 * np.log10((spectra + _FLOOR) / (usual + _FLOOR)), 0.0), axis=1)
    since = middles - lowest_s
    near, far = _PUFF_S
    after, before = over[(since > near) & (since < far)], over[(since < -near) & (since > -far)]
    return float(after.mean() - before.mean()) if len(after) and len(before) else 0.0
