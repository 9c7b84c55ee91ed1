"""One staff of MEI as a part: measures and notes here, what hangs on them in `controls`."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from slurwright.errors import NotationError, PartError
from slurwright.formats.mei.controls import Controls, stated_qpm
from slurwright.formats.mei.gathered import MeasureSpan, StaffNotes
from slurwright.formats.mei.layer import Event, walk_layer
from slurwright.formats.mei.pitches import PitchReader
from slurwright.formats.mei.signs import articulations_of, lyrics_of, tremolo_of
from slurwright.formats.mei.states import StaffState, changed_by, changed_by_sign
from slurwright.formats.mei.tree import children, descendants, ident, local
from slurwright.formats.mei.voices import Choice, layers_of, line_of_measure
from slurwright.formats.musicxml.bars import Bar, Bars
from slurwright.formats.musicxml.faults import Log
from slurwright.formats.scorefile import PartHeading
from slurwright.formats.xmlsafe import Element
from slurwright.pitch import Transposition
from slurwright.score import Beam, Direction, DirectionKind, Measure, Part, Rest
from slurwright.score.building import NoteDraft, PartDraft, finished

__all__ = ["MeasureItem", "StaffReader"]

_MOST_RESTS = 999


@dataclass(frozen=True, slots=True)
class MeasureItem:
    """A measure, a definition or a break, in written order, with the ending that it stands in."""

    kind: str
    element: Element
    ending: Element | None


class StaffReader:
    """Reads one layer of one staff."""

    def __init__(
        self,
        items: Sequence[MeasureItem],
        staff: str,
        choice: Choice,
        log: Log,
        numbers: Mapping[Element, int],
    ) -> None:
        self._items = items
        self._staff = staff
        self._choice = choice
        self._layer = choice.layer or "1"
        self._log = log
        self._numbers = numbers
        self._state = StaffState()
        self._now = Fraction(0)
        self._pitches = PitchReader(log)
        self._pending_section = False
        self._last_ending: Element | None = None
        self._dur_default = ""
        self._repeat_next = False
        self._spans: list[Element] = []

    def part(self, heading: PartHeading, *, title: str, composer: str, first: bool) -> Part:
        """Read the staff.

        Args:
            heading: the part's.
            title: of the piece.
            composer: of the piece.
            first: True on the top staff, which owns events that name no staff.

        Raises:
            NotationError: the notation contradicts itself.
            PartError: chords, or no notes.

        """
        draft = PartDraft(
            heading.name, title=title, composer=composer, instrument=heading.instrument, part_id=heading.id
        )
        found = StaffNotes(draft)
        for item in self._items:
            if item.kind in ("scoreDef", "staffDef"):
                self._definition(item.element)
                self._played_tempo(item.element, draft)
            elif item.kind in ("sb", "pb"):
                self._pending_section = True
            else:
                self._measure(item, found)
        self._log.measure = ""
        if not draft.measures:
            raise NotationError("the score has no measures", where=self._log.where())
        controls = Controls(found, self._staff, self._choice.layer, self._log, first=first)
        controls.read([item.element for item in self._items if item.kind == "measure"])
        self._settle_measures(found)
        self._log.settle()
        if not draft.notes:
            raise PartError("the part has no notes", where=self._log.where())
        draft.states_transposition = self._state.states_transposition
        draft.notices.extend(self._log.notices)
        return finished(draft)

    def _definition(self, definition: Element) -> None:
        """Take in a definition: what it says for all, then what it says for this staff."""
        name = local(definition)
        if name == "scoreDef":
            self._state = changed_by(definition, self._state, self._log)
            self._dur_default = definition.get("dur.default", self._dur_default)
        own = [definition] if name == "staffDef" else list(descendants(definition, "staffDef"))
        for at, staff in enumerate(own, start=1):
            if staff.get("n", str(at)) == self._staff:
                self._state = changed_by(staff, self._state, self._log)
                self._dur_default = staff.get("dur.default", self._dur_default)

    def _played_tempo(self, definition: Element, draft: PartDraft) -> None:
        """Keep a tempo that a definition states for playing, as a direction that is not printed."""
        qpm = stated_qpm(definition)
        if qpm is not None:
            place = len(draft.measures)
            draft.directions.append(
                Direction(DirectionKind.TEMPO, place, self._now, "", tempo_qpm=qpm, printed=False)
            )

    def _measure(self, item: MeasureItem, found: StaffNotes) -> None:
        element = item.element
        index = len(found.draft.measures)
        number = element.get("n") or str(index + 1)
        self._log.measure = number
        self._pitches.new_measure(self._state.key)
        self._spans = [child for child in children(element) if local(child) == "tupletSpan"]
        layers = {name: self._events(layer) for name, layer in layers_of(element, self._staff)}
        self._layer, own = line_of_measure(layers, self._choice, self._log)
        self._leading_signs(own)
        length, count = self._length(element, layers, own)
        span = MeasureSpan(element, index, self._now, self._now + length * count, self._state.time.beat_type)
        for extra in range(count):
            found.draft.measures.append(self._plain_measure(index + extra, number, extra, length))
            found.bars.append(Bar())
            self._pending_section = False
        self._bar_lines(item, found, index, count)
        self._onsets(layers, found, index)
        self._write(own, found, index, length, count)
        found.spans.append(span)
        self._now = span.end

    def _events(self, layer: Element) -> Sequence[Event]:
        return list(walk_layer(layer, self._log, default_duration=self._dur_default, spans=self._spans))

    def _leading_signs(self, events: Sequence[Event]) -> None:
        """Signs before the first note hold for this whole measure."""
        for event in events:
            if event.kind != "sign":
                break
            self._state = changed_by_sign(event.element, self._state, self._log)
        self._pitches.new_measure(self._state.key)

    def _length(
        self, element: Element, layers: Mapping[str, Sequence[Event]], own: Sequence[Event]
    ) -> tuple[Fraction, int]:
        """Length of the measure, and of how many measures it stands for."""
        nominal = self._state.time.length_quarter
        multi = next((event.element for event in own if event.kind == "multi-rest"), None)
        if multi is not None:
            return nominal, self._log.whole(multi.get("num", "1"), "measures of rest", low=1, high=_MOST_RESTS) or 1
        end = max((e.onset + e.duration for events in layers.values() for e in events), default=Fraction(0))
        if end == 0 and any(event.kind in ("measure-rest", "measure-repeat") for event in own):
            others = [self._quiet_events(layer) for _, layer in layers_of(element, None)]
            end = max((e.onset + e.duration for events in others for e in events), default=Fraction(0))
            if any(event.kind == "measure-repeat" for event in own):
                end = Fraction(0)
        if end == 0:
            return nominal, 1
        if end != nominal and element.get("metcon") != "false" and end > nominal:
            self._log.notice(f"the measure holds {end} quarters where the time signature says {nominal}")
        return end, 1

    def _quiet_events(self, layer: Element) -> list[Event]:
        return list(walk_layer(layer, Log("", ""), default_duration=self._dur_default, spans=self._spans))

    def _plain_measure(self, index: int, number: str, extra: int, length: Fraction) -> Measure:
        state = self._state
        shown = str(int(number) + extra) if extra and number.isdecimal() else number
        return Measure(
            index=index,
            number=shown,
            onset_quarter=self._now + extra * length,
            duration_quarter=length,
            time=state.time,
            key=state.key,
            clef=state.clef,
            transposition=_with_octaves(state),
            new_section=self._pending_section and extra == 0 and index > 0,
        )

    def _bar_lines(self, item: MeasureItem, found: StaffNotes, index: int, count: int) -> None:
        first, last = found.bars[index], found.bars[index + count - 1]
        left, right = item.element.get("left", ""), item.element.get("right", "")
        first.repeat_starts |= self._repeat_next or left in ("rptstart", "rptboth")
        if index and left in ("rptend", "rptboth"):
            found.bars[index - 1].repeat_ends = 2
        if right in ("rptend", "rptboth"):
            last.repeat_ends = 2
        last.double_bar = right == "dbl"
        last.final_bar = right == "end"
        self._repeat_next = right in ("rptstart", "rptboth")
        if item.ending is not self._last_ending:
            if self._last_ending is not None and index:
                found.bars[index - 1].ending_stops = True
            if item.ending is not None:
                first.ending = _ending_numbers(item.ending)
                if not first.ending:
                    self._log.notice("an ending whose number cannot be read is played every time")
        self._last_ending = item.ending

    def _onsets(self, layers: Mapping[str, Sequence[Event]], found: StaffNotes, index: int) -> None:
        for events in layers.values():
            for event in events:
                for element in (event.element, event.chord):
                    if element is not None and ident(element):
                        found.onset_of_id[ident(element)] = (index, self._now + event.onset)

    def _write(self, own: Sequence[Event], found: StaffNotes, index: int, length: Fraction, count: int) -> None:
        leading = True
        beams = _beam_states(own)
        for event in own:
            if event.kind == "sign":
                if not leading:
                    self._state = changed_by_sign(event.element, self._state, self._log)
                    self._pitches.key = self._state.key
                continue
            leading = False
            if event.kind == "note":
                self._note(event, found, index, beams.get(event.element, Beam.NONE))
            elif event.kind == "measure-repeat":
                self._repeat(found, index)
            else:
                self._rest(event, found, index, length, count)

    def _rest(self, event: Event, found: StaffNotes, index: int, length: Fraction, count: int) -> None:
        if event.kind == "rest":
            found.draft.rests.append(
                Rest(
                    index,
                    self._now + event.onset,
                    event.duration,
                    event.value,
                    fermata=event.element.get("fermata") is not None,
                )
            )
            return
        for extra in range(count):
            found.draft.rests.append(Rest(index + extra, self._now + extra * length, length))

    def _repeat(self, found: StaffNotes, index: int) -> None:
        """Write a measure's repeat sign out; its notes stand nowhere in the file, so they cannot be marked."""
        self._log.notice("a repeat sign for a measure is written out; its notes cannot be marked in the file")
        if index == 0:
            self._log.fault("a measure repeats the one before it, but there is none")
            return
        shift = self._now - found.draft.measures[index - 1].onset_quarter
        copies = [
            replace(note, measure=index, onset_quarter=note.onset_quarter + shift, place="", tied_from_previous=False)
            for note in found.draft.notes
            if note.measure == index - 1
        ]
        found.draft.notes.extend(copies)

    def _note(self, event: Event, found: StaffNotes, index: int, beam: Beam) -> None:
        element = event.element
        state = self._state
        number = len(found.draft.notes)
        tie = element.get("tie") or (event.chord.get("tie") if event.chord is not None else None) or ""
        written = self._pitches.read(element, octaves=-state.clef_octaves)
        if written is None or event.value is None:
            return
        articulations = articulations_of(element, event.chord)
        found.draft.notes.append(
            NoteDraft(
                measure=index,
                onset_quarter=self._now + event.onset,
                duration_quarter=event.duration,
                written=written.pitch,
                sounding=_with_octaves(state).to_sounding(written.pitch),
                value=event.value,
                voice=self._layer,
                staff=1,
                grace=bool(event.grace),
                grace_slash=event.grace == "unacc",
                tied_from_previous=any(sign in tie for sign in "mt"),
                tied_to_next=any(sign in tie for sign in "im"),
                articulations=articulations,
                ornaments=tremolo_of(event.tremolo),
                beam=beam,
                lyrics=lyrics_of(element, event.chord),
                shown_accidental=written.shown,
                place=self._place(element, event),
            )
        )
        around = () if event.chord is None else (event.chord, *descendants(event.chord, "note"))
        for source in dict.fromkeys((element, *around)):
            if ident(source):
                found.note_of_id.setdefault(ident(source), number)
            if source.get("slur"):
                found.slur_words.append((number, source.get("slur", "")))

    def _place(self, element: Element, event: Event) -> str:
        name = ident(element)
        if name:
            return f"#{name}"
        beat = 1 + event.onset * Fraction(self._state.time.beat_type, 4)
        return f"@{self._numbers[element]}:{self._staff}:{self._layer}:{float(beat):g}"

    def _settle_measures(self, found: StaffNotes) -> None:
        """Put bar lines, endings and jumps into the measures."""
        if self._last_ending is not None:
            found.bars[-1].ending_stops = True
        bars = Bars(found.bars)
        bars.settle()
        for measure, bar, (endings, starts, stops) in zip(
            list(found.draft.measures), found.bars, bars.endings(), strict=True
        ):
            found.draft.measures[measure.index] = replace(
                measure,
                repeat_starts=bar.repeat_starts,
                repeat_ends=bar.repeat_ends,
                endings=endings,
                ending_starts=starts,
                ending_stops=stops,
                jumps=tuple(bar.jumps),
                double_bar=bar.double_bar,
                final_bar=bar.final_bar,
            )


