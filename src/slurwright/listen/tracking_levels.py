"""How loud is each frame? Level over whole periods, so that a low note does not flutter."""

import numpy as np
import scipy.fft
from numpy.typing import NDArray

__all__ = ["levels_of"]

_SHORTEST_S = 0.012
"""Levels are means over at least this, and over whole periods where there is a pitch."""
_BASS_HZ = 20.0
_LOWEST = 1e-12
"""Mean square that stands for silence: -120 dB."""


def levels_of(
    spectrum: NDArray[np.complex64],
    count: int,
    rate_hz: float,
    times_s: NDArray[np.float64],
    hz: NDArray[np.float32],
) -> NDArray[np.float32]:
    """Level of each frame against full scale, shape=(frames,) [dB].

    Args:
        spectrum: of the block, shape=(count // 2 + 1,).
        count: samples of the block [samples].
        rate_hz: rate of the block [Hz].
        times_s: middle of each frame from the block's start, shape=(frames,) [s].
        hz: pitch of each frame, 0 for none, shape=(frames,) [Hz].
    """
    cut = spectrum.copy()
    cut[: int(_BASS_HZ * count / rate_hz) + 1] = 0
    samples = scipy.fft.irfft(cut, n=count)
    energy = np.concatenate(([0.0], np.cumsum(np.square(samples, dtype=np.float64))))
    period = 1.0 / np.where(hz > 0, hz, 1.0 / _SHORTEST_S)
    length = period * np.ceil(_SHORTEST_S / period - 1e-9)
    low, high = ((times_s + side * 0.5 * length) * rate_hz for side in (-1, 1))
    edges = np.arange(count + 1)
    power = (np.interp(high, edges, energy) - np.interp(low, edges, energy)) / (high - low)
    return (10 * np.log10(np.maximum(power, _LOWEST))).astype(np.float32)
