"""Marks in an MEI document, by splicing its text: ``<fing>`` and ``<dir>`` at the end of the note's measure.

A place is ``#<xml:id>`` of a note, or ``@<n>:<staff>:<layer>:<beat>`` for a note without one: the n-th ``<note>``
of the document from 0, and where it stands. Our elements carry an xml:id that begins with "slurwright-". A
fingering of others that ours replaces becomes a processing instruction in its place, so that it comes back.
"""

import re
from collections.abc import Sequence
from dataclasses import dataclass, field

from slurwright.errors import RequestError
from slurwright.formats.marks.mark import Mark
from slurwright.formats.marks.wanted import by_place
from slurwright.formats.marks.xmltext import (
    SKIPPED,
    Splice,
    Tag,
    XmlText,
    escaped,
    kept_aside,
    open_xml,
    own_cuts,
    scan,
    spliced,
)
from slurwright.formats.own_elements import OWN_ID

__all__ = ["mark_mei", "unmark_mei"]

_PLACE = re.compile(
    r"#(?P<id>[^\s\"'<>&]+)|@(?P<n>\d{1,9}):(?P<staff>[^:\s\"'<>&]+):(?P<layer>[^:\s\"'<>&]+):(?P<beat>[\d.]+)"
)
_ID = re.compile(r"""\sxml:id\s*=\s*["']([^"']*)["']""")
_STARTID = re.compile(r"""\sstartid\s*=\s*["']#([^"']*)["']""")
_OWN = re.compile(
    rf"<(?:\?{OWN_ID}kept\s(?P<kept>.*?)\?>|{SKIPPED}"
    rf"""|(?P<own>(?P<tag>(?:[^\s<>/:!?]+:)?(?:fing|dir))\s(?:[^<>]*\s)?xml:id\s*=\s*["']{OWN_ID}[^<>]*>[^<]*</(?P=tag)\s*>))""",
    re.DOTALL,
)


def mark_mei(data: bytes, marks: Sequence[Mark], *, keep_existing: bool, where: str) -> bytes:
    """Which bytes is this MEI document with these marks in place of any of ours that it had.

    Args:
        data: the document.
        marks: what to write, at most one for a place.
        keep_existing: False hides fingerings of others on notes that get one of ours, where they name the note.
        where: the file's name for messages.

    Raises:
        NotationError: not well-formed XML, or in an encoding that cannot be given back unchanged.
        RequestError: a place that is no note of this document, two marks for a place, or text that XML cannot hold.

    """
    source = open_xml(data, where=where)
    text = _without_marks(source.text)
    wanted = by_place(marks, pattern=_PLACE, allowed="#id or @number:staff:layer:beat of a note", where=where)
    if not wanted:
        return source.to_bytes(text)
    outline = _outline(text)
    splices: list[Splice] = []
    for order, (mark, found) in enumerate(wanted.values()):
        number = outline.number_of_id.get(found["id"]) if found["id"] else int(found["n"])
        measure = outline.measure_of_note.get(-1 if number is None else number)
        if measure is None:
            raise RequestError("no such note in the document", got=mark.place, where=where)
        end, prefix = outline.measure_ends[measure]
        splices.append(Splice(end, end, _elements(mark, found, prefix, order)))
        if mark.fingering is not None and not keep_existing and found["id"]:
            for start, stop in outline.fingerings.get(found["id"], ()):
                splices.append(Splice(start, stop, kept_aside(text[start:stop])))
    return source.to_bytes(spliced(text, splices))


def unmark_mei(data: bytes, *, where: str) -> bytes:
    """Which bytes was this MEI document before it was marked.

    Args:
        data: the document.
        where: the file's name for messages.

    Raises:
        NotationError: not well-formed XML, or in an encoding that cannot be given back unchanged.

    """
    source: XmlText = open_xml(data, where=where)
    return source.to_bytes(_without_marks(source.text))


def _without_marks(text: str) -> str:
    return spliced(text, own_cuts(_OWN.finditer(text))) if OWN_ID in text else text


@dataclass(slots=True)
class _Outline:
    """Where measures end and which notes and fingerings they hold."""

    measure_ends: list[tuple[int, str]] = field(default_factory=list)
    """Place of the end tag [characters] and the prefix of its name."""
    measure_of_note: dict[int, int] = field(default_factory=dict)
    number_of_id: dict[str, int] = field(default_factory=dict)
    fingerings: dict[str, list[tuple[int, int]]] = field(default_factory=dict)
    """Fingerings by the id of the note that they name."""


def _outline(text: str) -> _Outline:
    outline = _Outline()
    notes = 0
    open_measure = False
    fingering: Tag | None = None
    for tag in scan(text, 0):
        if tag.name == "measure":
            if tag.opens and not tag.closes:
                outline.measure_ends.append((tag.start, tag.prefix))
                open_measure = True
            elif tag.closes and not tag.opens:
                outline.measure_ends[-1] = tag.start, tag.prefix
                open_measure = False
        elif tag.name == "note" and tag.opens:
            if open_measure:
                outline.measure_of_note[notes] = len(outline.measure_ends) - 1
            if found := _ID.search(tag.attributes):
                outline.number_of_id[found[1]] = notes
            notes += 1
        elif tag.name == "fing":
            fingering = tag if tag.opens else fingering
            if tag.closes and fingering is not None and (found := _STARTID.search(fingering.attributes)):
                outline.fingerings.setdefault(found[1], []).append((fingering.start, tag.end))
    return outline


def _elements(mark: Mark, found: re.Match[str], prefix: str, order: int) -> str:
    if found["id"]:
        place = f'startid="#{found["id"]}"'
    else:
        place = f'staff="{found["staff"]}" layer="{found["layer"]}" tstamp="{found["beat"]}"'
    sides = ("above", "below") if mark.above else ("below", "above")
    new = ""
    for name, side, text, what in (
        ("fing", sides[0], mark.fingering, "fingering"),
        ("dir", sides[1], mark.sign, "sign"),
    ):
        if text is not None:
            ident = f"{OWN_ID}{what[0]}{order}"
            words = escaped(text, what=what)
            new += f'<{prefix}{name} xml:id="{ident}" {place} place="{side}">{words}</{prefix}{name}>'
    return new
