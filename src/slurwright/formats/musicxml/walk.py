"""What stands where in one part: a single pass over its measures that follows the time cursor.

Notes come out raw: pitch as the file has it, place and length exact, its details beside it. Only what the time
cursor needs is read of notes that no player is asked to play.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field
from fractions import Fraction

from slurwright.formats.musicxml.bars import Bar, Bars, read_barline
from slurwright.formats.musicxml.details import Details, read_details
from slurwright.formats.musicxml.directions import Wedge, Worded, read_direction, read_sound
from slurwright.formats.musicxml.faults import Log
from slurwright.formats.musicxml.states import States, read_attributes
from slurwright.formats.own_elements import OWN_ID
from slurwright.formats.xmlsafe import Element
from slurwright.pitch import STEPS
from slurwright.score import Direction

__all__ = ["Grid", "RawMeasure", "RawNote", "RawPitch", "Walked", "walk"]

_ZERO = Fraction(0)
_Count = int | Fraction
_PITCH_ORDERS = (["step", "octave"], ["step", "alter", "octave"])


@dataclass(frozen=True, slots=True, eq=False)
class RawPitch:
    """A pitch as the file spells it; one object a spelling in a part, so that identity will do for a key."""

    step: str
    alter: int
    octave: int

    @property
    def height(self) -> int:
        """Key number without any transposition; A4 is 69 [semitones]."""
        return 12 * (self.octave + 1) + (0, 2, 4, 5, 7, 9, 11)[STEPS.index(self.step)] + self.alter


@dataclass(slots=True)
class RawNote:
    """One `<note>` that is a pitched note or a rest."""

    details: Details
    ordinal: int
    """Its place among all notes of the file."""
    measure: int
    onset: Fraction
    length: Fraction
    """0 for a grace note."""
    position: float
    end: float
    """Onset and end again, for sorting and comparing, which exact fractions are slow at [quarters]."""
    voice: str
    staff: int
    pitch: RawPitch | None
    """None for a rest."""
    chord: bool = False
    """True if it starts together with the note before it."""
    grace: bool = False
    whole_measure: bool = False
    hidden: bool = False


@dataclass(frozen=True, slots=True)
class RawMeasure:
    """One `<measure>` of a part."""

    element: Element
    content: Element
    """The element that holds what the part has in this measure."""
    ordinal: int | None
    """Place of its first note among all notes of the file; None where it follows the last note of the one before."""


@dataclass(slots=True)
class Walked:
    """Everything found in one part."""

    starts: list[Fraction] = field(default_factory=list)
    lengths: list[Fraction] = field(default_factory=list)
    numbers: list[str] = field(default_factory=list)
    sections: list[bool] = field(default_factory=list)
    notes: list[RawNote] = field(default_factory=list)
    states: States = field(default_factory=States)
    bars: Bars = field(default_factory=lambda: Bars([]))
    directions: list[tuple[int, Direction]] = field(default_factory=list)
    """(staff or 0, direction)."""
    wedges: list[Wedge] = field(default_factory=list)


def walk(measures: Sequence[RawMeasure], grid: "Grid", log: Log) -> Walked:
    """Read one part from its first measure to its last.

    Args:
        measures: in order.
        grid: of the score, shared by its parts.
        log: takes faults and notices.

    """
    walker = _Walker(measures, grid, log)
    for index in range(len(measures)):
        walker.measure(index)
    walker.log.measure = ""
    return walker.found


@dataclass(slots=True)
class _Length:
    """One duration: in divisions, exactly in quarters, and as a float."""

    count: _Count
    quarters: Fraction
    approximate: float


_NO_LENGTH = _Length(0, _ZERO, 0.0)


_Places = dict[_Count, tuple[Fraction, float]]


class Grid:
    """Places of a score, exact and as floats: its parts have most of them in common, so they are made once."""

    def __init__(self) -> None:
        self._measures: dict[tuple[Fraction, Fraction], _Places] = {}

    def measure(self, start: Fraction, divisions: Fraction) -> _Places:
        """Places met so far in a measure, by how many divisions they are behind its start."""
        return self._measures.setdefault((start, divisions), {})


class _Clock:
    """The time cursor: counts in the file's own divisions, and gives exact places in quarters."""

    def __init__(self, grid: Grid) -> None:
        self.grid = grid
        self.divisions = Fraction(1)
        self.known = False
        """True once the file has stated divisions."""
        self.base = _ZERO
        """Place that the counts are from [quarters]."""
        self.cursor: _Count = 0
        self.reached: _Count = 0
        """The latest place reached in this measure."""
        self._places: _Places = {}
        self._lengths: dict[_Count, Fraction] = {}
        """Lengths of measures met under the present divisions."""

    def start_measure(self, start: Fraction) -> None:
        """Put the cursor at the start of a measure."""
        self.base = start
        self.cursor = self.reached = 0
        self._places = self.grid.measure(start, self.divisions)

    def divide(self, divisions: Fraction) -> None:
        """Count in other divisions from here on."""
        self.known = True
        if divisions == self.divisions:
            return
        scale = divisions / self.divisions
        self.cursor, self.reached = self.cursor * scale, self.reached * scale
        self.divisions = divisions
        self._places = self.grid.measure(self.base, divisions)
        self._lengths = {}

    def move(self, count: _Count) -> None:
        """Move the cursor forwards."""
        self.cursor += count
        self.reached = max(self.reached, self.cursor)

    def place(self, count: _Count) -> tuple[Fraction, float]:
        """Say where a count is, exactly and as a float [quarters]."""
        found = self._places.get(count)
        if found is None:
            exact = self.base + count / self.divisions
            found = self._places[count] = (exact, float(exact))
        return found

    def end(self) -> tuple[Fraction, Fraction]:
        """Say where the measure ends, and how long it is [quarters]."""
        length = self._lengths.get(self.reached)
        if length is None:
            length = self._lengths[self.reached] = self.reached / self.divisions
        return self.place(self.reached)[0], length

    @property
    def here(self) -> Fraction:
        """Where the cursor is [quarters]."""
        return self.place(self.cursor)[0]


