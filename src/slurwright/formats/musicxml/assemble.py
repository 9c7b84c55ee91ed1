"""How raw finds become a `Part`: the chosen line with its details, the bars, and what the top part adds."""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from slurwright.formats.musicxml.details import Details, read_value
from slurwright.formats.musicxml.faults import Log
from slurwright.formats.musicxml.slurs import SlurMatcher
from slurwright.formats.musicxml.states import SignedClef
from slurwright.formats.musicxml.voices import LineNote, choose_line
from slurwright.formats.musicxml.walk import RawNote, RawPitch, Walked
from slurwright.pitch import SoundingPitch, Transposition, WrittenPitch
from slurwright.score import (
    Beam,
    Direction,
    DirectionKind,
    Hairpin,
    Measure,
    NoteDraft,
    Part,
    PartDraft,
    Rest,
    finished,
    jump_notices,
)
from slurwright.score.values import values_of_gap

__all__ = ["SystemWide", "Titles", "assemble", "system_wide"]

_TOUCH_QUARTERS = 1e-6
"""Closer than any two places of notation can be without being one [quarters]."""
_SHARED = {DirectionKind.TEMPO, DirectionKind.REHEARSAL}


@dataclass(frozen=True, slots=True)
class Titles:
    """Words at the head of a part."""

    name: str
    part_id: str
    instrument: str = ""
    title: str = ""
    composer: str = ""


@dataclass(frozen=True, slots=True)
class SystemWide:
    """What the top part states for all: directions by measure and place in it, and the bars."""

    directions: tuple[tuple[int, Fraction, Direction], ...]
    walked: Walked


def system_wide(walked: Walked) -> SystemWide:
    """Pick out of the top part what counts for every part."""
    shared = tuple(
        (direction.measure, direction.onset_quarter - walked.starts[direction.measure], direction)
        for _, direction in walked.directions
        if direction.kind in _SHARED
    )
    return SystemWide(shared, walked)


def assemble(walked: Walked, titles: Titles, voice: str | None, shared: SystemWide | None, log: Log) -> Part:
    """Make the part.

    Args:
        walked: the part's own finds.
        titles: words at its head.
        voice: the player's choice, or None.
        shared: what the top part states for all; None for the top part itself.
        log: takes faults and notices.

    Raises:
        PartError: no single line.
        NotationError: faults were gathered.

    """
    log.settle()
    line = choose_line(walked.notes, voice, log, walked.numbers)
    staff = Counter(item.raw.staff for item in line).most_common(1)[0][0]
    if shared is not None:
        walked.bars.take_in(shared.walked.bars.bars)
    walked.bars.settle()
    maker = _Maker(walked, staff, log)
    draft = PartDraft(titles.name, title=titles.title, composer=titles.composer, instrument=titles.instrument)
    draft.part_id = titles.part_id
    draft.states_transposition = walked.states.states_transposition or maker.shifts_octaves(line)
    draft.measures = maker.measures()
    draft.directions = [d for where, d in walked.directions if where in {0, staff}]
    maker.add_notes(line, draft)
    _add_rests(line, draft)
    draft.hairpins = _hairpins(walked, staff, log)
    if shared is not None:
        _add_shared(draft, shared)
    log.settle()
    draft.notices = list(log.notices)
    part = finished(draft)
    return replace(part, notices=part.notices + jump_notices(part))


_Spelled = tuple[WrittenPitch, SoundingPitch]


