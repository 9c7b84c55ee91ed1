"""A WAV file that is whole at every moment while it grows: whatever ends the program, it can be read."""

import os
import struct
import time
from pathlib import Path
from typing import Self

from slurwright.errors import SoundError

__all__ = ["LARGEST_BYTES", "GrowingWav"]

LARGEST_BYTES = 0xFFFFFFFF - 64
"""Most sound that the header of a WAV file can announce [bytes]."""
_HEADER_BYTES = 44
_SAFE_S = 2.0
"""So often what was written is put on the disk itself, against a loss of power [s]."""


class GrowingWav:
    """One channel of 16-bit samples, written to a new file as they come."""

    def __init__(self, path: Path, rate_hz: int) -> None:
        self._rate_hz = rate_hz
        self._bytes = 0
        self._safe_at = time.monotonic()
        try:
            self._file = path.open("xb", buffering=0)
        except FileExistsError:
            raise SoundError(
                "there is a file of this name already; nothing is overwritten", where=str(path)
            ) from None
        except OSError as error:
            raise SoundError(f"cannot record into this file: {error.strerror}", where=str(path)) from error
        self._put(0, self._header())

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        self._file.close()

    @property
    def length_s(self) -> float:
        """How much is written [s]."""
        return self._bytes / 2 / self._rate_hz

    def append(self, samples: bytes) -> None:
        """Write more, the sound first and then the header that announces it.

        Args:
            samples: 16 bits each, low byte first.

        Raises:
            OSError: the disk is full or gone; what was written before is still announced.

        """
        self._put(_HEADER_BYTES + self._bytes, samples)
        self._bytes += len(samples)
        self._put(0, self._header())
        if time.monotonic() - self._safe_at > _SAFE_S:
            os.fsync(self._file.fileno())
            self._safe_at = time.monotonic()

    def _put(self, place: int, data: bytes) -> None:
        """Write without a buffer, so that nothing is left behind in the program when it dies."""
        self._file.seek(place)
        while data:
            data = data[self._file.write(data) :]

    def _header(self) -> bytes:
        form = struct.pack("<HHIIHH", 1, 1, self._rate_hz, 2 * self._rate_hz, 2, 16)
        return (
            struct.pack("<4sI4s", b"RIFF", _HEADER_BYTES - 8 + self._bytes, b"WAVE")
            + struct.pack("<4sI", b"fmt ", len(form))
            + form
            + struct.pack("<4sI", b"data", self._bytes)
        )