def _tagged(element: Element) -> list[tuple[str, Element]]:
    return [(child.tag, child) for child in element]


class _Walker:
    """The time cursor and what it has passed."""

    def __init__(self, measures: Sequence[RawMeasure], grid: Grid, log: Log) -> None:
        self.measures = measures
        self.log = log
        self.found = Walked()
        self.found.bars = Bars([Bar() for _ in measures])
        self.past_end = Bar()
        self.clock = _Clock(grid)
        self.lengths: dict[str | None, _Length] = {}
        """Durations met under the present divisions."""
        self.pitches: dict[tuple[str | None, ...], RawPitch] = {}
        self.start = _ZERO
        self.onset: _Count = 0
        """Where the latest note began, for the notes of its chord."""
        self.ordinal = 0
        self.index = 0

    def measure(self, index: int) -> None:
        """Read one measure."""
        raw = self.measures[index]
        self.index = index
        if raw.ordinal is not None:
            self.ordinal = raw.ordinal
        self.clock.start_measure(self.start)
        self.onset = 0
        number = raw.element.get("number", "") or str(index + 1)
        self.log.measure = number
        section = False
        late: list[tuple[Worded, Fraction]] = []
        for child in raw.content:
            tag = child.tag
            if tag == "note":
                self._note(child)
                self.ordinal += 1
            elif tag == "backup":
                self._back(child)
            elif tag == "forward":
                self.clock.move(self._skip(child, "a forward"))
            elif tag == "attributes":
                self._attributes(child)
            elif tag in {"direction", "sound"}:
                self._direction(child, late)
            elif tag == "barline":
                read_barline(child, self.found.bars.bars[index], self._bar(index + 1), self.log)
            elif tag == "print":
                section |= child.get("new-system") == "yes" or child.get("new-page") == "yes"
        end, length = self.clock.end()
        if length <= 0:
            length = self.found.states.times.at(self.start).length_quarter
            end = self.start + length
        self._place_jumps(late, length)
        self.found.starts.append(self.start)
        self.found.lengths.append(length)
        self.found.numbers.append(number)
        self.found.sections.append(section and index > 0)
        self.start = end

    def _bar(self, index: int) -> Bar:
        bars = self.found.bars.bars
        return bars[index] if index < len(bars) else self.past_end

    def _attributes(self, element: Element) -> None:
        divisions = read_attributes(element, self.clock.here, self.found.states, self.log)
        if divisions is not None:
            if divisions != self.clock.divisions:
                self.lengths = {}
            self.clock.divide(divisions)

    def _length(self, text: str | None, what: str) -> _Length | None:
        """Read a duration, remembering those met before."""
        found = self.lengths.get(text)
        if found is not None:
            return found
        length = self.log.length(text, f"duration of {what}")
        if length is None:
            return None
        if not self.clock.known:
            self.log.fault("a duration comes before any divisions are stated")
            self.clock.known = True
        count: _Count = length.numerator if length.denominator == 1 else length
        quarters = length / self.clock.divisions
        found = self.lengths[text] = _Length(count, quarters, float(quarters))
        return found

    def _skip(self, element: Element, what: str) -> _Count:
        """Count of a backup or forward; programs do write some of no length."""
        text = element.findtext("duration")
        if text is not None and text.strip() == "0":
            return 0
        found = self._length(text, what)
        return found.count if found else 0

    def _back(self, element: Element) -> None:
        self.clock.cursor -= self._skip(element, "a backup")
        if self.clock.here < self.start:
            self.log.notice("a backup leads behind the start of the measure; taken as its start")
            self.clock.start_measure(self.start)

    def _direction(self, element: Element, late: list[tuple[Worded, Fraction]]) -> None:
        if element.get("id", "").startswith(OWN_ID):
            return
        here = self.clock.here
        if element.tag == "direction":
            worded = read_direction(element, self.index, here, self.clock.divisions, self.log)
        else:
            worded = read_sound(element, self.index, here)
        self.found.directions += [(worded.staff, direction) for direction in worded.directions]
        self.found.wedges += worded.wedges
        if worded.jumps or worded.bare_codas:
            late.append((worded, here))

    def _place_jumps(self, late: list[tuple[Worded, Fraction]], length: Fraction) -> None:
        """Put signs to their measure: where a sign to land on stands at a measure's end, to the next one."""
        for worded, place in late:
            here = self.found.bars.bars[self.index]
            landing = self._bar(self.index + 1) if place >= self.start + length else here
            for jump in worded.jumps:
                (landing if jump in {"segno", "coda"} else here).add_jump(jump)
            here.bare_codas += [landing is not here] * worded.bare_codas

    def _note(self, element: Element) -> None:
        """Take in one note and move the cursor."""
        inside = {child.tag: child for child in element}
        rest, pitch_element = inside.get("rest"), inside.get("pitch")
        chord, grace = "chord" in inside, "grace" in inside
        duration = inside["duration"].text if "duration" in inside else None
        voice = inside["voice"].text if "voice" in inside else None
        staff = inside["staff"].text if "staff" in inside else None
        span = self._span(duration, chord=chord, grace=grace)
        if span is None:
            return
        onset, length = span
        hidden = element.get("print-object") == "no"
        passed_over = (
            "unpitched" if "unpitched" in inside else "cue" if "cue" in inside else "hidden" if hidden else ""
        )
        if passed_over and (rest is None or not hidden):
            self.log.notice(f"{passed_over} notes are passed over")
            return
        pitch = self._pitch(pitch_element) if pitch_element is not None else None
        if pitch is None and rest is None:
            if pitch_element is None:
                self.log.fault("a note is neither a pitch nor a rest")
            return
        place, position = self.clock.place(onset)
        self.found.notes.append(
            RawNote(
                details=read_details(inside.items() if len(inside) == len(element) else _tagged(element)),
                ordinal=self.ordinal,
                measure=self.index,
                onset=place,
                length=length.quarters,
                position=position,
                end=position + length.approximate,
                voice=(voice or "1").strip() or "1",
                staff=1 if staff is None else self.log.whole(staff, "staff", low=1, high=20) or 1,
                pitch=pitch,
                chord=chord,
                grace=grace,
                whole_measure=rest is not None and rest.get("measure") == "yes",
                hidden=hidden,
            )
        )

    def _span(self, duration: str | None, *, chord: bool, grace: bool) -> tuple[_Count, _Length] | None:
        """Say where a note starts and how long it is, and move the cursor past it."""
        if grace:
            return self.clock.cursor, _NO_LENGTH
        length = self._length(duration, "a note")
        if length is None:
            return None
        if not chord:
            self.onset = self.clock.cursor
            self.clock.move(length.count)
        return self.onset, length

    def _pitch(self, element: Element) -> RawPitch | None:
        key = tuple([child.text for child in element])
        found = self.pitches.get(key)
        if found is None:
            found = self._new_pitch(*(element.findtext(tag) for tag in ("step", "alter", "octave")))
            # Remembered by its texts alone, so only if they stand in the standard's order; faults never are.
            if found is not None and [child.tag for child in element] in _PITCH_ORDERS:
                self.pitches[key] = found
        return found

    def _new_pitch(self, step: str | None, alter: str | None, octave: str | None) -> RawPitch | None:
        letter = (step or "").strip()
        if letter not in STEPS or not letter:
            self.log.fault("a note's letter makes no sense", got=repr(step or ""), allowed="C to B")
            return None
        height = self.log.whole(octave, "a note's octave", low=-1, high=10)
        semitones: int | None = 0
        if alter and alter.strip():
            whole, _, fraction = alter.strip().partition(".")
            if fraction.strip("0"):
                self.log.notice("notes between the semitones are taken at the nearest semitone below")
            semitones = self.log.whole(whole if whole not in {"-", "", "+"} else "0", "an alteration", low=-3, high=3)
        return None if height is None or semitones is None else RawPitch(letter, semitones, height)