class _Maker:
    """Makes measures and notes of one staff."""

    def __init__(self, walked: Walked, staff: int, log: Log) -> None:
        self.walked = walked
        self.log = log
        self.clefs = walked.states.clef_course(staff)
        self.transpositions = walked.states.transposition_course(staff)
        self.spelled: dict[tuple[SignedClef, Transposition], dict[RawPitch, _Spelled]] = {}
        self.steady: dict[RawPitch, _Spelled] | None = None
        """The only one of those in a part that never changes clef or transposition."""
        if self.clefs.is_constant and self.transpositions.is_constant:
            self.steady = self.spelled[self._reading(Fraction(0))] = {}

    def shifts_octaves(self, line: Sequence[LineNote]) -> bool:
        """Say whether a clef's octave sign tells how the part sounds."""
        return any(self.clefs.at(item.raw.onset).octaves for item in line if item.raw.pitch)

    def _reading(self, place: Fraction) -> tuple[SignedClef, Transposition]:
        """Clef and transposition at a place, the clef's octave sign counted in."""
        clef, transposition = self.clefs.at(place), self.transpositions.at(place)
        if clef.octaves:
            return clef, Transposition(
                transposition.diatonic + 7 * clef.octaves, transposition.semitones + 12 * clef.octaves
            )
        return clef, transposition

    def measures(self) -> list[Measure]:
        """Make the measures with the states at their starts."""
        walked, measures = self.walked, []
        endings = walked.bars.endings()
        constant = self.steady is not None and walked.states.keys.is_constant
        for index, (start, length) in enumerate(zip(walked.starts, walked.lengths, strict=True)):
            bar = walked.bars.bars[index]
            clef, transposition = self._reading(start)
            under, starts, stops = endings[index]
            measures.append(
                Measure(
                    index=index,
                    number=walked.numbers[index],
                    onset_quarter=start,
                    duration_quarter=length,
                    time=walked.states.times.at(start),
                    key=walked.states.keys.at(start),
                    clef=clef.clef,
                    transposition=transposition,
                    repeat_starts=bar.repeat_starts,
                    repeat_ends=bar.repeat_ends,
                    endings=under,
                    ending_starts=starts,
                    ending_stops=stops,
                    jumps=tuple(bar.jumps),
                    double_bar=bar.double_bar,
                    final_bar=bar.final_bar,
                    new_section=walked.sections[index],
                )
            )
            if not constant:
                self._notice_changes(start, start + length, walked.numbers[index])
        return measures

    def _notice_changes(self, start: Fraction, end: Fraction, number: str) -> None:
        states = self.walked.states
        changes = (
            ("clef", self.clefs.changes_within(start, end)),
            ("key", states.keys.changes_within(start, end)),
            ("transposition", self.transpositions.changes_within(start, end)),
        )
        for what, changed in changes:
            if changed:
                self.log.notice(f"a change of {what} inside a measure is shown from the next measure on", number)

    def pitches(self, raw: RawNote, pitch: RawPitch) -> _Spelled:
        """Give a note's written and sounding pitch."""
        if self.steady is not None and (found := self.steady.get(pitch)) is not None:
            return found
        reading = clef, transposition = self._reading(raw.onset)
        known = self.spelled.setdefault(reading, {})
        if pitch not in known:
            written = WrittenPitch(pitch.step, pitch.alter, pitch.octave - clef.octaves)
            known[pitch] = (written, transposition.to_sounding(written))
        return known[pitch]

    def add_notes(self, line: Sequence[LineNote], draft: PartDraft) -> None:
        """Turn the line's pitched notes into drafts, and their signs into slurs and directions."""
        slurs = SlurMatcher()
        for item in line:
            raw = item.raw
            if raw.pitch is None:
                continue
            self.log.measure = self.walked.numbers[raw.measure]
            details = _stem_details(item)
            if details.slurs:
                slurs.take(len(draft.notes), details.slurs)
            for text in details.dynamics:
                mark = Direction(DirectionKind.DYNAMIC, raw.measure, raw.onset, text, above=False)
                draft.directions.append(mark)
            written, sounding = self.pitches(raw, raw.pitch)
            draft.notes.append(
                NoteDraft(
                    measure=raw.measure,
                    onset_quarter=raw.onset,
                    duration_quarter=raw.length,
                    written=written,
                    sounding=sounding,
                    value=read_value(details, raw.length, self.log),
                    voice=raw.voice,
                    staff=raw.staff,
                    grace=raw.grace,
                    grace_slash=details.grace_slash,
                    tied_from_previous=details.tie_stops,
                    tied_to_next=details.tie_starts,
                    articulations=details.articulations,
                    ornaments=details.ornaments,
                    fingerings=details.fingerings,
                    beam=details.beam,
                    lyrics=details.lyrics,
                    shown_accidental=details.accidental,
                    place=f"note:{raw.ordinal}",
                )
            )
        self.log.measure = ""
        slurs.finish()
        draft.slurs = slurs.slurs
        for what, notes in (("begins here never ends", slurs.unclosed), ("ends here never begins", slurs.unopened)):
            for note in notes:
                number = self.walked.numbers[draft.notes[note].measure]
                self.log.notice(f"a slur that {what}; passed over", number)


def _stem_details(item: LineNote) -> Details:
    """Details of the chosen note, with the signs that stand at the other notes of its stem."""
    if len(item.stem) == 1:
        return item.raw.details
    details = replace(item.raw.details)
    for other in item.stem:
        if other is item.raw:
            continue
        more = other.details
        details.articulations |= more.articulations
        details.ornaments |= more.ornaments
        details.slurs += tuple(end for end in more.slurs if end not in details.slurs)
        details.dynamics += more.dynamics
        details.lyrics += more.lyrics
        details.tuplet_starts |= more.tuplet_starts
        details.tuplet_ends |= more.tuplet_ends
        if details.beam is Beam.NONE:
            details.beam = more.beam
    return details


