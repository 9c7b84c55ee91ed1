"""A sound file as blocks of samples at its own rate: what a decoder says of it, and which decoder to ask."""

from collections.abc import Iterator
from contextlib import contextmanager
from typing import BinaryIO, Protocol

import numpy as np
from numpy.typing import NDArray

from slurwright.errors import SoundError
from slurwright.formats.sound.kinds import READ_SOUNDS, SoundKind, by_name, kind_of, other_kind, seems
from slurwright.formats.sound.lengths import finished_header, says_length

__all__ = ["BLOCK_SAMPLES", "Decoder", "Frames", "opened_sound"]

Frames = NDArray[np.float32]
"""Samples side by side; shape=(n, channels)."""

BLOCK_SAMPLES = 1 << 15
"""Most that a decoder gives at once, all channels counted; ours [samples]."""

_HEAD_BYTES = 4096
_LOWEST_HZ, _HIGHEST_HZ = 4_000, 768_000
_MOST_CHANNELS = 32
_LATE_STARTERS = (SoundKind.MP3, SoundKind.AAC)
"""Kinds whose first frame may come after bytes that say nothing."""


class Decoder(Protocol):
    """A sound file that was opened."""

    @property
    def words(self) -> str:
        """What it is, as in "WAV, 16 bit"."""
        ...

    @property
    def rate_hz(self) -> int:
        """Samples a second in each channel [Hz]."""
        ...

    @property
    def channels(self) -> int:
        """How many channels there are."""
        ...

    @property
    def promised(self) -> int | None:
        """How many samples a channel should have; None where the file does not say [samples]."""
        ...

    @property
    def step(self) -> float:
        """Difference between two neighbouring values of a sample, full scale 1; 0 where there is none."""
        ...

    @property
    def broke_off(self) -> bool:
        """Whether the blocks ended early because the file is damaged; known after the last."""
        ...

    def blocks(self) -> Iterator[Frames]:
        """Give all blocks in order."""
        ...


@contextmanager
def opened_sound(stream: BinaryIO, *, name: str) -> Iterator[tuple[SoundKind | None, Decoder]]:
    """Open a sound file with the decoder that reads it: its kind, None where only the decoder knows, and its sound.

    Args:
        stream: the file, at its start; it must be able to seek.
        name: its name for messages and for what its ending promises.

    Raises:
        SoundError: it is empty, no sound file, damaged at its start, or of a kind that is not read.

    """
    head = stream.read(_HEAD_BYTES)
    if not head:
        raise SoundError("the file is empty", allowed=READ_SOUNDS, where=name)
    kind = kind_of(head)
    if kind is None and (by_name(name) not in _LATE_STARTERS or other_kind(head)):
        raise SoundError("this is no sound file", got=seems(head), allowed=READ_SOUNDS, where=name)
    from slurwright.formats.sound.with_ffmpeg import FfmpegSound, ffmpeg_is_here  # noqa: PLC0415
    from slurwright.formats.sound.with_sndfile import SndfileSound  # noqa: PLC0415

    decoder: SndfileSound | FfmpegSound | None = None
    with_extra = ffmpeg_is_here()
    if with_extra and kind is SoundKind.MP3 and not says_length(stream):
        decoder = FfmpegSound.opened(stream)  # libsndfile guesses the length, and reads no further
    if decoder is None and (kind is None or not kind.needs_extra):
        decoder = SndfileSound.opened(finished_header(stream, kind))
    if decoder is None:
        if with_extra:
            decoder = FfmpegSound.opened(stream)
        elif kind is not None and kind.needs_extra:
            raise SoundError(
                f"{kind.value} needs an extra that is not installed",
                allowed="pip install 'slurwright[m4a]', or the recording saved as WAV, FLAC or MP3",
                where=name,
            )
    if decoder is None:
        got = f"damaged or unusual {kind.value}" if kind else seems(head)
        raise SoundError("this sound file cannot be read", got=got, allowed=READ_SOUNDS, where=name)
    with decoder:
        _check_shape(decoder, name)
        yield kind, decoder


def _check_shape(decoder: Decoder, name: str) -> None:
    if not _LOWEST_HZ <= decoder.rate_hz <= _HIGHEST_HZ:
        raise SoundError(
            "the file's rate makes no sense for music",
            got=f"{decoder.rate_hz} samples a second",
            allowed=f"{_LOWEST_HZ} to {_HIGHEST_HZ}",
            where=name,
        )
    if not 1 <= decoder.channels <= _MOST_CHANNELS:
        raise SoundError(
            "the file has too many channels",
            got=str(decoder.channels),
            allowed=f"1 to {_MOST_CHANNELS}",
            where=name,
        )
