"""Sound at a lower rate: what rate to work at, and the filter that takes a recording there block by block.

One symmetric low-pass filter, its delay taken out, of which only the kept outputs are computed: rows of samples times
a matrix, the fastest way there is without a library for filters.
"""

from functools import cache

import numpy as np
from numpy.typing import NDArray

__all__ = ["Decimator", "working_factor"]

_HIGHEST_HZ = 24_000
_LOWEST_HZ = 16_000
_PASS = 0.45
"""Highest frequency that goes through untouched, in parts of the new rate. Derived: 7.2 kHz at the lowest working
rate, above every partial that is measured."""
_STOP = 0.55
"""From here on nothing may be left: it would fold back below `_PASS`. Derived: 1 - `_PASS`."""
_DOWN_DB = 96.0
"""How far below full scale nothing is: the range of 16 bits. Common practice."""
_OUTPUTS_A_ROW = 64

Channels = NDArray[np.float32]
"""Sound in several channels; shape=(channels, n)."""


def working_factor(rate_hz: int) -> int:
    """Say of how many samples one is kept, so that 16 to 24 kHz remain.

    Rates up to 24 kHz stay as they are, and so do those between 24 and 32 kHz, which no whole number brings there.

    Args:
        rate_hz: of the recording [Hz].
    """
    factor = -(-rate_hz // _HIGHEST_HZ)
    return factor if rate_hz >= factor * _LOWEST_HZ else max(1, factor - 1)


class Decimator:
    """Keeps every ``factor``-th sample of a sound that comes in blocks, after a low-pass filter without delay.

    Output ``k`` stands at the time of input ``k * factor``; of ``n`` inputs ``ceil(n / factor)`` outputs are made.
    How the input is cut into blocks makes no difference to them.
    """

    def __init__(self, factor: int, channels: int) -> None:
        self._factor = factor
        self._taps = 1 if factor == 1 else _tap_count(factor)
        self._waiting = np.zeros((channels, self._taps // 2), np.float32)
        self._came = 0
        self._made = 0

    def add(self, block: Channels) -> Channels:
        """Take the next block in and give what can be said by now.

        Args:
            block: shape=(channels, n).
        """
        self._came += block.shape[1]
        if self._factor == 1:
            return block
        self._waiting = np.concatenate((self._waiting, block), axis=1)
        span = self._factor * _OUTPUTS_A_ROW
        rows = max(0, (self._waiting.shape[1] - self._taps + self._factor) // span)
        made = self._rows(rows)
        self._waiting = self._waiting[:, rows * span :]
        self._made += made.shape[1]
        return made

    def finish(self) -> Channels:
        """Give the end, as if silence followed."""
        channels = self._waiting.shape[0]
        left = -(-self._came // self._factor) - self._made
        if self._factor == 1 or left <= 0:
            return np.zeros((channels, 0), np.float32)
        rows = -(-left // _OUTPUTS_A_ROW)
        needed = rows * self._factor * _OUTPUTS_A_ROW + self._taps
        silence = np.zeros((channels, max(0, needed - self._waiting.shape[1])), np.float32)
        self._waiting = np.concatenate((self._waiting, silence), axis=1)
        self._made += left
        return self._rows(rows)[:, :left]

    def _rows(self, count: int) -> Channels:
        channels, _ = self._waiting.shape
        if not count:
            return np.zeros((channels, 0), np.float32)
        matrix = _filter_matrix(self._factor)
        sample, row = self._waiting.itemsize, self._factor * _OUTPUTS_A_ROW
        made = np.empty((channels, count, _OUTPUTS_A_ROW), np.float32)
        for channel in range(channels):
            samples = np.ascontiguousarray(self._waiting[channel])
            shape, strides = (count, len(matrix)), (row * sample, sample)
            overlapping = np.lib.stride_tricks.as_strided(samples, shape, strides, writeable=False)
            np.matmul(np.ascontiguousarray(overlapping), matrix, out=made[channel])
        return made.reshape(channels, -1)


def _tap_count(factor: int) -> int:
    """Length of a Kaiser filter; Kaiser's own rule, an odd number."""
    width = 2 * np.pi * (_STOP - _PASS) / factor
    return int(np.ceil((_DOWN_DB - 7.95) / (2.285 * width))) // 2 * 2 + 1


@cache
def _filter_matrix(factor: int) -> NDArray[np.float32]:
    """A row of input times this gives a row of outputs; shape=(inputs, outputs)."""
    count = _tap_count(factor)
    beta = 0.1102 * (_DOWN_DB - 8.7)
    taps = np.kaiser(count, beta) * np.sinc((np.arange(count) - count // 2) / factor)
    taps /= taps.sum()
    matrix = np.zeros((factor * (_OUTPUTS_A_ROW - 1) + count, _OUTPUTS_A_ROW), np.float32)
    for output in range(_OUTPUTS_A_ROW):
        matrix[output * factor : output * factor + count, output] = taps
    return matrix
