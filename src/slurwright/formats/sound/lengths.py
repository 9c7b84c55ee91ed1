"""How much of the sound that a file announces is really in it, where the decoder would not say."""

import os
from typing import BinaryIO

from slurwright.formats.sound.kinds import SoundKind

__all__ = ["share_present"]

_UNFINISHED = (0, 0xFFFFFFFF)
_MOST_CHUNKS = 10_000


def share_present(stream: BinaryIO, kind: SoundKind | None) -> float | None:
    """Say what share of the announced samples is there; None where the file announces nothing, as when cut off.

    A recorder that was stopped before its end leaves a header without a length: that gives None. Kinds whose decoder
    counts for itself give 1.

    Args:
        stream: the file.
        kind: what it is.
    """
    if kind not in (SoundKind.WAV, SoundKind.AIFF):
        return 1.0
    stream.seek(0, os.SEEK_END)
    end = stream.tell()
    stream.seek(0)
    form = stream.read(12)
    order, wanted = ("little", b"data") if form[:4] in (b"RIFF", b"RF64") else ("big", b"SSND")
    if form[:4] not in (b"RIFF", b"FORM"):
        return 1.0
    at = 12
    for _ in range(_MOST_CHUNKS):
        stream.seek(at)
        head = stream.read(8)
        if len(head) < 8:
            break
        size = int.from_bytes(head[4:], "little" if order == "little" else "big")
        if head[:4] == wanted:
            if size in _UNFINISHED:
                return None
            return min(1.0, (end - at - 8) / size)
        at += 8 + size + size % 2
    return 1.0
