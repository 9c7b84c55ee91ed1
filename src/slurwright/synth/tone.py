"""How does a brass tone of given pitch and level sound? Harmonics added up, each phase an integral of the pitch."""

from dataclasses import dataclass

import numpy as np
import scipy.fft
from numpy.typing import NDArray

from slurwright.synth.paths import FLOOR_DB, Paths
from slurwright.synth.slurpath import REFERENCE_HZ
from slurwright.synth.voices import Voice

__all__ = ["breath_noise", "spectrum_db", "tone_of"]

Real = NDArray[np.float64]
Single = NDArray[np.float32]

_HIGHEST = 0.45
"""Harmonics fade out below this part of the rate, so that none folds back."""
_HIGHEST_HZ = 10000.0
_AUDIBLE_DB = -70.0
"""What is weaker than this against the loudest moment of a stretch is left out."""
_BLOCK_S = 0.5
_USUAL_DB = -20.0
_LEAST_CUTOFF = 0.6
"""A high note keeps some harmonics however soft it is: the cutoff is no lower than this part of its pitch."""
_TABLE_OCTAVES = (-9.0, 9.0)
_TABLE_FINE = 4096
"""Entries for each octave: a step is under 0.01 dB."""


def spectrum_db(voice: Voice, hz: Real, *, cutoff_hz: float) -> Real:
    """How strong is a harmonic that lies at a frequency? Against one far below all corners, shape=(n,) [dB].

    Args:
        voice: tone colour.
        hz: frequency of the harmonic, shape=(n,) [Hz].
        cutoff_hz: where the spectrum starts to fall at this loudness [Hz].
    """
    octaves = np.log2(hz)
    return _bell_db(voice, octaves) + _fall_db(voice, octaves - np.log2(cutoff_hz))


def tone_of(paths: Paths, voice: Voice, *, rate_hz: float, hop: int) -> Single:
    """Sound the paths, noise apart; shape=((moments - 1) * hop,).

    Args:
        paths: pitch and level, one moment every ``hop`` samples.
        voice: tone colour.
        rate_hz: samples a second [Hz].
        hop: samples from moment to moment [samples].
    """
    hz = REFERENCE_HZ * 2.0 ** ((paths.held_cents + paths.unsteady_cents) / 1200.0)
    cycles = _cycles(hz, hop / rate_hz)
    level = paths.held_db + paths.shimmer_db
    bright = np.log2(voice.cutoff_hz) + voice.octaves_per_db * (level - _USUAL_DB) + paths.brighter_octaves
    cutoff = np.maximum(bright, np.log2(_LEAST_CUTOFF * hz))
    tables = _tables(voice)
    count = len(hz) - 1
    samples = np.zeros(count * hop, np.float32)
    span = max(1, int(_BLOCK_S * rate_hz / hop))
    for first in range(0, count, span):
        last = min(count, first + span)
        if paths.held_db[first : last + 1].max() > FLOOR_DB / 2:
            here = slice(first, last + 1)
            block = _Block(hz[here], cycles[here], 10.0 ** (level[here] / 20.0), cutoff[here])
            samples[first * hop : last * hop] = _sounded(block, tables, rate_hz=rate_hz, hop=hop)
    return samples


def breath_noise(paths: Paths, *, rate_hz: float, hop: int, rng: np.random.Generator) -> Single:
    """Sound of the air: noise around one to four kilohertz; shape=((moments - 1) * hop,).

    Args:
        paths: with the noise's level.
        rate_hz: samples a second [Hz].
        hop: samples from moment to moment [samples].
        rng: for the noise.
    """
    length = (len(paths.noise_db) - 1) * hop
    count = scipy.fft.next_fast_len(length, real=True)
    spectrum = scipy.fft.rfft(rng.standard_normal(count, dtype=np.float32))
    hz = np.fft.rfftfreq(count, 1.0 / rate_hz).astype(np.float32)
    shape = hz / np.hypot(hz, np.float32(900.0)) / (1.0 + (hz / np.float32(3500.0)) ** 2)
    spectrum *= shape / np.sqrt(np.mean(shape**2))
    noise = scipy.fft.irfft(spectrum, n=count)[:length]
    gain = _between((10.0 ** (paths.noise_db / 20.0)).astype(np.float32), hop)
    return np.asarray(noise * gain.T.ravel(), np.float32)


@dataclass(frozen=True, slots=True, eq=False)
class _Block:
    """A stretch of the paths; all arrays shape=(moments,)."""

    hz: Real
    cycles: Real
    amplitude: Real
    cutoff_octaves: Real


@dataclass(frozen=True, slots=True, eq=False)
class _Tables:
    """Amplitudes over octaves: of the bell against 1 Hz, of the fall against the cutoff."""

    bell: Single
    fall: Single


