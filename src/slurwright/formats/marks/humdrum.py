"""Marks in Humdrum text: a last spine ``**fing`` of our own, and a local comment in it for a sign.

A place is ``<line>:<field>`` of the unmarked file, both from 1. Our spine is known by its second line,
``*slurwright``; a sign stands in a line of local comments before its note. Sides are not kept: a spine has none.
Fingerings of others stand in spines of their own and are never touched.
"""

import re
from collections.abc import Sequence

from slurwright.errors import NotationError, RequestError
from slurwright.formats.humdrum.spines import (
    OWN_COMMENT,
    OWN_HEADER,
    OWN_INTERPRETATION,
    LineKind,
    kind_of,
    split_lines,
    without_spine,
)
from slurwright.formats.marks.mark import Mark
from slurwright.formats.marks.wanted import by_place, plain_line

__all__ = ["mark_humdrum", "unmark_humdrum"]

_PLACE = re.compile(r"([1-9]\d{0,7}):([1-9]\d{0,3})", re.ASCII)
_PITCH = re.compile(rb"[A-Ga-g]")
_OWN_FIELD = {
    LineKind.COMMENT: b"!",
    LineKind.INTERPRETATION: b"*",
    LineKind.END: b"*-",
    LineKind.DATA: b".",
}


def mark_humdrum(data: bytes, marks: Sequence[Mark], *, keep_existing: bool, where: str) -> bytes:  # noqa: ARG001
    """Which bytes is this Humdrum text with these marks in place of any of ours that it had.

    Args:
        data: the text.
        marks: what to write, at most one for a place.
        keep_existing: nothing to choose here: fingerings of others stay in their own spine.
        where: the file's name for messages.

    Raises:
        NotationError: not Humdrum text.
        RequestError: a place that is no note of this text, two marks for a line, or text that cannot be written.

    """
    bare = without_spine(data)
    wanted = by_place(marks, pattern=_PLACE, allowed="line:field of a note", where=where)
    if not wanted:
        return bare
    lines = split_lines(bare)
    by_line: dict[int, Mark] = {}
    for mark, found in wanted.values():
        number, column = int(found[1]), int(found[2])
        _check(lines, number, column, mark, where)
        if number in by_line:
            raise RequestError("two marks for one line of Humdrum", got=f"line {number}", where=where)
        by_line[number] = mark
    if not any(kind_of(line) is LineKind.EXCLUSIVE for line, _ in lines):
        raise NotationError("not Humdrum text", allowed="a line of exclusive interpretations: **kern", where=where)
    encoding = _encoding_of(bare)
    pieces: list[bytes] = []
    inside = False
    for number, (line, ending) in enumerate(lines, start=1):
        kind = kind_of(line)
        if kind is LineKind.EXCLUSIVE:
            inside = True
            pieces += (line, OWN_HEADER, ending or b"\n", _nulls(line, b"*"), OWN_INTERPRETATION, ending)
        elif not inside or kind in (LineKind.EMPTY, LineKind.GLOBAL):
            pieces += (line, ending)
        else:
            pieces += _marked_line(line, ending, kind, by_line.get(number), encoding)
            inside = kind is not LineKind.END
    return b"".join(pieces)


def _marked_line(line: bytes, ending: bytes, kind: LineKind, mark: Mark | None, encoding: str) -> tuple[bytes, ...]:
    """Give a line with its field in our spine, behind the comment that its sign needs."""
    own = line.split(b"\t")[0] if kind is LineKind.BAR else _OWN_FIELD[kind]
    if mark is None:
        return line, b"\t", own, ending
    if mark.fingering is not None:
        own = plain_line(mark.fingering, what="fingering").encode(encoding, "replace")
    if mark.sign is None:
        return line, b"\t", own, ending
    sign = plain_line(mark.sign, what="sign").encode(encoding, "replace")
    return _nulls(line, b"!"), OWN_COMMENT, sign, ending or b"\n", line, b"\t", own, ending


def _nulls(line: bytes, sign: bytes) -> bytes:
    """Fields that say nothing, one for each of a line, each with a tab behind it."""
    return (sign + b"\t") * len(line.split(b"\t"))


def _encoding_of(data: bytes) -> str:
    try:
        data.decode("utf-8")
    except UnicodeDecodeError:
        return "latin-1"
    return "utf-8"


def _check(lines: Sequence[tuple[bytes, bytes]], number: int, column: int, mark: Mark, where: str) -> None:
    line = lines[number - 1][0] if number <= len(lines) else b""
    fields = line.split(b"\t")
    if kind_of(line) is LineKind.DATA and column <= len(fields) and _PITCH.search(fields[column - 1]):
        return
    raise RequestError("no note stands at this place of the text", got=mark.place, where=where)


def unmark_humdrum(data: bytes, *, where: str) -> bytes:  # noqa: ARG001  every writer of marks is asked alike
    """Which bytes was this Humdrum text before it was marked.

    Args:
        data: the text.
        where: the file's name for messages.

    """
    return without_spine(data)
