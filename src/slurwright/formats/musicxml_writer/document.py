"""Which MusicXML document says what a part holds.

Conventions. MusicXML 4.0, part-wise, one part on one staff, UTF-8, written pitch with `<transpose>`; the same part
gives the same bytes. Divisions are the fewest in which every length is whole. What stands between two notes' onsets
is written before the note that sounds there, with an `<offset>`. Reading the document gives the part again, but for
places and notices, with these differences. A part whose source printed no accidental at all gets those that the key
calls for. Hidden words, and hidden dynamics for which playback has no plain level, are left out. A jump without words
or sign gets them.
"""

import re
from collections.abc import Mapping
from fractions import Fraction
from functools import reduce
from math import lcm
from types import MappingProxyType
from xml.etree.ElementTree import indent, tostring

from slurwright.formats.musicxml_writer.element import Element, child, in_divisions
from slurwright.formats.musicxml_writer.notes import Signs, note_element, rest_element, signs_of
from slurwright.formats.musicxml_writer.signs import Sign, direction_element, signs_by_measure
from slurwright.pitch import CONCERT, Clef, Transposition
from slurwright.score import Measure, Note, Part, Rest

__all__ = ["write_musicxml"]

_PROLOGUE = (
    b'<?xml version="1.0" encoding="UTF-8"?>\n'
    b'<!DOCTYPE score-partwise PUBLIC "-//Recordare//DTD MusicXML 4.0 Partwise//EN"'
    b' "http://www.musicxml.org/dtds/partwise.dtd">\n'
)
_NAME = re.compile(r"[A-Za-z_][A-Za-z0-9_.-]*", re.ASCII)
_CLEFS = {Clef.TREBLE: ("G", "2"), Clef.ALTO: ("C", "3"), Clef.TENOR: ("C", "4"), Clef.BASS: ("F", "4")}
_MOST_DIVISIONS = 50_000
"""Beyond this each measure gets divisions of its own; some programs keep the number in 16 bits. Common practice."""
_NO_FINGERINGS: Mapping[int, tuple[str, ...]] = MappingProxyType({})

_Event = Note | Rest


def write_musicxml(part: Part, *, fingerings: Mapping[int, tuple[str, ...]] = _NO_FINGERINGS) -> bytes:
    """Write a part as a MusicXML document.

    Args:
        part: any part.
        fingerings: by place in ``Part.notes``, the first one to be played and then its alternates; they stand in
            place of those that the part brings.

    Raises:
        RequestError: more slurs at once than MusicXML can number.

    """
    root = Element("score-partwise", {"version": "4.0"})
    part_id = part.part_id if _NAME.fullmatch(part.part_id) else "P1"
    _add_head(root, part, part_id)
    element = child(root, "part", attributes={"id": part_id})
    writer = _Writer(part, signs_of(part, fingerings))
    for measure in part.measures:
        writer.add_measure(element, measure)
    indent(root)
    body: bytes = tostring(root, encoding="utf-8")
    return _PROLOGUE + body + b"\n"


def _add_head(root: Element, part: Part, part_id: str) -> None:
    if part.title:
        child(child(root, "work"), "work-title", part.title)
    identification = child(root, "identification")
    if part.composer:
        child(identification, "creator", part.composer, {"type": "composer"})
    child(child(identification, "encoding"), "software", "Slurwright")
    listed = child(child(root, "part-list"), "score-part", attributes={"id": part_id})
    child(listed, "part-name", part.name)
    if part.instrument:
        instrument = child(listed, "score-instrument", attributes={"id": f"{part_id}-I1"})
        child(instrument, "instrument-name", part.instrument)


