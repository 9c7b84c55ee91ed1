"""Sounds that are no brass playing: noise, footsteps, and a voice that talks, made of pulses and vowels."""

import numpy as np
import scipy.fft
from numpy.typing import NDArray

from slurwright.synth import Colour
from slurwright.synth.rooms import noise_like

__all__ = ["knocks", "noise", "speech"]

Single = NDArray[np.float32]

_VOWELS = ((730, 1090, 2440), (270, 2290, 3010), (300, 870, 2240), (530, 1840, 2480), (570, 840, 2410))
"""First three formants of a man's vowels, Peterson and Barney, JASA 24 (1952) 175; from memory [Hz]."""


def noise(
    seconds: float, rate_hz: float, *, level_db: float = -30.0, colour: Colour = Colour.PINK, seed: int
) -> Single:
    """Noise of a colour."""
    made = noise_like(int(seconds * rate_hz), rate_hz, colour=colour, rng=np.random.default_rng(seed))
    return made * np.float32(10.0 ** (level_db / 20.0))


def knocks(seconds: float, rate_hz: float, *, seed: int) -> Single:
    """Footsteps, a chair, a mouthpiece on the stand: short thuds over soft noise."""
    rng = np.random.default_rng(seed)
    samples = noise(seconds, rate_hz, level_db=-60.0, seed=seed)
    times = np.arange(int(0.2 * rate_hz)) / rate_hz
    for at in np.sort(rng.uniform(0.0, seconds - 0.25, int(2 * seconds))):
        low, ring = rng.uniform(60.0, 900.0), rng.uniform(0.01, 0.04)
        thud = 0.2 * np.exp(-times / ring) * (np.sin(2 * np.pi * low * times) + 0.5 * rng.standard_normal(len(times)))
        first = int(at * rate_hz)
        samples[first : first + len(thud)] += thud.astype(np.float32)
    return samples


def speech(seconds: float, rate_hz: float, *, seed: int, level_db: float = -25.0) -> Single:
    """Syllables whose pitch never stands still, vowels by formants, hissing consonants, pauses."""
    rng = np.random.default_rng(seed)
    samples = np.zeros(int(seconds * rate_hz), np.float32)
    base = float(rng.uniform(95.0, 220.0))
    at = 0.1
    while at < seconds - 0.5:
        for _ in range(int(rng.integers(2, 7))):
            length = float(rng.uniform(0.09, 0.24))
            if at + length > seconds - 0.1:
                break
            first = int(at * rate_hz)
            syllable = _syllable(base, length, rate_hz, rng)
            samples[first : first + len(syllable)] += syllable
            at += length + (0.02 if rng.random() < 0.7 else 0.08)
        at += float(rng.uniform(0.15, 0.6))
    spoken = np.abs(samples) > 0
    rms = float(np.sqrt(np.mean(samples[spoken].astype(np.float64) ** 2)))
    samples *= np.float32(10.0 ** (level_db / 20.0) / rms)
    return samples + noise(seconds, rate_hz, level_db=level_db - 45.0, seed=seed + 1)


def _syllable(base_hz: float, seconds: float, rate_hz: float, rng: np.random.Generator) -> Single:
    count = int(seconds * rate_hz)
    along = np.linspace(0.0, 1.0, count)
    start, end = base_hz * 2.0 ** (rng.normal(0.0, 3.0, 2) / 12.0)
    hz = (start + (end - start) * along) * (1.0 + 0.08 * np.sin(np.pi * along)) * (1 + 0.01 * rng.standard_normal())
    phase = np.cumsum(hz) / rate_hz
    pulses = np.diff(np.floor(phase), prepend=0.0) * (1.0 + 0.1 * rng.standard_normal(count))
    vowel = _VOWELS[int(rng.integers(len(_VOWELS)))]
    size = scipy.fft.next_fast_len(count + int(0.05 * rate_hz), real=True)
    freq = np.fft.rfftfreq(size, 1.0 / rate_hz)
    throat = np.ones(len(freq), complex)
    for formant, width in zip(vowel, (80.0, 110.0, 150.0), strict=True):
        s = 1j * freq
        throat *= formant**2 / (formant**2 + s**2 + s * width)
    voiced = scipy.fft.irfft(scipy.fft.rfft(pulses, n=size) * throat, n=size)[:count] * np.sin(np.pi * along) ** 0.5
    hiss = np.diff(rng.standard_normal(count), prepend=0.0) * np.exp(-((along / 0.12) ** 2)) * (rng.random() < 0.5)
    return np.asarray(voiced / (np.abs(voiced).max() + 1e-9) + 0.15 * hiss, np.float32)
