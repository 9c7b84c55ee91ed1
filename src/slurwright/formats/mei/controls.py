"""What hangs on the notes of an MEI staff: slurs, ties, dynamics, tempo, words, signs, fingerings.

Such an event says where it is by ``@startid`` or by ``@tstamp`` with ``@staff``. Events for playing belong to
their staff; tempo, rehearsal marks and jumps belong to everyone.
"""

import re
from bisect import bisect_left
from collections.abc import Callable, Sequence
from dataclasses import replace
from fractions import Fraction

from slurwright.formats.mei.gathered import StaffNotes
from slurwright.formats.mei.tree import children, ident, local, numbers, reference, text_of, tstamp
from slurwright.formats.musicxml.bars import jumps_of_words
from slurwright.formats.musicxml.faults import Log
from slurwright.formats.own_elements import OWN_ID
from slurwright.formats.xmlsafe import Element
from slurwright.score import Direction, DirectionKind, Hairpin, Jump, Slur
from slurwright.score.building import NoteDraft
from slurwright.score.dynamics import level_of_mark
from slurwright.score.tempo import beats_per_minute_of_words

__all__ = ["Controls", "stated_qpm"]

_ROUNDING = Fraction(1, 100)
"""A beat in decimals may miss a tuplet's note by this much [quarters]."""
_NUMBER = re.compile(r"\d{1,4}(?:\.\d{1,4})?")
_METRONOME_TEXT = re.compile(r"[(\[]?[^\w\s(\[]*\s*\.?\s*=\s*(?:ca?\.?\s*)?\d+(?:\.\d+)?\s*[)\]]?")
_UNITS = {"1": "whole", "2": "half", "4": "quarter", "8": "eighth", "16": "16th", "32": "32nd", "breve": "breve"}
_UNIT_LENGTH = {"1": 4.0, "2": 2.0, "4": 1.0, "8": 0.5, "16": 0.25, "32": 0.125, "breve": 8.0}
_MARKS = {
    "coda": Jump.CODA,
    "segno": Jump.SEGNO,
    "dalSegno": Jump.DAL_SEGNO,
    "daCapo": Jump.DA_CAPO,
    "fine": Jump.FINE,
}
_GLYPHS = {"segno": Jump.SEGNO, "coda": Jump.CODA, "U+E047": Jump.SEGNO, "U+E048": Jump.CODA}
_SIGNS = {"\ue047": Jump.SEGNO, "\ue048": Jump.CODA, "𝄋": Jump.SEGNO, "𝄌": Jump.CODA}


def stated_qpm(element: Element) -> float | None:
    """Tempo that a definition or ``<tempo>`` states by attributes, None without any [quarters per minute]."""
    played, unit, number = element.get("midi.bpm", ""), element.get("mm.unit", ""), element.get("mm", "")
    if _NUMBER.fullmatch(played) and float(played) > 0:
        return float(played)
    if _NUMBER.fullmatch(number) and float(number) > 0 and unit in _UNIT_LENGTH:
        return float(number) * _UNIT_LENGTH[unit] * (2.0 - 0.5 ** _dots(element))
    return None


def _dots(element: Element) -> int:
    return {"1": 1, "2": 2}.get(element.get("mm.dots", ""), 0)


