"""Decode with the libraries of FFmpeg, an optional extra: M4A/AAC, MP4, WebM, 3GP, and what libsndfile refuses."""

from collections.abc import Iterator
from importlib.util import find_spec
from itertools import chain
from typing import TYPE_CHECKING, BinaryIO, Self

import numpy as np

from slurwright.formats.sound.decoding import BLOCK_SAMPLES, Frames

if TYPE_CHECKING:
    from av.audio.frame import AudioFrame
    from av.container import InputContainer

__all__ = ["FfmpegSound", "ffmpeg_is_here"]

_DEMUXERS = {
    "mov": "M4A",
    "matroska": "WebM",
    "aac": "AAC",
    "amr": "AMR",
    "mp3": "MP3",
    "wav": "WAV",
    "flac": "FLAC",
    "ogg": "OGG",
    "aiff": "AIFF",
    "caf": "CAF",
}
"""What is read of the library's many formats. Play lists and the like, which open other files, are not among them."""


def ffmpeg_is_here() -> bool:
    """Say whether the extra is installed."""
    return find_spec("av") is not None


class FfmpegSound:
    """A sound file that FFmpeg opened."""

    def __init__(self, container: "InputContainer", kind: str) -> None:
        self._container = container
        self._stream = container.streams.audio[0]
        self._kind = kind
        self.broke_off = False
        self._frames = self._decoded()
        # What a container says of rate and channels need not be what its codec then gives.
        self._first = next(self._frames, None)

    @classmethod
    def opened(cls, stream: BinaryIO) -> Self | None:
        """Open a file; None where the library cannot, or where there is no sound in it.

        Args:
            stream: the file; it is read from its start.
        """
        import av  # noqa: PLC0415

        stream.seek(0)
        head = stream.read(16)
        for demuxer in _likely(head):
            stream.seek(0)
            try:
                container = av.open(stream, mode="r", format=demuxer, metadata_errors="replace")
            except (av.FFmpegError, ValueError, OSError):
                continue
            if container.streams.audio and container.streams.audio[0].codec_context is not None:
                sound = cls(container, "3GP" if head[4:10] == b"ftyp3g" else _DEMUXERS[demuxer])
                if sound.channels:
                    return sound
            container.close()
        return None

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        self._container.close()

    @property
    def words(self) -> str:
        """What it is, as in "M4A, aac"."""
        codec = self._stream.codec_context.name.upper()
        return self._kind if codec.startswith(self._kind) else f"{self._kind}, {codec}"

    @property
    def rate_hz(self) -> int:
        """Samples a second in each channel [Hz]."""
        return int(self._first.sample_rate) if self._first else 0

    @property
    def channels(self) -> int:
        """How many channels there are."""
        return int(self._first.layout.nb_channels) if self._first else 0

    @property
    def promised(self) -> int | None:
        """How many samples a channel should have; None where the file does not say [samples]."""
        length, base = self._stream.duration, self._stream.time_base
        if length is not None and base is not None:
            return int(length * base * self.rate_hz) or None
        whole = self._container.duration
        return int(whole * self.rate_hz / 1_000_000) or None if whole else None

    @property
    def step(self) -> float:
        """Difference between two neighbouring values of a sample: 0, for compressed sound has none."""
        return 0.0

    def blocks(self) -> Iterator[Frames]:
        """Give all blocks in order."""
        gathered: list[Frames] = []
        waiting, most = 0, BLOCK_SAMPLES // self.channels
        for frame in chain((self._first,), self._frames):
            if frame is None or (frame.sample_rate, frame.layout.nb_channels) != (self.rate_hz, self.channels):
                self.broke_off = True
                break
            gathered.append(_samples(frame, self.channels))
            waiting += len(gathered[-1])
            if waiting >= most:
                yield np.concatenate(gathered)
                gathered, waiting = [], 0
        if gathered:
            yield np.concatenate(gathered)

    def _decoded(self) -> "Iterator[AudioFrame]":
        import av  # noqa: PLC0415

        packets = self._container.demux(self._stream)
        try:
            for packet in packets:
                try:
                    yield from packet.decode()
                except av.InvalidDataError:  # one spoiled packet among good ones: a few hundredths of a second
                    self.broke_off = True
        except (av.FFmpegError, ValueError, OSError):
            self.broke_off = True


def _likely(head: bytes) -> list[str]:
    """Order the library's readers, the likeliest first; it is never left to guess."""
    first = {b"\x1a\x45\xdf\xa3": "matroska", b"OggS": "ogg", b"fLaC": "flac", b"RIFF": "wav", b"caff": "caf"}
    if head[4:8] in (b"ftyp", b"moov", b"mdat", b"free", b"wide", b"skip"):
        return ["mov"]
    if head.startswith(b"#!AMR"):
        return ["amr"]
    return [first[head[:4]]] if head[:4] in first else ["mp3", "aac"]


def _samples(frame: "AudioFrame", channels: int) -> Frames:
    """Bring a frame to floating point, channels side by side."""
    data = frame.to_ndarray()
    data = data.T if frame.format.is_planar else data.reshape(-1, channels)
    if data.dtype.kind == "f":
        return np.ascontiguousarray(data, np.float32)
    if data.dtype.kind == "u":
        return (data.astype(np.float32) - 128.0) / 128.0
    return data.astype(np.float32) / np.float32(2.0 ** (8 * data.dtype.itemsize - 1))
