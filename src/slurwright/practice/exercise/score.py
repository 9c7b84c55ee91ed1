"""How what is to be played becomes a part: measures that add up, beams, tuplets, slurs, swells, tempo and dynamic."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import pairwise

from slurwright.errors import PartError
from slurwright.pitch import Reading, WrittenPitch
from slurwright.plan import Technique, Way
from slurwright.score import (
    Beam,
    Direction,
    DirectionKind,
    Hairpin,
    Key,
    Measure,
    NoteDraft,
    NoteValue,
    Part,
    PartDraft,
    Rest,
    Slur,
    TimeSignature,
    Tuplet,
    accidentals,
    finished,
    line_of,
    value_of_length,
)

__all__ = [
    "Played",
    "Silence",
    "beats_dotted",
    "shown_accidentals",
    "technique_words",
    "techniques_of",
    "tempo_mark",
    "tempo_text",
    "whole_tempo",
    "written_part",
]


@dataclass(frozen=True, slots=True)
class Played:
    """One note to be written."""

    length_quarter: Fraction
    written: WrittenPitch
    way: Way
    joined: bool = False
    """True if a slur leads on to the next one."""
    technique: Technique = Technique.PLAIN
    """How that slur is made."""


@dataclass(frozen=True, slots=True)
class Silence:
    """A rest to be written."""

    length_quarter: Fraction


def written_part(
    events: Sequence[Played | Silence],
    reading: Reading,
    *,
    name: str,
    title: str,
    metre: TimeSignature,
    tempo_qpm: float,
    dynamic: str,
    key: Key | None = None,
    swells: Iterable[Hairpin] = (),
) -> tuple[Part, tuple[Way, ...]]:
    """Write notes and rests as a part.

    Args:
        events: in order; none crosses a bar line, and together they fill whole measures.
        reading: how the player reads.
        name: of the part.
        title: over it.
        metre: of all measures.
        tempo_qpm: at its beginning [quarters per minute].
        dynamic: mark at its beginning.
        key: signature; None for none.
        swells: hairpins.

    Returns:
        The part, and the way of each of its notes.

    Raises:
        PartError: a note crosses a bar line, has no shape, or the last measure is not full.

    """
    draft = PartDraft(name, title=title, states_transposition=True, hairpins=list(swells))
    draft.directions += [
        tempo_mark(tempo_qpm, metre),
        Direction(DirectionKind.DYNAMIC, 0, Fraction(0), dynamic, above=False),
    ]
    place, started = Fraction(0), -1
    ways: list[Way] = []
    saying = Technique.PLAIN
    for event in events:
        measure = int(place // metre.length_quarter)
        if place % metre.length_quarter + event.length_quarter > metre.length_quarter:
            raise PartError("a note over a bar line", got=str(event.length_quarter), where=f"{name}, {place}")
        value = value_of_length(event.length_quarter)
        if value is None:
            raise PartError("a length that no note shows", got=str(event.length_quarter), where=name)
        if isinstance(event, Silence):
            draft.rests.append(Rest(measure, place, event.length_quarter, value))
        else:
            index = len(draft.notes)
            draft.notes.append(_note(event, reading, measure, place, value))
            ways.append(event.way)
            if started < 0 and event.joined:
                started = index
            if started >= 0 and not event.joined:
                draft.slurs.append(Slur(started, index))
                started = -1
            if event.technique is not saying and event.joined:
                draft.directions += technique_words(event.technique, measure, place)
                saying = event.technique
        place += event.length_quarter
    if place % metre.length_quarter:
        raise PartError("a last measure that is not full", got=str(place % metre.length_quarter), where=name)
    draft.measures = _measures(int(place // metre.length_quarter), metre, key or Key(), reading)
    draft.notes = _beamed(_bracketed(draft.notes), metre)
    return shown_accidentals(finished(draft)), tuple(ways)


def _note(event: Played, reading: Reading, measure: int, place: Fraction, value: NoteValue) -> NoteDraft:
    return NoteDraft(
        measure=measure,
        onset_quarter=place,
        duration_quarter=event.length_quarter,
        written=event.written,
        sounding=reading.transposition.to_sounding(event.written),
        value=value,
    )


def _measures(count: int, metre: TimeSignature, key: Key, reading: Reading) -> list[Measure]:
    return [
        Measure(
            index=index,
            number=str(index + 1),
            onset_quarter=index * metre.length_quarter,
            duration_quarter=metre.length_quarter,
            time=metre,
            key=key,
            clef=reading.clef,
            transposition=reading.transposition,
            final_bar=index + 1 == count,
        )
        for index in range(count)
    ]


def whole_tempo(tempo_qpm: float, metre: TimeSignature) -> float:
    """Nearest tempo that a metronome shows: a whole number of beats a minute [quarters per minute].

    Args:
        tempo_qpm: the tempo [quarters per minute].
        metre: whose beats are counted.

    """
    beat = _beat_quarter(metre)
    return beat * max(1.0, float(round(tempo_qpm / beat)))


def beats_dotted(metre: TimeSignature) -> bool:
    """Say whether a metronome counts dotted quarters: in compound time.

    Args:
        metre: whose beats are counted.

    """
    return metre.beat_type == 8 and metre.beats % 3 == 0


def _beat_quarter(metre: TimeSignature) -> float:
    """What a metronome counts [quarters]."""
    return 1.5 if beats_dotted(metre) else 1.0


def tempo_text(tempo_qpm: float, metre: TimeSignature) -> str:
    """Say a tempo as its mark prints it: "quarter = 72", "dotted quarter = 48".

    Args:
        tempo_qpm: the tempo [quarters per minute].
        metre: whose beats are counted.

    """
    beat = _beat_quarter(metre)
    return f"{'quarter' if beat == 1.0 else 'dotted quarter'} = {round(tempo_qpm / beat, 2):g}"


def tempo_mark(tempo_qpm: float, metre: TimeSignature) -> Direction:
    """Print a tempo, in dotted quarters where the metre beats in these.

    Args:
        tempo_qpm: the tempo [quarters per minute].
        metre: at its place.

    """
    beat = _beat_quarter(metre)
    return Direction(
        DirectionKind.TEMPO,
        0,
        Fraction(0),
        "",
        tempo_qpm=tempo_qpm,
        tempo_unit="quarter" if beat == 1.0 else "quarter.",
        tempo_per_minute=round(tempo_qpm / beat, 2),
    )


def technique_words(technique: Technique, measure: int, place: Fraction) -> list[Direction]:
    """Say a technique over the note that it leads from; nothing for a plain slur.

    Args:
        technique: how the slur is made.
        measure: index of the measure.
        place: of the note [quarters].

    """
    if technique is Technique.PLAIN:
        return []
    return [Direction(DirectionKind.WORDS, measure, place, technique.value.replace("-tongue", " tongue"))]


def _bracketed(notes: list[NoteDraft]) -> list[NoteDraft]:
    """Set the brackets of tuplets: three notes of a triplet stand under one."""
    inside = 0
    for note in notes:
        tuplet = note.value.tuplet
        if tuplet is None:
            inside = 0
            continue
        inside += 1
        marked = Tuplet(tuplet.actual, tuplet.normal, starts=inside == 1, ends=inside == tuplet.actual)
        note.value = replace(note.value, tuplet=marked)
        inside %= tuplet.actual
    return notes


def _beamed(notes: list[NoteDraft], metre: TimeSignature) -> list[NoteDraft]:
    """Beam short notes beat by beat."""
    beat = Fraction(3, 2) if metre.beat_type == 8 else Fraction(1)
    groups: dict[tuple[int, int], list[NoteDraft]] = {}
    for note in notes:
        if note.duration_quarter < 1:
            inside = note.onset_quarter % metre.length_quarter
            groups.setdefault((note.measure, int(inside // beat)), []).append(note)
    for group in groups.values():
        touching = all(
            one.onset_quarter + one.duration_quarter == other.onset_quarter for one, other in pairwise(group)
        )
        if len(group) > 1 and touching:
            for note in group:
                note.beam = Beam.CONTINUE
            group[0].beam, group[-1].beam = Beam.BEGIN, Beam.END
    return notes


def shown_accidentals(part: Part) -> Part:
    """Print every accidental that a part needs, and keep the reminders that it has."""
    shown = accidentals(part)
    notes = tuple(
        replace(note, shown_accidental=shown[note.index].name if note.index in shown else "") for note in part.notes
    )
    return replace(part, notes=notes)


def techniques_of(part: Part, by_note: Sequence[Technique]) -> tuple[Technique, ...]:
    """Say how each move of a part's line is made.

    Args:
        part: the part.
        by_note: for each of its notes how a slur from it is made.

    """
    line = line_of(part)
    return tuple(
        by_note[line.sounds[move.source].notes[-1]] if move.slurred else Technique.PLAIN for move in line.moves
    )
