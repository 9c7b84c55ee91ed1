"""Marks in a Standard MIDI File: one track of lyrics behind the others.

A place is ``<track>:<tick>``, as the reader gives it; a lyric stands at that tick. Nothing else in the file
changes but the number of tracks, and the format from 0 to 1, which our track remembers. Lyrics have no sides, so
a mark's side is not kept; a MIDI file carries no fingerings of others.
"""

import re
import struct
from collections.abc import Sequence

from slurwright.errors import NotationError, RequestError
from slurwright.formats.marks.mark import Mark
from slurwright.formats.marks.wanted import by_place, plain_line
from slurwright.formats.midi.chunks import Chunks, Span, read_chunks
from slurwright.formats.midi.events import MARK_TRACK_NAME

__all__ = ["mark_midi", "unmark_midi"]

_PLACE = re.compile(r"(\d{1,5}):(\d{1,10})~?", re.ASCII)
_TRACK_NAME, _TEXT, _LYRIC = 0x03, 0x01, 0x05
_WAS_SINGLE = "the file was of format 0"
_END = b"\x00\xff\x2f\x00"
_MOST_TRACKS = 0xFFFF
_HIGHEST_TICK = (1 << 28) - 1
"""The longest delta time that four bytes hold [ticks]."""


def mark_midi(data: bytes, marks: Sequence[Mark], *, keep_existing: bool, where: str) -> bytes:  # noqa: ARG001
    """Which bytes is this MIDI file with these marks in place of any of ours that it had.

    Args:
        data: a Standard MIDI File.
        marks: what to write, at most one for a place.
        keep_existing: nothing to choose here: a MIDI file has no fingerings of others.
        where: the file's name for messages.

    Raises:
        NotationError: no Standard MIDI File, or of a format that takes no further track.
        RequestError: a place that the file does not have, two marks for a place, or text that cannot be written.

    """
    bare = unmark_midi(data, where=where)
    wanted = by_place(marks, pattern=_PLACE, allowed="track:tick", where=where)
    if not wanted:
        return bare
    chunks = read_chunks(bare, where=where)
    if chunks.format == 2 or chunks.track_count >= _MOST_TRACKS:
        raise NotationError(
            "this MIDI file takes no track of marks",
            got=f"format {chunks.format}, {chunks.track_count} tracks",
            allowed=f"format 0 or 1 with fewer than {_MOST_TRACKS} tracks",
            where=where,
        )
    events: list[tuple[int, int, str]] = []
    for order, (mark, found) in enumerate(wanted.values()):
        track, tick = int(found[1]), int(found[2])
        if track >= len(chunks.tracks) or tick > _HIGHEST_TICK:
            raise RequestError(
                "no such place in the file",
                got=mark.place,
                allowed=f"tracks 0 to {len(chunks.tracks) - 1}",
                where=where,
            )
        texts = [text for text in (mark.fingering, mark.sign) if text is not None]
        events += [(tick, order, plain_line(text, what="mark")) for text in texts]
    behind = chunks.tracks[-1].end
    header = _with_header(bare, format=max(1, chunks.format), tracks=chunks.track_count + 1)
    return header + bare[14:behind] + _track(events, single=chunks.format == 0) + bare[behind:]


def unmark_midi(data: bytes, *, where: str) -> bytes:
    """Which bytes was this MIDI file before it was marked.

    Args:
        data: a Standard MIDI File.
        where: the file's name for messages.

    Raises:
        NotationError: no Standard MIDI File.

    """
    chunks = read_chunks(data, where=where)
    own = _own(data, chunks)
    if own is None:
        return data
    was_single = data.startswith(_meta(_TEXT, _WAS_SINGLE), own.start + 8 + len(_meta(_TRACK_NAME, MARK_TRACK_NAME)))
    kind = 0 if was_single else chunks.format
    header = _with_header(data, format=kind, tracks=chunks.track_count - 1)
    return header + data[14 : own.start] + data[own.end :]


def _own(data: bytes, chunks: Chunks) -> Span | None:
    """Find our track: the last whose first event is our name."""
    name = _meta(_TRACK_NAME, MARK_TRACK_NAME)
    own = (span for span in reversed(chunks.tracks[1:]) if data.startswith(name, span.start + 8))
    return next(own, None) if chunks.track_count else None


def _with_header(data: bytes, *, format: int, tracks: int) -> bytes:  # noqa: A002  the standard's own word
    return data[:8] + struct.pack(">HH", format, tracks) + data[12:14]


def _track(events: Sequence[tuple[int, int, str]], *, single: bool) -> bytes:
    body = _meta(_TRACK_NAME, MARK_TRACK_NAME)
    if single:
        body += _meta(_TEXT, _WAS_SINGLE)
    now = 0
    for tick, _, text in sorted(events, key=lambda event: event[:2]):
        body += _meta(_LYRIC, text, delta=tick - now)
        now = tick
    body += _END
    return b"MTrk" + struct.pack(">L", len(body)) + body


def _meta(kind: int, text: str, *, delta: int = 0) -> bytes:
    content = text.encode("utf-8")
    return _variable(delta) + bytes((0xFF, kind)) + _variable(len(content)) + content


def _variable(number: int) -> bytes:
    """Write a number in groups of seven bits, as the format does."""
    groups = [number & 0x7F]
    while number := number >> 7:
        groups.append(number & 0x7F | 0x80)
    return bytes(reversed(groups))
