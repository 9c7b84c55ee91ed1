"""Marks in an uncompressed MusicXML file, by splicing its text.

A place is ``note:<n>``: the n-th ``<note>`` element of the file in document order, from 0, rests included,
part-wise and time-wise alike.

A fingering stands in a ``<technical>`` element of its own, at the end of the note's first ``<notations>`` that is
shown, because some programs read no others; only a note without one gets ``<notations>`` of ours. A sign stands in a
``<direction>`` before the note, and before the whole chord where the note is in one, because ``<chord/>`` refers to
the note just before. Our elements carry an ``id`` that begins with "slurwright-" (MusicXML 3.1 and later).
A fingering of others that ours replaces becomes a processing instruction in its place, so that it comes back:
the instruction's data is the element as it was, with ``&`` and ``?>`` escaped.
"""

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

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

__all__ = ["mark_musicxml", "unmark_musicxml"]

_PLACE = re.compile(r"note:(0|[1-9][0-9]{0,8})", re.ASCII)
_AFTER_NOTATIONS = frozenset({"lyric", "play", "listen"})
_FINGERING_PATH = ["note", "notations", "technical", "fingering"]

_PREFIX = r"(?:[^\s<>/:!?]++:)?+"
_NOTE = re.compile(rf"<(?:{SKIPPED}|(?P<note>{_PREFIX}note(?=[\s/>])))", re.DOTALL)
_NOTE_TAG = re.compile(rf"""<(?P<prefix>{_PREFIX})note(?:[^"'<>/]|"[^"]*"|'[^']*')*>\s*<[^/]""")
_TAIL = re.compile(rf"<(?:{_PREFIX}(?:lyric|play|listen)[\s/>]|/{_PREFIX}note\s*>)")
_UNUSUAL = re.compile(rf"<(?:[!?]|{_PREFIX}(?:rest[\s/>]|notations\s[^<>]*print-object))")
_NOTATIONS_END = re.compile(rf"</{_PREFIX}notations\s*>")
_ID = rf"""\s(?:[^<>]*\s)?id\s*=\s*["']{OWN_ID}[^<>]*>"""
_TECHNICAL = rf"technical{_ID}\s*<{_PREFIX}fingering[^<>]*>[^<]*</{_PREFIX}fingering\s*>\s*</{_PREFIX}technical\s*>"
_DIRECTION = (
    rf"direction{_ID}\s*<{_PREFIX}direction-type[^<>]*>\s*<{_PREFIX}words[^<>]*>[^<]*</{_PREFIX}words\s*>\s*"
    rf"</{_PREFIX}direction-type\s*>(?:\s*<{_PREFIX}(?:voice|staff)[^<>]*>[^<]*</{_PREFIX}(?:voice|staff)\s*>){{0,2}}"
    rf"\s*</{_PREFIX}direction\s*>"
)
_OWN = re.compile(
    rf"<(?:\?{OWN_ID}kept\s(?P<kept>.*?)\?>|{SKIPPED}"
    rf"|(?P<own>{_PREFIX}(?:notations{_ID}\s*<{_PREFIX}{_TECHNICAL}\s*</{_PREFIX}notations\s*>"
    rf"|{_TECHNICAL}|{_DIRECTION})))",
    re.DOTALL,
)
"""Our own elements, whichever program has laid out the file anew since; else something to pass over.

A technical element of ours alone is what stays to be cut when a program has put more into our notations."""


def mark_musicxml(data: bytes, marks: Sequence[Mark], *, keep_existing: bool, where: str) -> bytes:
    """Which bytes is this MusicXML file with these marks in place of any of ours that it had.

    Args:
        data: an uncompressed MusicXML file.
        marks: what to write, at most one for a place.
        keep_existing: False hides fingerings of others on notes that get one of ours.
        where: the file's name for messages.

    Raises:
        NotationError: not well-formed XML, or in an encoding that cannot be given back unchanged.
        RequestError: a place that is no note of this file, two marks for a place, or text that XML cannot hold.

    """
    source = open_xml(data, where=where)
    text = _without_marks(source)
    wanted = _by_ordinal(marks, where)
    starts = _note_starts(text, source.body, last=max(wanted, default=-1))
    missing = [ordinal for ordinal in wanted if ordinal >= len(starts)]
    if missing:
        raise RequestError(
            "no such note in the file", got=f"note:{missing[0]}", allowed=f"0 to {len(starts) - 1}", where=where
        )
    splices: list[Splice] = []
    heads: dict[int, int] = {}
    for ordinal in sorted(wanted):
        splices += _splices(text, starts, ordinal, heads, mark=wanted[ordinal], keep_existing=keep_existing)
    return source.to_bytes(spliced(text, splices))


def unmark_musicxml(data: bytes, *, where: str) -> bytes:
    """Which bytes was this MusicXML file before it was marked.

    Args:
        data: an uncompressed MusicXML file.
        where: the file's name for messages.

    Raises:
        NotationError: not well-formed XML, or in an encoding that cannot be given back unchanged.

    """
    source = open_xml(data, where=where)
    return source.to_bytes(_without_marks(source))


def _without_marks(source: XmlText) -> str:
    if OWN_ID not in source.text:
        return source.text
    return spliced(source.text, own_cuts(_OWN.finditer(source.text, source.body)))