def _tables(voice: Voice) -> _Tables:
    octaves: Real = np.arange(*_TABLE_OCTAVES, 1.0 / _TABLE_FINE, dtype=np.float64)
    bell = 10.0 ** (_bell_db(voice, octaves - _TABLE_OCTAVES[0]) / 20.0)
    fall = 10.0 ** (_fall_db(voice, octaves) / 20.0)
    return _Tables(bell.astype(np.float32), fall.astype(np.float32))


def _bell_db(voice: Voice, octaves: Real) -> Real:
    """What depends on frequency alone: the bell and the unevenness."""
    bell = -20.0 * np.log10(1.0 + (voice.bell_hz * 2.0**-octaves) ** 2)
    for ripple in voice.ripples:
        bell += ripple.size_db * np.sin(ripple.turn_rad * octaves + ripple.phase_rad)
    return np.asarray(bell)


def _fall_db(voice: Voice, above: Real) -> Real:
    """The fall above the cutoff, by octaves above it."""
    return np.asarray(-10.0 * voice.steepness * np.log10(1.0 + 4.0**above))


def _cycles(hz: Real, step_s: float) -> Real:
    """Integrate the pitch: cycles since the start at each moment."""
    steps = 0.5 * (hz[:-1] + hz[1:]) * step_s
    return np.concatenate(([0.0], np.cumsum(steps)))


def _sounded(block: _Block, tables: _Tables, *, rate_hz: float, hop: int) -> Single:
    """Add the harmonics of a stretch."""
    strength = _strengths(block, tables, rate_hz)
    slope = np.diff(block.hz) * (hop / rate_hz)
    turn = np.exp(2j * np.pi * _phase(block.cycles, slope, hop)).astype(np.complex64)
    wheel = np.ones_like(turn)
    total = np.zeros(turn.shape, np.float32)
    for number, amplitude in enumerate(strength, start=1):
        wheel *= turn
        part = _between(amplitude, hop)
        part *= _quarter(wheel, number)
        total += part
    return total.T.ravel()


def _strengths(block: _Block, tables: _Tables, rate_hz: float) -> Single:
    """Amplitude of each harmonic worth hearing, the power of all together as asked; shape=(harmonics, moments)."""
    limit = min(_HIGHEST * rate_hz, _HIGHEST_HZ)
    most = max(1, int(limit / block.hz.min()))
    numbers = np.arange(1, most + 1, dtype=np.float32)[:, None]
    octaves = np.log2(block.hz).astype(np.float32) + np.log2(numbers)
    bell = (octaves * np.float32(_TABLE_FINE)).astype(np.intp)
    above = octaves - block.cutoff_octaves.astype(np.float32) - np.float32(_TABLE_OCTAVES[0])
    fall = np.clip(above * np.float32(_TABLE_FINE), 0, len(tables.fall) - 1).astype(np.intp)
    strength = tables.bell[np.minimum(bell, len(tables.bell) - 1)] * tables.fall[fall]
    frequency = numbers * block.hz.astype(np.float32)
    strength *= np.clip((np.float32(limit) - frequency) / np.float32(0.1 * limit), 0, 1)
    whole = np.sqrt(np.sum(strength * strength, axis=0))
    strength *= (np.sqrt(2.0) * block.amplitude / whole).astype(np.float32)
    least = 10.0 ** (_AUDIBLE_DB / 20.0) * block.amplitude.max()
    heard = np.flatnonzero(strength.max(axis=1) > least)
    return np.asarray(strength[: int(heard[-1]) + 1], np.float32)


def _phase(cycles: Real, slope: Real, hop: int) -> Real:
    """Cycles at each sample, less whole ones; the pitch moves evenly between moments. Shape=(hop, moments - 1)."""
    steps = np.diff(cycles)
    along = (np.arange(hop) / hop)[:, None]
    inside = cycles[:-1] + steps * along + 0.5 * slope * along * (along - 1.0)
    return np.asarray(inside % 1.0)


def _quarter(wheel: NDArray[np.complex64], number: int) -> Single:
    """Turn a harmonic by some quarters, so that the wave is neither a pulse nor even."""
    quarters = (number * number + number // 3) % 4
    part = wheel.real if quarters % 2 else wheel.imag
    return np.asarray(part if quarters < 2 else -part)


def _between(values: Single, hop: int) -> Single:
    """Straight lines between moments, one value a sample; shape=(hop, moments - 1), which is quick to work on."""
    along = (np.arange(hop, dtype=np.float32) / np.float32(hop))[:, None]
    lines = along * (values[1:] - values[:-1])
    lines += values[:-1]
    return np.asarray(lines, np.float32)
