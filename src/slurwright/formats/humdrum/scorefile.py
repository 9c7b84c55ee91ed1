"""Humdrum as a score: converted to MEI by a port, read by the MEI reader, placed by line and field.

The converter names every note by the line and field it stood in, so a place is exact.
"""

import re
from collections.abc import Callable
from dataclasses import dataclass, replace

from slurwright.errors import NotationError
from slurwright.formats.humdrum.spines import LineKind, check_fields, kind_of, split_lines, without_spine
from slurwright.formats.mei import open_mei
from slurwright.formats.scorefile import PartHeading, ScoreFile
from slurwright.score import Part

__all__ = ["open_humdrum"]

_NOTE_ID = re.compile(r"#note-L(\d+)F(\d+)(?:S\d+)?")


def open_humdrum(data: bytes, *, where: str, to_mei: Callable[[bytes, str], str]) -> ScoreFile:
    """Open Humdrum text.

    Args:
        data: the file.
        where: its name for messages.
        to_mei: converts Humdrum bytes to MEI; the second argument names the file in its errors. It must raise
            `NotationError` where it cannot.

    Raises:
        NotationError: not Humdrum, or not to be converted.

    """
    bare = without_spine(data)
    _check(bare, where)
    mei = to_mei(bare, where)
    return _HumdrumScore(open_mei(mei.encode("utf-8"), where=where))


def _check(data: bytes, where: str) -> None:
    lines = split_lines(data)
    first = next((line for line, _ in lines if kind_of(line) not in (LineKind.EMPTY, LineKind.GLOBAL)), b"")
    if kind_of(first) is not LineKind.EXCLUSIVE:
        raise NotationError(
            "not Humdrum text",
            got=repr(first[:20]),
            allowed="a first line of exclusive interpretations: **kern",
            where=where,
        )
    if b"**kern" not in first.split(b"\t"):
        shown = first.decode("utf-8", "replace").replace("\t", " ")
        raise NotationError("the Humdrum file has no notes", got=shown, allowed="a **kern spine", where=where)
    check_fields(lines, where=where)


@dataclass(frozen=True, slots=True)
class _HumdrumScore:
    score: ScoreFile

    @property
    def format(self) -> str:
        return "humdrum"

    @property
    def headings(self) -> tuple[PartHeading, ...]:
        return self.score.headings

    def part(self, heading: PartHeading, *, voice: str | None = None) -> Part:
        part = self.score.part(heading, voice=voice)
        return replace(part, notes=tuple(replace(note, place=_place(note.place)) for note in part.notes))


def _place(place: str) -> str:
    """Line and field of a note, both from 1; empty if the converter does not say."""
    found = _NOTE_ID.fullmatch(place)
    return f"{found[1]}:{found[2]}" if found else ""
