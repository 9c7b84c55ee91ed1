"""What becomes of a sound on its way: a room, a microphone, other people's noise."""

import numpy as np
import scipy.fft
from numpy.typing import NDArray

from slurwright.synth.places import Colour, Place, Room

__all__ = ["high_passed", "impulse_of", "in_room", "noise_like", "placed"]

Real = NDArray[np.float64]
Single = NDArray[np.float32]

_BLOCK = 1 << 16
_REFLECTIONS = 9
_FIRST_S = (0.002, 0.035)
"""Early reflections arrive between these times after the direct sound; the tail starts at the first."""
_EARLY_SHARE = 0.35
"""Part of the room's energy that comes with the early reflections."""
_DIFFUSE_S = 0.015
"""The tail needs this long to become dense."""
_BANDS_HZ = (250.0, 1000.0, 3000.0)
_BAND_DECAY = (1.15, 1.0, 0.85, 0.6)
"""Decay of each band against the middle one: high sounds die sooner. Common practice."""


def placed(samples: Single, rate_hz: float, *, place: Place, rng: np.random.Generator) -> Single:
    """Record a sound in a place; the same length as before.

    Args:
        samples: the direct sound, shape=(n,).
        rate_hz: samples a second [Hz].
        place: where.
        rng: for the room's tail and the noise.
    """
    room_rng, noise_rng = rng.spawn(2)
    if place.room:
        samples = in_room(samples, impulse_of(place.room, rate_hz, rng=room_rng))
    if place.high_pass_hz:
        samples = high_passed(samples, rate_hz, corner_hz=place.high_pass_hz)
    if place.noise_db is not None:
        noise = noise_like(len(samples), rate_hz, colour=place.colour, rng=noise_rng)
        samples = samples + noise * np.float32(_played_rms(samples, rate_hz) * 10.0 ** (-place.noise_db / 20.0))
    return samples


def impulse_of(room: Room, rate_hz: float, *, rng: np.random.Generator) -> Single:
    """What a room makes of a click: the direct sound at time 0, a few reflections, a tail that dies; shape=(n,).

    Args:
        room: which.
        rate_hz: samples a second [Hz].
        rng: for where the reflections come from, and for the tail.
    """
    count = int(1.25 * room.decay_s * rate_hz)
    times = np.arange(count) / rate_hz
    white = rng.standard_normal(count)
    start = np.clip((times - _FIRST_S[0]) / _DIFFUSE_S, 0.0, 1.0)
    even = np.sum((white * start * 10.0 ** (-3.0 * times / room.decay_s)) ** 2)
    tail = start * _decaying(white, times, room, rate_hz)
    early = np.zeros(count)
    at = np.sort(rng.uniform(*_FIRST_S, _REFLECTIONS))
    strength = rng.choice((-1.0, 1.0), _REFLECTIONS) * rng.uniform(0.5, 1.0, _REFLECTIONS) * (0.004 / at) ** 0.5
    np.add.at(early, np.round(at * rate_hz).astype(np.intp), strength)
    energy = 10.0 ** (-room.direct_db / 10.0)
    added = early * np.sqrt(_EARLY_SHARE * energy / np.sum(early**2))
    added += tail * np.sqrt((1.0 - _EARLY_SHARE) * energy / even)
    added[0] = 1.0
    return np.asarray(added, np.float32)


def in_room(samples: Single, impulse: Single) -> Single:
    """Sound in a room, block by block; the same length as before.

    Args:
        samples: the direct sound, shape=(n,).
        impulse: the room's answer to a click, shape=(m,).
    """
    count = scipy.fft.next_fast_len(_BLOCK + len(impulse), real=True)
    answer = scipy.fft.rfft(impulse, n=count)
    out = np.zeros(len(samples) + count, np.float32)
    for first in range(0, len(samples), _BLOCK):
        block = scipy.fft.rfft(samples[first : first + _BLOCK], n=count)
        out[first : first + count] += scipy.fft.irfft(block * answer, n=count)
    return out[: len(samples)]


def high_passed(samples: Single, rate_hz: float, *, corner_hz: float) -> Single:
    """Take the bass out, as a small microphone does: 12 dB an octave, minimum phase as a real one.

    Args:
        samples: shape=(n,).
        rate_hz: samples a second [Hz].
        corner_hz: 3 dB down here [Hz].
    """
    count = scipy.fft.next_fast_len(len(samples) + int(rate_hz / 8), real=True)
    ratio = 1j * np.fft.rfftfreq(count, 1.0 / rate_hz) / corner_hz
    gain = (ratio**2 / (1.0 + np.sqrt(2.0) * ratio + ratio**2)).astype(np.complex64)
    return np.asarray(scipy.fft.irfft(scipy.fft.rfft(samples, n=count) * gain, n=count)[: len(samples)], np.float32)


def noise_like(length: int, rate_hz: float, *, colour: Colour, rng: np.random.Generator) -> Single:
    """Noise of a colour from 20 Hz up, root mean square 1; shape=(length,).

    Args:
        length: how many samples [samples].
        rate_hz: samples a second [Hz].
        colour: how it falls with frequency.
        rng: for the noise.
    """
    count = scipy.fft.next_fast_len(length, real=True)
    spectrum = scipy.fft.rfft(rng.standard_normal(count, dtype=np.float32))
    hz = np.fft.rfftfreq(count, 1.0 / rate_hz)
    gain = np.where(hz >= 20.0, np.maximum(hz, 20.0) ** (-colour.value / 2.0), 0.0)
    spectrum *= gain.astype(np.float32)
    noise = scipy.fft.irfft(spectrum, n=count)[:length]
    return np.asarray(noise / np.sqrt(np.mean(noise**2)), np.float32)


def _decaying(white: Real, times: Real, room: Room, rate_hz: float) -> Real:
    """Noise that dies exponentially, high bands sooner; the middle band as the room says."""
    spectrum = scipy.fft.rfft(white)
    hz = np.fft.rfftfreq(len(times), 1.0 / rate_hz)
    edges = (0.0, *_BANDS_HZ, np.inf)
    tail = np.zeros(len(times))
    for low, high, share in zip(edges[:-1], edges[1:], _BAND_DECAY, strict=True):
        band = scipy.fft.irfft(np.where((hz >= low) & (hz < high), spectrum, 0.0), n=len(times))
        tail += band * 10.0 ** (-3.0 * times / (room.decay_s * share))
    return tail


def _played_rms(samples: Single, rate_hz: float) -> float:
    """Level of the louder half of the moments: rests do not count."""
    span = max(1, int(0.05 * rate_hz))
    whole = len(samples) // span * span
    if not whole:
        return 0.0
    power = np.mean(samples[:whole].reshape(-1, span).astype(np.float64) ** 2, axis=1)
    loud = power[power >= np.median(power)]
    return float(np.sqrt(np.mean(loud)))
