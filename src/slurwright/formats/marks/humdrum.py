"""Marks in Humdrum text: a spine ``**fing`` of our own beside the notes, and local comments in it for signs.

A place is ``<line>:<field>`` of the unmarked file, both from 1. Where the notes of several parts are marked at
once, the spine stands behind all others. Sides are not kept: a spine has none. A fingering of others that is to
give way becomes a null token, and waits in our comment.
"""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from slurwright.errors import RequestError
from slurwright.formats.humdrum.spines import (
    HIDDEN,
    OWN_COMMENT,
    OWN_HEADER,
    OWN_INTERPRETATION,
    LineKind,
    check_fields,
    followed,
    kind_of,
    split_lines,
    without_spine,
)
from slurwright.formats.marks.mark import Mark
from slurwright.formats.marks.wanted import by_place, plain_line

__all__ = ["mark_humdrum", "unmark_humdrum"]

_PLACE = re.compile(r"([1-9]\d{0,7}):([1-9]\d{0,3})", re.ASCII)
_PITCH = re.compile(rb"[A-Ga-g]")
_NULLS = {LineKind.COMMENT: b"!", LineKind.INTERPRETATION: b"*", LineKind.END: b"*-", LineKind.DATA: b"."}
_Lines = Sequence[tuple[bytes, bytes]]


