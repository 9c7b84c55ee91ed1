"""Where the chunks of a Standard MIDI File lie: header, tracks, and what else stands between them.

Follows the Standard MIDI Files 1.0 specification (from memory): a header chunk ``MThd`` with format, number of
tracks and division, then chunks of a four-letter type and a length; unknown types are to be passed over.
"""

import struct
from dataclasses import dataclass

from slurwright.errors import NotationError

__all__ = ["Chunks", "Span", "read_chunks"]


@dataclass(frozen=True, slots=True)
class Span:
    """A chunk's bytes, its eight bytes of type and length included."""

    start: int
    end: int


@dataclass(frozen=True, slots=True)
class Chunks:
    """Outline of a file."""

    format: int
    track_count: int
    """As the header says; files in the wild are wrong about it."""
    division: int
    header: Span
    tracks: tuple[Span, ...]


def read_chunks(data: bytes, *, where: str) -> Chunks:
    """Find header and tracks.

    Raises:
        NotationError: not a Standard MIDI File, cut short, or timed in film frames.

    """
    if not data.startswith(b"MThd"):
        raise NotationError(
            "not a Standard MIDI File", got=repr(data[:8]), allowed="a file that begins with MThd", where=where
        )
    if len(data) < 14:
        raise NotationError("the MIDI file ends inside its header", got=f"{len(data)} bytes", where=where)
    length, kind, count, division = struct.unpack(">LHHH", data[4:14])
    header = Span(0, 8 + length)
    if length < 6 or header.end > len(data):
        raise NotationError("the MIDI header's length is wrong", got=str(length), allowed="6", where=where)
    if kind > 2:
        raise NotationError(
            "unknown kind of MIDI file", got=f"format {kind}", allowed="format 0, 1 or 2", where=where
        )
    if division & 0x8000:
        raise NotationError(
            "the MIDI file is timed in film frames, not in beats",
            allowed="a division in ticks of a quarter note",
            where=where,
        )
    if division == 0:
        raise NotationError("the MIDI file has no ticks in a quarter note", got="0", allowed="1 or more", where=where)
    return Chunks(kind, count, division, header, _tracks(data, header.end, where))


def _tracks(data: bytes, start: int, where: str) -> tuple[Span, ...]:
    tracks: list[Span] = []
    place = start
    while place + 8 <= len(data):
        name = data[place : place + 4]
        (length,) = struct.unpack(">L", data[place + 4 : place + 8])
        end = place + 8 + length
        if name == b"MTrk":
            if end > len(data):
                raise NotationError(
                    "the MIDI file is cut short", got=f"{len(data)} bytes", allowed=f"{end} or more", where=where
                )
            tracks.append(Span(place, end))
        elif not name.isalpha():
            break
        place = end
    if not tracks:
        raise NotationError("the MIDI file has no track", where=where)
    return tuple(tracks)
