"""Which periods does a short stretch of sound repeat itself at? One register of the pitch track."""

from dataclasses import dataclass

import numpy as np
import scipy.fft
from numpy.lib.stride_tricks import sliding_window_view
from numpy.typing import NDArray

__all__ = ["CANDIDATES", "REGISTERS", "Register", "candidates_of", "spectrum_part"]

CANDIDATES = 2
"""How many periods each register names for a frame."""

_BASS_HZ = (16.0, 24.0)
"""Below the first nothing is heard, above the second all is: keeps an offset and footsteps out."""
_TILT_HZ = (60.0, 1000.0)
"""Between these the sound is raised by 3 dB an octave, so that upper harmonics count and rumble does not."""
_TAPER = 0.8
"""Where the upper edge of a band starts to fall, as a part of half its rate."""
_SILENT = 1e-14

Floats = NDArray[np.float32]
Spectrum = NDArray[np.complex64]


@dataclass(frozen=True, slots=True)
class Register:
    """A range of pitch with the window and the band that it is listened to with."""

    lowest_hz: float
    highest_hz: float
    window_s: float
    """Length of the window [s]."""
    rate_hz: float
    """Rate that the sound is brought to; its band ends at half of it [Hz]."""
    finer: int
    """How many points of the autocorrelation lie on a sample."""
    every: int
    """It listens at every so many frames: a long window hears the same in the next one."""


REGISTERS = (
    Register(26.0, 72.0, 0.112, 4000.0, 2, 3),
    Register(64.0, 190.0, 0.048, 6000.0, 2, 2),
    Register(170.0, 520.0, 0.020, 12000.0, 2, 1),
    Register(460.0, 1650.0, 0.014, 20000.0, 2, 1),
)
"""They overlap by a whole tone or more, so that a note on the border is never lost."""


def spectrum_part(spectrum: Spectrum, count: int, rate_hz: float, register: Register) -> tuple[Floats, float]:
    """Cut a register's band out of a block: samples at a lower rate, and that rate.

    Args:
        spectrum: of the block, shape=(count // 2 + 1,).
        count: samples of the block [samples].
        rate_hz: rate of the block [Hz].
        register: whose band.
    """
    wanted = min(1.0, register.rate_hz / rate_hz) * count
    size = scipy.fft.next_fast_len(int(np.ceil(wanted)), real=True) if wanted < count else count
    size = min(size, count)
    bins = size // 2 + 1
    part_rate = rate_hz * size / count
    gain = _gain(np.arange(bins, dtype=np.float32) * np.float32(rate_hz / count), part_rate)
    gain *= np.float32(size / count)
    return scipy.fft.irfft(spectrum[:bins] * gain, n=size), part_rate


def candidates_of(
    samples: Floats, rate_hz: float, times_s: NDArray[np.float64], register: Register, limits: tuple[float, float]
) -> tuple[Floats, Floats]:
    """Name the best periods of each frame.

    Args:
        samples: the register's band of a block, shape=(n,).
        rate_hz: its rate [Hz].
        times_s: middle of each frame, from the block's start, shape=(frames,) [s].
        register: whose range.
        limits: lowest and highest pitch that is looked for [Hz].

    Returns:
        Pitch in Hz (0 where there is none) and likeness of the sound to itself one period later, each
        shape=(frames, CANDIDATES).
    """
    likeness, grid_hz = _likeness(samples, rate_hz, times_s, register)
    lowest, highest = max(limits[0], register.lowest_hz), min(limits[1], register.highest_hz)
    first = max(1, int(np.floor(grid_hz / highest)))
    last = min(likeness.shape[1] - 2, int(np.ceil(grid_hz / lowest)))
    middle = likeness[:, first : last + 1]
    peak = (middle > likeness[:, first - 1 : last]) & (middle >= likeness[:, first + 1 : last + 2]) & (middle > 0)
    # a longer period is as like as the true one or its multiples: the shortest of equals is wanted
    lags = np.arange(first, last + 1, dtype=np.float32)
    score = np.where(peak, middle - np.float32(_SHORTEST) * np.log2(lags / lags[0]), np.float32(-1))
    rows = np.arange(len(times_s))
    hz = np.zeros((len(rows), CANDIDATES), np.float32)
    found = np.zeros_like(hz)
    for place in range(CANDIDATES):
        best = np.argmax(score, axis=1)
        some = score[rows, best] > -1
        before, at, after = (likeness[rows, first + best + side] for side in (-1, 0, 1))
        bend = np.minimum(before - 2 * at + after, np.float32(-1e-9))
        shift = np.clip(0.5 * (before - after) / bend, -0.5, 0.5)
        hz[:, place] = np.where(some, grid_hz / (first + best + shift), 0)
        found[:, place] = np.where(some, np.minimum(at - 0.25 * (before - after) * shift, 1), 0)
        score[rows, best] = -1
    return hz, found


_SHORTEST = 0.02
"""How much less like itself a period of half the length may be and still be taken."""


def _gain(hz: Floats, rate_hz: float) -> Floats:
    """Weigh frequencies: no bass below the instruments, upper harmonics raised, a soft upper edge."""
    low = np.clip((hz - _BASS_HZ[0]) / (_BASS_HZ[1] - _BASS_HZ[0]), 0, 1)
    high = np.clip((0.5 * rate_hz - hz) / (0.5 * rate_hz * (1 - _TAPER)), 0, 1)
    tilt = np.sqrt(np.clip(hz, *_TILT_HZ) / np.float32(_TILT_HZ[1]))
    gain: Floats = (low * low * (3 - 2 * low) * high * high * (3 - 2 * high) * tilt).astype(np.float32)
    return gain


def _likeness(
    samples: Floats, rate_hz: float, times_s: NDArray[np.float64], register: Register
) -> tuple[Floats, float]:
    """Autocorrelation of each frame, freed from its window's, 1 at lag 0; and the rate of its lags."""
    size = int(register.window_s * rate_hz)
    lags = int(np.ceil(rate_hz / register.lowest_hz)) + 2
    length = scipy.fft.next_fast_len(size + lags, real=True)
    starts = np.rint(times_s * rate_hz - size / 2).astype(np.intp)
    window = np.hanning(size + 2)[1:-1].astype(np.float32)
    frames = sliding_window_view(samples, size)[np.clip(starts, 0, len(samples) - size)] * window
    fine = length * register.finer
    power = _power(scipy.fft.rfft(frames, n=length, axis=1))
    correlation = scipy.fft.irfft(power, n=fine, axis=1)[:, : lags * register.finer]
    own = scipy.fft.irfft(_power(scipy.fft.rfft(window, n=length)), n=fine)[: lags * register.finer]
    whole = correlation[:, :1]
    scale = np.where(whole > _SILENT, own[0] / np.maximum(whole, _SILENT), 0).astype(np.float32)
    return correlation * scale / own, rate_hz * register.finer


def _power(spectrum: Spectrum) -> Floats:
    power: Floats = spectrum.real**2 + spectrum.imag**2
    return power
