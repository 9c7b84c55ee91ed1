"""How much of the sound that a file announces is really in it, where the decoder would not say."""

import io
import os
from typing import TYPE_CHECKING, BinaryIO

from slurwright.formats.sound.kinds import SoundKind, tag_size

if TYPE_CHECKING:
    from _typeshed import WriteableBuffer

__all__ = ["Patched", "finished_header", "says_length", "share_present"]

_UNFINISHED = (0, 0xFFFFFFFF)
_MOST_CHUNKS = 10_000
_LAST_PAGE_BYTES = 1 << 16
_LAST_PAGE_FLAG = 4
_TAG_BYTES = 10
_FIRST_FRAME_BYTES = 512


def share_present(stream: BinaryIO, kind: SoundKind | None) -> float | None:
    """Say what share of the announced samples is there; None where the file has no proper end.

    A recorder that was stopped in the middle leaves a header without a length, or a stream without its last page:
    that gives None. Kinds whose decoder counts for itself give 1.

    Args:
        stream: the file.
        kind: what it is.
    """
    if kind is SoundKind.OGG:
        return 1.0 if _has_last_page(stream) else None
    found = _sound_chunk(stream) if kind in (SoundKind.WAV, SoundKind.AIFF) else None
    if found is None:
        return 1.0
    at, size = found
    end = stream.seek(0, os.SEEK_END)
    return None if size in _UNFINISHED else min(1.0, max(0, end - at) / size)


def finished_header(stream: BinaryIO, kind: SoundKind | None) -> BinaryIO:
    """Give the file with the length of its sound in its header, where a recorder was stopped before it wrote that.

    Args:
        stream: the file; what is given reads from it.
        kind: what it is.
    """
    found = _sound_chunk(stream) if kind is SoundKind.WAV else None
    end = stream.seek(0, os.SEEK_END)
    stream.seek(4)
    announced = int.from_bytes(stream.read(4), "little") + 8
    stream.seek(0)
    if found is None or found[1] != 0 or end <= found[0] or announced == end:
        return stream
    length = min(end - found[0], 0xFFFFFFFE).to_bytes(4, "little")
    return io.BufferedReader(Patched(stream, at=found[0] - 4, patch=length))


def says_length(stream: BinaryIO) -> bool:
    """Say whether the first frame of an MP3 file tells how many there are.

    Args:
        stream: the file.
    """
    stream.seek(0)
    head = stream.read(_TAG_BYTES)
    if head[:3] == b"ID3" and len(head) == _TAG_BYTES:
        stream.seek(_TAG_BYTES + tag_size(head))
        head = b""
    frame = head + stream.read(_FIRST_FRAME_BYTES)
    return any(sign in frame for sign in (b"Xing", b"Info", b"VBRI"))


class Patched(io.RawIOBase):
    """A file with a few of its bytes replaced, as it is read."""

    def __init__(self, stream: BinaryIO, *, at: int, patch: bytes) -> None:
        super().__init__()
        self._stream = stream
        self._at = at
        self._patch = patch

    def readable(self) -> bool:
        """Say yes."""
        return True

    def seekable(self) -> bool:
        """Say yes."""
        return True

    def seek(self, offset: int, whence: int = os.SEEK_SET) -> int:
        """Go to a place."""
        return self._stream.seek(offset, whence)

    def tell(self) -> int:
        """Say where it is."""
        return self._stream.tell()

    def readinto(self, buffer: "WriteableBuffer") -> int:
        """Read what fits."""
        view = memoryview(buffer).cast("B")
        start = self._stream.tell()
        data = bytearray(self._stream.read(len(view)))
        for index, byte in enumerate(self._patch):
            place = self._at + index - start
            if 0 <= place < len(data):
                data[place] = byte
        view[: len(data)] = data
        return len(data)


def _sound_chunk(stream: BinaryIO) -> tuple[int, int] | None:
    """Find where the sound of a WAV or AIFF file starts and how many bytes it announces."""
    stream.seek(0)
    form = stream.read(12)[:4]
    if form not in (b"RIFF", b"FORM"):
        return None
    wanted = b"data" if form == b"RIFF" else b"SSND"
    at = 12
    for _ in range(_MOST_CHUNKS):
        stream.seek(at)
        head = stream.read(8)
        if len(head) < 8:
            return None
        size = int.from_bytes(head[4:], "little" if form == b"RIFF" else "big")
        if head[:4] == wanted:
            return at + 8, size
        at += 8 + size + size % 2
    return None


def _has_last_page(stream: BinaryIO) -> bool:
    end = stream.seek(0, os.SEEK_END)
    stream.seek(max(0, end - _LAST_PAGE_BYTES))
    tail = stream.read(_LAST_PAGE_BYTES)
    at = tail.rfind(b"OggS")
    return at >= 0 and len(tail) > at + 5 and bool(tail[at + 5] & _LAST_PAGE_FLAG)