def _by_ordinal(marks: Sequence[Mark], where: str) -> dict[int, Mark]:
    wanted = by_place(marks, pattern=_PLACE, allowed="note:0, note:1, …", where=where)
    return {int(found[1]): mark for mark, found in wanted.values()}


def _note_starts(text: str, body: int, *, last: int) -> list[int]:
    starts: list[int] = []
    if last >= 0:
        for found in _NOTE.finditer(text, body):
            if found["note"] is not None:
                starts.append(found.start())
                if len(starts) > last:
                    break
    return starts


@dataclass(frozen=True, slots=True)
class _NoteElement:
    """What marking needs to know of one note element."""

    prefix: str
    start: int
    behind: int
    """Behind the last child that may stand before notations of ours [characters]."""
    children: dict[str, str]
    """What stands between the tags of the note's own children, by name; the first of each name."""
    notations_end: int | None
    """Before the end tag of the first notations that are shown, if there are any [characters]."""
    fingerings: tuple[tuple[int, int], ...]
    """Where its fingerings begin and end [characters]."""


def _note_at(text: str, start: int) -> _NoteElement:
    opened: list[Tag] = []
    children: dict[str, str] = {}
    fingerings: list[tuple[int, int]] = []
    behind = start
    notations_end: int | None = None
    for tag in scan(text, start):
        if tag.opens:
            behind = behind if opened else tag.end
            opened.append(tag)
        if not tag.closes:
            continue
        first = opened.pop()
        if not opened:
            return _NoteElement(first.prefix, start, behind, children, notations_end, tuple(fingerings))
        if len(opened) == 1:
            children.setdefault(first.name, text[first.end : max(first.end, tag.start)])
            behind = behind if _AFTER_NOTATIONS.intersection(children) else tag.end
            if first.name == "notations" and not tag.opens and "print-object" not in first.attributes:
                notations_end = tag.start if notations_end is None else notations_end
        elif len(opened) == 3 and [each.name for each in (*opened, first)] == _FINGERING_PATH:
            fingerings.append((first.start, tag.end))
    raise AssertionError("a well-formed note ends")  # pragma: no cover


def _quick(text: str, start: int, mark: Mark, ordinal: int) -> Splice | None:
    """Mark a note with no comment and the like in it: as `_note_at` would have it, ten times as fast."""
    tag, tail = _NOTE_TAG.match(text, start), _TAIL.search(text, start)
    if tag is None or tail is None or _UNUSUAL.search(text, start, tail.start()):
        return None
    found = _NOTATIONS_END.search(text, start, tail.start())
    behind = text.rindex(">", start, tail.start()) + 1
    return _fingering(mark, ordinal, tag["prefix"], found.start() if found else None, behind)


def _splices(
    text: str, starts: list[int], ordinal: int, heads: dict[int, int], *, mark: Mark, keep_existing: bool
) -> Iterator[Splice]:
    if keep_existing and mark.sign is None and mark.fingering is not None:
        quick = _quick(text, starts[ordinal], mark, ordinal)
        if quick is not None:
            yield quick
            return
    note = _note_at(text, starts[ordinal])
    if not note.children or "rest" in note.children:
        raise RequestError("no pitch stands here to be marked", got=mark.place, allowed="a note that sounds")
    if mark.sign is not None:
        head = starts[_chord_head(text, starts, ordinal, heads)]
        yield Splice(head, head, _direction(mark, note, ordinal))
    if mark.fingering is not None:
        for start, end in () if keep_existing else note.fingerings:
            yield Splice(start, end, kept_aside(text[start:end]))
        yield _fingering(mark, ordinal, note.prefix, note.notations_end, note.behind)


def _chord_head(text: str, starts: list[int], ordinal: int, heads: dict[int, int]) -> int:
    """Ordinal of the note that has the others of its chord behind it; ``heads`` remembers those found before."""
    passed, at = [ordinal], ordinal
    while at > 0 and at not in heads and "chord" in _note_at(text, starts[at]).children:
        at -= 1
        passed.append(at)
    head = heads.get(at, at)
    heads.update(dict.fromkeys(passed, head))
    return head


def _fingering(mark: Mark, ordinal: int, prefix: str, notations_end: int | None, behind: int) -> Splice:
    words = escaped(mark.fingering or "", what="fingering")
    side = "above" if mark.above else "below"
    technical = (
        f'<{prefix}technical id="{OWN_ID}t{ordinal}"><{prefix}fingering placement="{side}">{words}'
        f"</{prefix}fingering></{prefix}technical>"
    )
    if notations_end is not None:
        return Splice(notations_end, notations_end, technical)
    notations = f'<{prefix}notations id="{OWN_ID}n{ordinal}">{technical}</{prefix}notations>'
    return Splice(behind, behind, notations)


def _direction(mark: Mark, note: _NoteElement, ordinal: int) -> str:
    words = escaped(mark.sign or "", what="sign")
    prefix, side = note.prefix, "below" if mark.above else "above"
    where = "".join(
        f"<{prefix}{name}>{note.children[name]}</{prefix}{name}>"
        for name in ("voice", "staff")
        if "<" not in note.children.get(name, "<")
    )
    return (
        f'<{prefix}direction id="{OWN_ID}d{ordinal}" placement="{side}"><{prefix}direction-type>'
        f"<{prefix}words>{words}</{prefix}words></{prefix}direction-type>{where}</{prefix}direction>"
    )
