"""Which parts does a MusicXML score have, and what is in one of them: the opened file.

Parsing happens once, when the file is opened; a part is walked when it is asked for. Part-wise and time-wise scores
are read alike. (Published: MusicXML 4.0, W3C Community Group Final Report.)
"""

import gc
from collections.abc import Iterator
from contextlib import contextmanager
from functools import cached_property
from typing import cast

from lxml import etree

from slurwright.errors import NotationError
from slurwright.formats.musicxml.assemble import SystemWide, Titles, assemble, system_wide
from slurwright.formats.musicxml.container import score_bytes
from slurwright.formats.musicxml.faults import Log
from slurwright.formats.musicxml.walk import Grid, RawMeasure, walk
from slurwright.formats.scorefile import PartHeading
from slurwright.formats.xmlsafe import Element, parse_xml
from slurwright.score import Part

__all__ = ["OpenedMusicXml", "open_musicxml"]

_NOTES_INSIDE = etree.XPath("count(note)")
_NOTES_IN_MEASURES = etree.XPath("count(measure/note)")
_NOTES_ANYWHERE = etree.XPath("count(.//note)")
"""Asked of every measure when a score is opened: counted inside the library, without an object a note."""
_ROOTS = ("score-partwise", "score-timewise")


def open_musicxml(data: bytes, *, where: str) -> "OpenedMusicXml":
    """Open a MusicXML file, packed or plain.

    Args:
        data: the whole file.
        where: its name, for messages.

    Raises:
        NotationError: broken, hostile, or no MusicXML score.

    """
    root = parse_xml(score_bytes(data, where=where), where=where)
    _drop_namespace(root)
    if root.tag not in _ROOTS:
        raise NotationError("not a MusicXML score", got=f"<{root.tag}>", allowed=" or ".join(_ROOTS), where=where)
    return OpenedMusicXml(root, where)


@contextmanager
def _collector_at_rest() -> Iterator[None]:
    """Keep the cyclic garbage collector from looking through what is being built.

    A part is many small values without cycles; looking through them again and again cost a fifth of the time.
    """
    was_on = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if was_on:
            gc.enable()


def _drop_namespace(root: Element) -> None:
    """Let elements go by their local names, should a program have put them into a namespace."""
    if not str(root.tag).startswith("{"):
        return
    for element in root.iter():
        if isinstance(element.tag, str):
            element.tag = element.tag.rpartition("}")[2]


class OpenedMusicXml:
    """A MusicXML score that lists its parts and reads one when asked."""

    def __init__(self, root: Element, where: str) -> None:
        self._root = root
        self._where = where
        self._grid = Grid()
        self._listed = {part.get("id", ""): part for part in root.iterfind("part-list/score-part")}

    @property
    def format(self) -> str:
        """Short name of the notation."""
        return "musicxml"

    @cached_property
    def headings(self) -> tuple[PartHeading, ...]:
        """The parts in score order, those of the part list first."""
        ids = [*(id_ for id_ in self._listed if id_ in self._measures)]
        ids += [id_ for id_ in self._measures if id_ not in self._listed]
        return tuple(self._heading(number, id_) for number, id_ in enumerate(ids, start=1))

    def part(self, heading: PartHeading, *, voice: str | None = None) -> Part:
        """Read one part.

        Args:
            heading: one of `headings`.
            voice: a voice by its name in the file; "top" or "bottom" for the upper or lower notes of chords and
                the higher or lower voice; both, as in "2 top". None takes the only line.

        Raises:
            PartError: no notes, no such voice, or several notes at once.
            NotationError: the part's notation contradicts itself.

        """
        label = heading.name or heading.id
        log = Log(f"part {label}" if label else "", self._where)
        titles = Titles(heading.name, heading.id, heading.instrument, self._title, self._composer)
        with _collector_at_rest():
            walked = walk(self._measures.get(heading.id, []), self._grid, log)
            shared = None if heading.id == self._top_id else self._shared
            return assemble(walked, titles, voice, shared, log)

    @cached_property
    def _measures(self) -> dict[str, list[RawMeasure]]:
        """The measures of every part, with the place of their notes in the file."""
        measures: dict[str, list[RawMeasure]] = {}
        ordinal = 0
        timewise = self._root.tag == "score-timewise"
        for outer in self._root.iterchildren("measure" if timewise else "part"):
            if timewise:
                for inner in outer.iterchildren("part"):
                    measures.setdefault(inner.get("id", ""), []).append(RawMeasure(outer, inner, ordinal))
                    ordinal += _count(_NOTES_INSIDE, inner)
                continue
            first: int | None = ordinal
            for inner in outer.iterchildren("measure"):
                measures.setdefault(outer.get("id", ""), []).append(RawMeasure(inner, inner, first))
                first = None
            ordinal += _count(_NOTES_IN_MEASURES, outer)
        if ordinal != _count(_NOTES_ANYWHERE, self._root):
            raise NotationError("a note stands outside the measures of a part", where=self._where)
        return measures

    def _heading(self, number: int, id_: str) -> PartHeading:
        listed = self._listed.get(id_)
        name = instrument = ""
        if listed is not None:
            name = " ".join((listed.findtext("part-name") or "").split())
            instrument = " ".join((listed.findtext("score-instrument/instrument-name") or "").split())
        return PartHeading(number, id_, name, instrument, self._voices(id_))

    def _voices(self, id_: str) -> tuple[str, ...]:
        """Voices of a part that have notes, in order of appearance."""
        measures = self._measures[id_]
        named = {element.text for raw in measures for element in raw.content.iter("voice")}
        if len(named) == 1:
            return ((named.pop() or "1").strip() or "1",)
        voices: dict[str, None] = {}
        for raw in measures:
            for note in raw.content.iterchildren("note"):
                voice = (note.findtext("voice") or "1").strip() or "1"
                if voice not in voices and note.find("pitch") is not None and note.find("cue") is None:
                    voices[voice] = None
        return tuple(voices)

    @cached_property
    def _title(self) -> str:
        texts = (self._root.findtext("work/work-title"), self._root.findtext("movement-title"))
        return next((" ".join(text.split()) for text in texts if text and text.strip()), "")

    @cached_property
    def _composer(self) -> str:
        for creator in self._root.iterfind("identification/creator"):
            if creator.get("type", "composer") == "composer" and creator.text:
                return " ".join(creator.text.split())
        return ""

    @cached_property
    def _top_id(self) -> str:
        """The first part that states a tempo, a rehearsal mark or a jump; else the first part."""
        for heading_id in self._measures:
            for raw in self._measures[heading_id]:
                for direction in raw.content.iterchildren("direction", "sound"):
                    if _states_something(direction):
                        return heading_id
        return next(iter(self._measures), "")

    @cached_property
    def _shared(self) -> SystemWide | None:
        """What the top part says for all; a fault in it is none of the part that is read."""
        measures = self._measures.get(self._top_id)
        return system_wide(walk(measures, self._grid, Log("", ""))) if measures else None


def _count(path: etree.XPath, element: Element) -> int:
    return int(cast(float, path(element)))


def _states_something(direction: Element) -> bool:
    for element in direction.iter("sound", "metronome", "rehearsal", "segno", "coda"):
        if element.tag != "sound" or any(
            element.get(name) is not None
            for name in ("tempo", "segno", "coda", "tocoda", "dacapo", "dalsegno", "fine")
        ):
            return True
    return False
