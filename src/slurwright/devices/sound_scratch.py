"""A decoded recording in a scratch file: the sound that the listening room reads, a stretch at a time."""

import os
from typing import BinaryIO

import numpy as np
from numpy.typing import NDArray

from slurwright.errors import SoundError
from slurwright.listen.sound import Samples

__all__ = ["ScratchSound"]


class ScratchSound:
    """One channel of sound, made of the channels side by side in a file of float32.

    Not for several threads at once: they would share the file's position.
    """

    def __init__(
        self, scratch: BinaryIO, *, rate_hz: float, length: int, weights: tuple[float, ...], offset: float
    ) -> None:
        self._scratch = scratch
        self._rate_hz = rate_hz
        self._length = length
        self._weights = np.array(weights, np.float32)
        self._offset = np.float32(offset)

    @property
    def rate_hz(self) -> float:
        """Samples a second [Hz]."""
        return self._rate_hz

    @property
    def length(self) -> int:
        """How many samples there are [samples]."""
        return self._length

    def read(self, start: int, stop: int) -> Samples:
        """Read a stretch; what lies outside the sound is left out.

        Args:
            start: first sample [samples].
            stop: one past the last sample [samples].

        Raises:
            SoundError: the scratch file does not hold what was written to it.

        """
        start, stop = max(0, start), min(self._length, stop)
        if stop <= start:
            return np.zeros(0, np.float32)
        width = len(self._weights)
        self._scratch.seek(start * width * 4, os.SEEK_SET)
        data = self._scratch.read((stop - start) * width * 4)
        if len(data) != (stop - start) * width * 4:
            raise SoundError("the temporary file of the decoded recording was cut short")
        frames: NDArray[np.float32] = np.frombuffer(data, np.float32).reshape(-1, width)
        return np.asarray(frames @ self._weights - self._offset, np.float32)
