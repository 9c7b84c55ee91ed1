"""Decode with libsndfile: WAV, FLAC, OGG, MP3, AIFF, AU and CAF."""

from collections.abc import Iterator
from typing import BinaryIO, Self

import numpy as np
import soundfile

from slurwright.formats.sound.decoding import BLOCK_SAMPLES, Frames

__all__ = ["SndfileSound"]

_FORMATS = {
    "WAV": "WAV",
    "WAVEX": "WAV",
    "RF64": "WAV",
    "W64": "WAV",
    "FLAC": "FLAC",
    "OGG": "OGG",
    "MP3": "MP3",
    "AIFF": "AIFF",
    "AU": "AU",
    "CAF": "CAF",
}
"""What is read of the library's formats: those that people record in. The others are doors without visitors."""
_BITS = {"PCM_S8": 8, "PCM_U8": 8, "PCM_16": 16, "PCM_24": 24, "PCM_32": 32, "ULAW": 13, "ALAW": 13}
_WORDS = {"FLOAT": "32 bit float", "DOUBLE": "64 bit float", "VORBIS": "Vorbis", "OPUS": "Opus"}


class _Straight(soundfile.SoundFile):  # type: ignore[misc]  # the library has no types
    """Read from start to end: without this the library seeks after every block, slowly where sound is compressed."""

    def seekable(self) -> bool:
        return False


class SndfileSound:
    """A sound file that libsndfile opened."""

    def __init__(self, file: _Straight) -> None:
        self._file = file
        self.broke_off = False

    @classmethod
    def opened(cls, stream: BinaryIO) -> Self | None:
        """Open a file; None where the library cannot.

        Args:
            stream: the file; it is read from its start.
        """
        stream.seek(0)
        try:
            file = _Straight(stream)
        except (soundfile.SoundFileError, ValueError, TypeError, OverflowError):
            return None
        if file.format not in _FORMATS:
            file.close()
            return None
        return cls(file)

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        self._file.close()

    @property
    def words(self) -> str:
        """What it is, as in "WAV, 16 bit"."""
        subtype = str(self._file.subtype)
        bits = f"{_BITS[subtype]} bit" if subtype.startswith("PCM") and subtype in _BITS else ""
        detail = bits or _WORDS.get(subtype, "")
        kind = _FORMATS[self._file.format]
        return f"{kind}, {detail}" if detail else kind

    @property
    def rate_hz(self) -> int:
        """Samples a second in each channel [Hz]."""
        return int(self._file.samplerate)

    @property
    def channels(self) -> int:
        """How many channels there are."""
        return int(self._file.channels)

    @property
    def promised(self) -> int | None:
        """How many samples a channel should have; None where the file does not say [samples]."""
        frames = int(self._file.frames)
        return frames if 0 < frames < 1 << 62 else None

    @property
    def step(self) -> float:
        """Difference between two neighbouring values of a sample, full scale 1; 0 where there is none."""
        bits = _BITS.get(str(self._file.subtype), 0)
        return 2.0 ** (1 - bits) if bits else 0.0

    def blocks(self) -> Iterator[Frames]:
        """Give all blocks in order."""
        length = max(1, BLOCK_SAMPLES // self.channels)
        while True:
            block = np.full((length, self.channels), np.nan, np.float32)
            try:
                got = self._file.read(length, out=block)
            except (soundfile.SoundFileError, RuntimeError):
                # What was decoded before the damage is in the block; the library does not say how much that is.
                self.broke_off = True
                got = block[: int(np.argmax(np.isnan(block).any(axis=1)))]
            if len(got):
                yield got
            if self.broke_off or len(got) < length:
                return