class _Writer:
    """Writes measure after measure, remembering what holds."""

    def __init__(self, part: Part, signs: Signs) -> None:
        self.part = part
        self.signs = signs
        self.between = signs_by_measure(part)
        self.events: list[list[_Event]] = [[] for _ in part.measures]
        for note in part.notes:
            self.events[note.measure].append(note)
        for rest in part.rests:
            self.events[rest.measure].append(rest)
        for events in self.events:
            events.sort(key=_order)
        self.divisions = self._all_divisions()
        self.voice = part.notes[0].voice if part.notes else "1"

    def _all_divisions(self) -> list[int]:
        """Divisions of each measure: one number for all unless that grows too large."""
        own = [self._own_divisions(measure) for measure in self.part.measures]
        common = reduce(lcm, own, 1)
        return own if common > _MOST_DIVISIONS else [common] * len(own)

    def _own_divisions(self, measure: Measure) -> int:
        start = measure.onset_quarter
        lengths = [measure.duration_quarter, *(sign.place - start for sign in self.between[measure.index])]
        for event in self.events[measure.index]:
            lengths += (event.onset_quarter - start, event.duration_quarter)
        return reduce(lcm, (length.denominator for length in lengths), 1)

    def add_measure(self, parent: Element, measure: Measure) -> None:
        """Append one measure."""
        upbeat = measure.index == 0 and measure.duration_quarter < measure.time.length_quarter
        number = measure.number or str(measure.index + 1)
        element = child(parent, "measure", attributes={"number": number, "implicit": "yes" if upbeat else ""})
        if measure.new_section and measure.index:
            child(element, "print", attributes={"new-system": "yes"})
        _add_left_bar(element, measure)
        self._add_attributes(element, measure)
        self._add_content(element, measure)
        _add_right_bar(element, measure, last=measure.index + 1 == len(self.part.measures))

    def _add_attributes(self, parent: Element, measure: Measure) -> None:
        before = self.part.measures[measure.index - 1] if measure.index else None
        attributes = Element("attributes")
        divisions = self.divisions[measure.index]
        if before is None or self.divisions[before.index] != divisions:
            child(attributes, "divisions", str(divisions))
        if before is None or before.key != measure.key:
            key = child(attributes, "key")
            child(key, "fifths", str(measure.key.fifths))
            child(key, "mode", measure.key.mode)
        if before is None or before.time != measure.time:
            time = child(attributes, "time", attributes={"symbol": measure.time.symbol})
            beats = "+".join(map(str, measure.time.groups)) if measure.time.groups else str(measure.time.beats)
            child(time, "beats", beats)
            child(time, "beat-type", str(measure.time.beat_type))
        if before is None or before.clef != measure.clef:
            clef = child(attributes, "clef")
            for tag, text in zip(("sign", "line"), _CLEFS[measure.clef], strict=True):
                child(clef, tag, text)
        now = measure.transposition
        stated = self.part.states_transposition or now != CONCERT
        if (before is None and stated) or (before is not None and before.transposition != now):
            _add_transposition(attributes, now)
        if len(attributes):
            parent.append(attributes)

    def _add_content(self, parent: Element, measure: Measure) -> None:
        divisions = self.divisions[measure.index]
        waiting = list(self.between[measure.index])
        cursor, end = measure.onset_quarter, measure.onset_quarter + measure.duration_quarter
        events = self.events[measure.index] or [Rest(measure.index, cursor, measure.duration_quarter)]
        for event in events:
            stop = event.onset_quarter + event.duration_quarter
            waiting = _put(parent, waiting, cursor, event.onset_quarter, divisions)
            _move(parent, event.onset_quarter - cursor, divisions)
            waiting = _put(parent, waiting, event.onset_quarter, stop, divisions, and_at=True)
            if isinstance(event, Rest):
                whole = event.value is None and event.duration_quarter == measure.duration_quarter
                rest_element(parent, event, self.voice, divisions, whole_measure=whole)
            else:
                note_element(parent, event, self.signs, divisions)
            cursor = stop
        _move(parent, max(end - cursor, Fraction(0)), divisions)
        for sign in waiting:
            direction_element(parent, sign, sign.place - max(cursor, end), divisions)


def _order(event: _Event) -> tuple[Fraction, bool]:
    """Grace notes stand before the note that they lean on."""
    return event.onset_quarter, event.duration_quarter > 0


def _put(
    parent: Element, waiting: list[Sign], cursor: Fraction, until: Fraction, divisions: int, *, and_at: bool = False
) -> list[Sign]:
    """Append the signs that count before a place, or at the cursor; give those that wait on."""
    left = []
    for sign in waiting:
        if sign.place < until or (and_at and sign.place <= cursor):
            direction_element(parent, sign, sign.place - cursor, divisions)
        else:
            left.append(sign)
    return left


def _move(parent: Element, by: Fraction, divisions: int) -> None:
    if by:
        child(child(parent, "forward" if by > 0 else "backup"), "duration", in_divisions(abs(by), divisions))


def _add_transposition(attributes: Element, transposition: Transposition) -> None:
    """Split into octaves and an interval within one, as the standard asks."""
    octaves = int(transposition.diatonic / 7)
    element = child(attributes, "transpose")
    child(element, "diatonic", str(transposition.diatonic - 7 * octaves))
    child(element, "chromatic", str(transposition.semitones - 12 * octaves))
    if octaves:
        child(element, "octave-change", str(octaves))


def _add_left_bar(parent: Element, measure: Measure) -> None:
    if not measure.repeat_starts and not measure.ending_starts:
        return
    barline = child(parent, "barline", attributes={"location": "left"})
    if measure.repeat_starts:
        child(barline, "bar-style", "heavy-light")
    if measure.ending_starts:
        _add_ending(barline, measure, "start")
    if measure.repeat_starts:
        child(barline, "repeat", attributes={"direction": "forward"})


def _add_right_bar(parent: Element, measure: Measure, *, last: bool) -> None:
    style = "light-heavy" if measure.repeat_ends or measure.final_bar else "light-light" if measure.double_bar else ""
    if not style and not measure.ending_stops:
        return
    barline = child(parent, "barline", attributes={"location": "right"})
    if style:
        child(barline, "bar-style", style)
    if measure.ending_stops:
        _add_ending(barline, measure, "stop" if measure.repeat_ends or last else "discontinue")
    if measure.repeat_ends:
        times = str(measure.repeat_ends) if measure.repeat_ends != 2 else ""
        child(barline, "repeat", attributes={"direction": "backward", "times": times})


def _add_ending(barline: Element, measure: Measure, type_: str) -> None:
    numbers = ", ".join(map(str, measure.endings))
    child(barline, "ending", attributes={"number": numbers, "type": type_})
