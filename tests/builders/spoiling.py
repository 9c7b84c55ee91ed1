"""What bad recordings do to a sound: clipping, coarse samples, an offset, the phone's own processing, dropouts."""

from dataclasses import dataclass

import numpy as np
import scipy.fft
from numpy.typing import NDArray

__all__ = [
    "TiledSound",
    "clipped",
    "coarse",
    "gained",
    "hummed",
    "offset",
    "resampled",
    "suppressed",
    "with_dropouts",
]

Single = NDArray[np.float32]


def clipped(samples: Single, *, over_db: float) -> Single:
    """Driven so far over full scale that the peaks are cut off."""
    peak = float(np.abs(samples).max())
    return np.asarray(np.clip(samples / peak * 10.0 ** (over_db / 20.0), -1.0, 1.0), np.float32)


def coarse(samples: Single, *, bits: int = 8) -> Single:
    """Rounded to few bits, without dither."""
    steps = 2.0 ** (bits - 1)
    return np.asarray(np.clip(np.round(samples * steps), -steps, steps - 1) / steps, np.float32)


def offset(samples: Single, *, by: float = 0.05) -> Single:
    """Shifted off zero."""
    return samples + np.float32(by)


def hummed(samples: Single, rate_hz: float, *, level_db: float = -50.0, hz: float = 50.0) -> Single:
    """With hum of the mains and its second and third harmonic."""
    times = np.arange(len(samples)) / rate_hz
    hum = sum(share * np.sin(2 * np.pi * k * hz * times + k) for k, share in ((1, 1.0), (2, 0.5), (3, 0.4)))
    return np.asarray(samples + 10.0 ** (level_db / 20.0) * hum, np.float32)


def with_dropouts(samples: Single, *, count: int, length: int, rng: np.random.Generator) -> Single:
    """Stretches lost: exact zeros."""
    spoiled = samples.copy()
    for at in rng.integers(0, len(samples) - length, count):
        spoiled[at : at + length] = 0.0
    return spoiled


def suppressed(samples: Single, rate_hz: float, *, by_db: float = 18.0) -> Single:
    """A phone's noise suppression: whatever does not change is taken for noise and turned down, band by band."""
    size, hop = 512, 256
    window = np.sqrt(np.hanning(size + 1)[:-1]).astype(np.float32)
    padded = np.concatenate((np.zeros(size, np.float32), samples, np.zeros(size, np.float32)))
    starts = np.arange(0, len(padded) - size, hop)
    frames = np.stack([padded[start : start + size] * window for start in starts])
    spectra = scipy.fft.rfft(frames, axis=1)
    power = np.abs(spectra) ** 2
    noise = np.empty_like(power)
    held = power[0].copy()
    rise = np.float32(10.0 ** (0.1 * 70.0 * hop / rate_hz))
    for index, now in enumerate(power):
        # the estimate falls at once and rises by 70 dB a second, towards what sounds
        held = np.minimum(now, np.maximum(held, 1e-12) * rise)
        noise[index] = held
    least = 10.0 ** (-by_db / 20.0)
    gain = np.clip(1.0 - 2.0 * noise / np.maximum(power, 1e-20), least, 1.0)
    cleaned = scipy.fft.irfft(spectra * gain, n=size, axis=1) * window
    out = np.zeros(len(padded), np.float32)
    for start, frame in zip(starts, cleaned, strict=True):
        out[start : start + size] += frame
    return out[size : size + len(samples)]


def gained(samples: Single, rate_hz: float, *, target_db: float = -18.0, seconds: float = 0.4) -> Single:
    """A phone's automatic gain: all is brought to one level, soft passages and pauses too, by 30 dB at most."""
    span = int(0.01 * rate_hz)
    whole = len(samples) // span * span
    power = np.mean(samples[:whole].reshape(-1, span).astype(np.float64) ** 2, axis=1)
    keep = np.exp(-0.01 / seconds)
    level, gains = 1e-6, []
    for now in power:
        level = max(now, keep * level + (1 - keep) * now)
        gains.append(min(10.0 ** (target_db / 20.0) / np.sqrt(level + 1e-12), 10.0**1.5))
    fine = np.interp(np.arange(len(samples)), np.arange(len(gains)) * span + span / 2, gains)
    return np.asarray(np.clip(samples * fine, -1.0, 1.0), np.float32)


def resampled(samples: Single, rate_hz: float, to_hz: float) -> Single:
    """At another rate, without what would fold."""
    count = round(len(samples) * to_hz / rate_hz)
    spectrum = scipy.fft.rfft(samples)
    bins = min(len(spectrum), count // 2 + 1)
    return np.asarray(scipy.fft.irfft(spectrum[:bins], n=count) * (count / len(samples)), np.float32)


@dataclass(frozen=True, slots=True, eq=False)
class TiledSound:
    """A take repeated over and over, as long as you like, held once: for what must need bounded memory."""

    samples: Single
    rate_hz: float
    length: int

    def read(self, start: int, stop: int) -> Single:
        """Read a stretch; what lies outside the sound is left out."""
        places = np.arange(max(0, start), max(0, min(stop, self.length)))
        return self.samples[places % len(self.samples)]