def _add_rests(line: Sequence[LineNote], draft: PartDraft) -> None:
    """Keep the rests in which nothing sounds, and fill what is left silent with rests of our own."""
    taken: list[list[RawNote]] = [[] for _ in draft.measures]
    rests: list[list[RawNote]] = [[] for _ in draft.measures]
    for item in line:
        if item.raw.pitch is None:
            rests[item.raw.measure].append(item.raw)
        elif not item.raw.grace:
            taken[item.raw.measure].append(item.raw)
    for measure in draft.measures:
        spans = taken[measure.index]
        for rest in rests[measure.index]:
            if rest.length and not any(_meet(rest, other) for other in spans):
                spans.append(rest)
                draft.rests.append(_rest(rest, measure))
        draft.rests += _filled(measure, spans)
    draft.rests.sort(key=lambda rest: float(rest.onset_quarter))


def _meet(one: RawNote, other: RawNote) -> bool:
    return one.position < other.end - _TOUCH_QUARTERS and other.position < one.end - _TOUCH_QUARTERS


def _rest(raw: RawNote, measure: Measure) -> Rest:
    details = raw.details
    whole = raw.whole_measure or (not details.type and raw.length == measure.duration_quarter)
    value = None if whole else read_value(details, raw.length, Log("", ""))
    return Rest(
        measure=raw.measure,
        onset_quarter=raw.onset,
        duration_quarter=raw.length,
        value=value,
        fermata="fermata" in details.articulations,
        place=f"note:{raw.ordinal}",
    )


def _filled(measure: Measure, spans: list[RawNote]) -> list[Rest]:
    """Rests for the stretches of a measure in which the file says nothing."""
    if not spans:
        return [Rest(measure.index, measure.onset_quarter, measure.duration_quarter)]
    spans.sort(key=lambda raw: raw.position)
    rests: list[Rest] = []
    here = float(measure.onset_quarter)
    before: RawNote | None = None
    for raw in spans:
        if raw.position > here + _TOUCH_QUARTERS:
            rests += _rests_between(measure, before, raw.onset)
        if raw.end > here:
            here, before = raw.end, raw
    end = measure.onset_quarter + measure.duration_quarter
    if float(end) > here + _TOUCH_QUARTERS:
        rests += _rests_between(measure, before, end)
    return rests


def _rests_between(measure: Measure, before: RawNote | None, end: Fraction) -> list[Rest]:
    here = before.onset + before.length if before else measure.onset_quarter
    rests = []
    for length, value in values_of_gap(end - here):
        rests.append(Rest(measure.index, here, length, value))
        here += length
    return rests


def _hairpins(walked: Walked, staff: int, log: Log) -> list[Hairpin]:
    """Match the ends of hairpins by number."""
    opened: dict[str, tuple[Fraction, bool]] = {}
    pins = []
    unclosed = 0
    for wedge in walked.wedges:
        if wedge.staff not in {0, staff}:
            continue
        if wedge.type in {"crescendo", "diminuendo"}:
            unclosed += wedge.number in opened
            opened[wedge.number] = (wedge.place, wedge.type == "crescendo")
        elif wedge.type == "stop":
            # Programs differ in how they number; a stop that fits none closes the only open one.
            number = wedge.number if wedge.number in opened else next(iter(opened), wedge.number)
            if number in opened:
                start, grows = opened.pop(number)
                if wedge.place > start:
                    pins.append(Hairpin(start, wedge.place, grows=grows))
            else:
                unclosed += 1
    if unclosed + len(opened):
        log.notice("hairpins without a start or an end are passed over", "")
    return pins


def _add_shared(draft: PartDraft, shared: SystemWide) -> None:
    """Add tempos and rehearsal marks that stand only in the top part."""
    own_tempos = {d.onset_quarter for d in draft.directions if d.kind is DirectionKind.TEMPO}
    own_words = {(d.measure, d.text) for d in draft.directions}
    for measure, offset, direction in shared.directions:
        if measure >= len(draft.measures):
            continue
        place = draft.measures[measure].onset_quarter + min(offset, draft.measures[measure].duration_quarter)
        if direction.text and (measure, direction.text) in own_words:
            continue
        if direction.kind is DirectionKind.TEMPO and place in own_tempos:
            continue
        draft.directions.append(replace(direction, onset_quarter=place))