def mark_humdrum(data: bytes, marks: Sequence[Mark], *, keep_existing: bool, where: str) -> bytes:
    """Which bytes is this Humdrum text with these marks in place of any of ours that it had.

    Args:
        data: the text.
        marks: what to write, at most one for a line.
        keep_existing: False hides fingerings that stand in spines of others beside the marked notes.
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
    check_fields(lines, where=where)
    by_line: dict[int, tuple[Mark, int]] = {}
    for mark, found in wanted.values():
        number, column = int(found[1]) - 1, int(found[2]) - 1
        _check(lines, number, column, mark, where)
        if number in by_line:
            raise RequestError("two marks for one line of Humdrum", got=f"line {number + 1}", where=where)
        by_line[number] = mark, column
    layout = _layout(lines)
    beside = _spine_of(by_line, layout)
    if beside is not None and any(_joins_across(line, beside) for line in layout):
        beside = None
    writer = _Writer(beside, _encoding_of(bare), hide=not keep_existing)
    return b"".join(
        piece
        for number, ((text, ending), line) in enumerate(zip(lines, layout, strict=True))
        for piece in writer.line(text, ending, line, by_line.get(number))
    )


def unmark_humdrum(data: bytes, *, where: str) -> bytes:  # noqa: ARG001  every writer of marks is asked alike
    """Which bytes was this Humdrum text before it was marked.

    Args:
        data: the text.
        where: the file's name for messages.

    """
    return without_spine(data)


@dataclass(frozen=True, slots=True)
class _Line:
    """What a line is, and the spines of its fields."""

    kind: LineKind
    fields: tuple[bytes, ...]
    spines: tuple[int, ...]
    """Empty outside spines, and on global comments and empty lines."""
    headers: Mapping[int, bytes]
    """Exclusive interpretation of each spine that began with the latest line of them."""


def _layout(lines: _Lines) -> list[_Line]:
    layout: list[_Line] = []
    spines: list[int] = []
    headers: dict[int, bytes] = {}
    for text, _ in lines:
        kind, fields = kind_of(text), text.split(b"\t")
        if kind is LineKind.EXCLUSIVE:
            spines, headers = list(range(len(fields))), dict(enumerate(fields))
        if kind in (LineKind.EMPTY, LineKind.GLOBAL) or len(fields) != len(spines):
            layout.append(_Line(kind, tuple(fields), (), headers))
            continue
        layout.append(_Line(kind, tuple(fields), tuple(spines), headers))
        if kind in (LineKind.INTERPRETATION, LineKind.END):
            spines = followed(spines, fields)
    return layout


def _spine_of(by_line: Mapping[int, tuple[Mark, int]], layout: Sequence[_Line]) -> int | None:
    """Find the one spine that all marked notes stand in; None if they stand in several."""
    found = {layout[number].spines[column] for number, (_, column) in by_line.items() if layout[number].spines}
    return found.pop() if len(found) == 1 else None


def _joins_across(line: _Line, beside: int) -> bool:
    """Say whether a join runs over the place where our field would stand."""
    behind = _behind(line, beside)
    return line.kind is LineKind.INTERPRETATION and line.fields[max(0, behind - 1) : behind + 1] == (b"*v", b"*v")


def _behind(line: _Line, beside: int | None) -> int:
    """Index of the field before which ours goes."""
    own = [at for at, spine in enumerate(line.spines) if spine == beside]
    return own[-1] + 1 if own else len(line.spines)


class _Writer:
    """Writes lines with our field in them."""

    def __init__(self, beside: int | None, encoding: str, *, hide: bool) -> None:
        self._beside = beside
        self._encoding = encoding
        self._hide = hide
        self._open = False

    def line(self, text: bytes, ending: bytes, line: _Line, wanted: tuple[Mark, int] | None) -> tuple[bytes, ...]:
        """Give a line, with those of ours that go with it."""
        if line.kind is LineKind.EXCLUSIVE:
            self._open = True
            tandem = self._with(line, [b"*"] * len(line.fields), OWN_INTERPRETATION)
            return self._with(line, line.fields, OWN_HEADER), ending or b"\n", tandem, ending
        if not line.spines or not self._open:
            return text, ending
        own = line.fields[0] if line.kind is LineKind.BAR else _NULLS[line.kind]
        if line.kind in (LineKind.INTERPRETATION, LineKind.END):
            self._open = self._goes_on(line)
            own = b"*" if self._open else b"*-"
        if wanted is None:
            return self._with(line, line.fields, own), ending
        return self._marked(line, ending, *wanted)

    def _marked(self, line: _Line, ending: bytes, mark: Mark, column: int) -> tuple[bytes, ...]:
        fields, comment = list(line.fields), [b"!"] * len(line.fields)
        hides = mark.fingering is not None and self._hide
        for at in self._fingerings(line, column) if hides else ():
            fields[at], comment[at] = b".", HIDDEN + fields[at]
        own = b"." if mark.fingering is None else self._words(mark.fingering, "fingering")
        written = self._with(line, fields, own), ending
        if mark.sign is None and fields == list(line.fields):
            return written
        sign = b"" if mark.sign is None else b" " + self._words(mark.sign, "sign")
        return self._with(line, comment, OWN_COMMENT + sign), ending or b"\n", *written

    def _fingerings(self, line: _Line, column: int) -> list[int]:
        """Find fingerings of others that belong to a note: between its spine and the next one of notes."""
        spine = line.spines[column]
        kerns = [other for other, header in line.headers.items() if header == b"**kern" and other > spine]
        until = min(kerns, default=max(line.headers) + 1)
        return [
            at
            for at, other in enumerate(line.spines)
            if spine < other < until and line.headers.get(other) == OWN_HEADER and line.fields[at] != b"."
        ]

    def _goes_on(self, line: _Line) -> bool:
        after = followed(line.spines, line.fields)
        return self._beside in after if self._beside is not None and self._beside in line.spines else bool(after)

    def _with(self, line: _Line, fields: Sequence[bytes], own: bytes) -> bytes:
        behind = _behind(line, self._beside)
        return b"\t".join((*fields[:behind], own, *fields[behind:]))

    def _words(self, text: str, what: str) -> bytes:
        return plain_line(text, what=what).encode(self._encoding, "replace")


def _encoding_of(data: bytes) -> str:
    try:
        data.decode("utf-8")
    except UnicodeDecodeError:
        return "latin-1"
    return "utf-8"


def _check(lines: _Lines, number: int, column: int, mark: Mark, where: str) -> None:
    line = lines[number][0] if number < len(lines) else b""
    fields = line.split(b"\t")
    if kind_of(line) is LineKind.DATA and column < len(fields) and _PITCH.search(fields[column]):
        return
    raise RequestError("no note stands at this place of the text", got=mark.place, where=where)