def _with_octaves(state: StaffState) -> Transposition:
    moved = state.transposition
    return Transposition(moved.diatonic + 7 * state.clef_octaves, moved.semitones + 12 * state.clef_octaves)


def _ending_numbers(ending: Element) -> tuple[int, ...]:
    text = ending.get("n") or ending.get("label") or ""
    low, dash, high = text.strip(" .").partition("-")
    if dash and low.isdecimal() and high.isdecimal() and int(high) < 100:
        return tuple(range(int(low), int(high) + 1))
    words = "".join(sign if sign.isdecimal() else " " for sign in text).split()
    return tuple(sorted({int(word) for word in words if len(word) < 3} - {0}))


def _beam_states(events: Sequence[Event]) -> dict[Element, Beam]:
    """Say what the first beam does at each note, by ``<beam>`` or ``@beam``; grace notes have beams of their own."""
    states: dict[Element, Beam] = {}
    members: dict[tuple[Element, bool], list[Element]] = {}
    words = {"i": Beam.BEGIN, "m": Beam.CONTINUE, "t": Beam.END}
    for event in events:
        if event.kind != "note":
            continue
        if event.beams:
            grace = bool(event.grace)
            members.setdefault((event.beams[-1 if grace else 0], grace), []).append(event.element)
        elif event.element.get("beam"):
            states[event.element] = words.get(event.element.get("beam", "")[:1], Beam.NONE)
    for (beam, grace), notes in members.items():
        if len(notes) > 1 and not (grace and (beam, False) in members):
            for at, note in enumerate(notes):
                states[note] = Beam.BEGIN if at == 0 else Beam.END if at == len(notes) - 1 else Beam.CONTINUE
    return states