class Controls:
    """Reads the control events of every measure for one staff and layer."""

    def __init__(self, found: StaffNotes, staff: str, layer: str | None, log: Log, *, first: bool) -> None:
        self._found = found
        self._draft = found.draft
        self._staff = staff
        self._layer = layer
        self._log = log
        self._first = first
        self._onsets = sorted(
            {n.onset_quarter for n in self._draft.notes} | {r.onset_quarter for r in self._draft.rests}
        )
        self._handlers: dict[str, Callable[[Element, int], None]] = {
            "slur": self._slur,
            "tie": self._tie,
            "dynam": self._dynamic,
            "hairpin": self._hairpin,
            "tempo": self._tempo,
            "dir": self._words,
            "reh": self._rehearsal,
            "fing": self._fingering,
            "fermata": self._fermata,
            "breath": self._breath,
            "trill": self._ornament,
            "turn": self._ornament,
            "mordent": self._ornament,
            "gliss": self._ornament,
            "repeatMark": self._repeat_mark,
        }

    def read(self, measures: Sequence[Element]) -> None:
        """Take in everything; each element is one of the spans that were read."""
        for at, measure in enumerate(measures):
            self._log.measure = measure.get("n") or str(self._found.spans[at].index + 1)
            for element in children(measure):
                handler = self._handlers.get(local(element))
                if handler is not None and not ident(element).startswith(OWN_ID):
                    handler(element, at)
        self._log.measure = ""
        self._slur_words()

    # where an event stands

    def _mine(self, element: Element) -> bool:
        start, end = reference(element.get("startid")), reference(element.get("endid"))
        if start or end:
            known = self._found.onset_of_id
            if not (start in known or end in known):
                return False
            own = self._found.note_of_id
            return not element.get("layer") or self._in_layer(element) or start in own
        staves = numbers(element.get("staff"))
        if not (self._staff in staves or (not staves and self._first)):
            return False
        return not element.get("layer") or self._in_layer(element)

    def _in_layer(self, element: Element) -> bool:
        return self._layer is None or self._layer in numbers(element.get("layer"))

    def _place(self, element: Element, at: int) -> tuple[int, Fraction]:
        """Measure index and place [quarters] of an event's start."""
        found = self._found.onset_of_id.get(reference(element.get("startid")))
        if found is not None:
            return found
        span = self._found.spans[at]
        stamp = tstamp(element.get("tstamp"))
        return span.index, self._at_beat(at, stamp[1]) if stamp else span.onset

    def _end_place(self, element: Element, at: int) -> Fraction | None:
        found = self._found.onset_of_id.get(reference(element.get("endid")))
        if found is not None:
            return found[1]
        stamp = tstamp(element.get("tstamp2"))
        if stamp is None:
            return None
        ahead, beat = stamp
        if at + ahead >= len(self._found.spans):
            return self._found.spans[-1].end
        return self._at_beat(at + ahead, beat)

    def _at_beat(self, at: int, beat: Fraction) -> Fraction:
        span = self._found.spans[at]
        place = min(span.end, span.onset + max(Fraction(0), beat - 1) * Fraction(4, span.beat_type))
        at_or_after = bisect_left(self._onsets, place - _ROUNDING)
        if at_or_after < len(self._onsets) and self._onsets[at_or_after] <= place + _ROUNDING:
            return self._onsets[at_or_after]
        return place

    def _start_note(self, element: Element, at: int) -> int | None:
        name = reference(element.get("startid"))
        if name:
            return self._found.note_of_id.get(name)
        stamp = tstamp(element.get("tstamp"))
        if stamp is None:
            return None
        place = self._at_beat(at, stamp[1])
        later = (i for i, n in enumerate(self._draft.notes) if n.onset_quarter >= place and not n.grace)
        return next(later, None)

    def _end_note(self, element: Element, at: int) -> int | None:
        name = reference(element.get("endid"))
        if name:
            return self._found.note_of_id.get(name)
        place = self._end_place(element, at)
        if place is None:
            return None
        return max(
            (i for i, n in enumerate(self._draft.notes) if n.onset_quarter <= place and not n.grace), default=None
        )

    def _note_of(self, element: Element, at: int) -> NoteDraft | None:
        """The note that a sign of one note belongs to: by id, or the one that sounds at its place."""
        name = reference(element.get("startid"))
        if name:
            number = self._found.note_of_id.get(name)
            return self._draft.notes[number] if number is not None else None
        _, place = self._place(element, at)
        sounding = (
            n
            for n in self._draft.notes
            if not n.grace and n.onset_quarter <= place < n.onset_quarter + n.duration_quarter
        )
        return next(sounding, None)

    # what it says

    def _slur(self, element: Element, at: int) -> None:
        if not self._mine(element):
            return
        first, last = self._start_note(element, at), self._end_note(element, at)
        if first is None or last is None:
            ends = [reference(element.get(name)) for name in ("startid", "endid")]
            if any(name in self._found.note_of_id for name in ends) or not any(ends):
                self._log.notice("a slur whose other end cannot be found is passed over")
            return
        self._draft.slurs.append(Slur(first, last, dashed=element.get("lform") in ("dashed", "dotted")))

    def _slur_words(self) -> None:
        """Join ``@slur`` of notes: i1 begins slur 1, t1 ends it."""
        begun: dict[str, int] = {}
        for number, words in self._found.slur_words:
            for word in sorted(words.split(), reverse=True):
                if word.startswith("t") and word[1:] in begun:
                    self._draft.slurs.append(Slur(begun.pop(word[1:]), number))
                elif word.startswith("i"):
                    begun[word[1:]] = number
        if begun:
            self._log.notice(f"slurs that never close are passed over: {len(begun)}")

    def _tie(self, element: Element, at: int) -> None:
        if not self._mine(element):
            return
        first, last = self._start_note(element, at), self._end_note(element, at)
        if first is not None:
            self._draft.notes[first].tied_to_next = True
        if last is not None and last != first:
            self._draft.notes[last].tied_from_previous = True
            self._carry_alteration(first, last)

    def _carry_alteration(self, first: int | None, last: int) -> None:
        """A tie over a bar line carries its accidental."""
        if first is None:
            return
        source, target = self._draft.notes[first], self._draft.notes[last]
        same_line = (source.written.step, source.written.octave) == (target.written.step, target.written.octave)
        if same_line and not target.shown_accidental and source.written != target.written:
            target.written, target.sounding = source.written, source.sounding

    def _dynamic(self, element: Element, at: int) -> None:
        text = text_of(element)
        if not self._mine(element) or not text:
            return
        measure, place = self._place(element, at)
        kind = DirectionKind.DYNAMIC if level_of_mark(text) is not None else DirectionKind.WORDS
        above = element.get("place") == "above"
        self._draft.directions.append(Direction(kind, measure, place, text, above=above))

    def _hairpin(self, element: Element, at: int) -> None:
        if not self._mine(element):
            return
        _, start = self._place(element, at)
        end = self._end_place(element, at)
        form = element.get("form")
        if end is None or end <= start or form not in ("cres", "dim"):
            self._log.notice("a hairpin without an end or a direction is passed over")
            return
        self._draft.hairpins.append(Hairpin(start, end, form == "cres"))

    def _tempo(self, element: Element, at: int) -> None:
        measure, place = self._place(element, at)
        unit, number = element.get("mm.unit", ""), element.get("mm", "")
        dots = _dots(element)
        per_minute = float(number) if _NUMBER.fullmatch(number) and unit in _UNITS and float(number) > 0 else None
        qpm = stated_qpm(element)
        text = " ".join(_METRONOME_TEXT.sub(" ", text_of(element)).split())
        text = "".join(sign for sign in text if not "\ue000" <= sign <= "\uf8ff").strip()
        if qpm is None and not text:
            self._log.notice("a tempo without number or words is passed over")
            return
        self._draft.directions.append(
            Direction(
                DirectionKind.TEMPO,
                measure,
                place,
                text,
                tempo_qpm=qpm,
                tempo_unit=_UNITS[unit] + "." * dots if per_minute is not None else "",
                tempo_per_minute=per_minute,
            )
        )

    def _words(self, element: Element, at: int) -> None:
        text = text_of(element)
        jumps = jumps_of_words(text) + [jump for sign, jump in _SIGNS.items() if sign in text]
        for child in element.iter("{*}symbol"):
            glyph = child.get("glyph.name") or child.get("glyph.num") or ""
            if glyph in _GLYPHS:
                jumps.append(_GLYPHS[glyph])
        measure, place = self._place(element, at)
        for jump in jumps:
            self._found.bars[measure].add_jump(jump)
        if not jumps and text and self._mine(element):
            kind = DirectionKind.TEMPO if beats_per_minute_of_words(text) is not None else DirectionKind.WORDS
            above = element.get("place") != "below"
            self._draft.directions.append(Direction(kind, measure, place, text, above=above))

    def _repeat_mark(self, element: Element, at: int) -> None:
        jump = _MARKS.get(element.get("func", ""))
        measure, _ = self._place(element, at)
        words = jumps_of_words(text_of(element))
        for found in words or ([jump] if jump else []):
            self._found.bars[measure].add_jump(found)

    def _rehearsal(self, element: Element, at: int) -> None:
        text = text_of(element)
        if text:
            measure, place = self._place(element, at)
            self._draft.directions.append(Direction(DirectionKind.REHEARSAL, measure, place, text))

    def _fingering(self, element: Element, at: int) -> None:
        note = self._note_of(element, at) if self._mine(element) else None
        if note is not None and text_of(element):
            note.fingerings = (*note.fingerings, text_of(element))

    def _fermata(self, element: Element, at: int) -> None:
        if not self._mine(element):
            return
        note = self._note_of(element, at)
        if note is not None:
            note.articulations |= {"fermata"}
            return
        _, place = self._place(element, at)
        for number, rest in enumerate(self._draft.rests):
            if rest.onset_quarter == place:
                self._draft.rests[number] = replace(rest, fermata=True)

    def _breath(self, element: Element, at: int) -> None:
        if not self._mine(element):
            return
        note = self._note_of(element, at) if element.get("startid") else None
        if note is None:
            _, place = self._place(element, at)
            note = next((n for n in reversed(self._draft.notes) if n.onset_quarter < place), None)
        if note is not None:
            note.articulations |= {"breath"}

    def _ornament(self, element: Element, at: int) -> None:
        note = self._note_of(element, at) if self._mine(element) else None
        if note is None:
            return
        name = {"trill": "trill", "turn": "turn", "mordent": "mordent", "gliss": "glissando"}[local(element)]
        if name == "mordent" and element.get("form") == "upper":
            name = "inverted-mordent"
        note.ornaments |= {name}
