"""How a reader makes a `Part`: it gathers drafts in written order, and the states in force are filled in here.

A reader creates a `PartDraft`, appends measures, note drafts, rests, slurs, hairpins and directions, and calls
`finished`. Dynamics and tempo need no care: they come from the directions (kind DYNAMIC with its text "mf", kind
TEMPO or WORDS with a number or words) and the hairpins. Ties are checked, indices given, and what does not add up
becomes a notice.
"""

from dataclasses import dataclass, field
from fractions import Fraction

from slurwright.pitch import SoundingPitch, WrittenPitch
from slurwright.score.dynamics import dynamic_course, level_of_mark
from slurwright.score.part import (
    Beam,
    Direction,
    DirectionKind,
    Hairpin,
    Measure,
    Note,
    NoteValue,
    Notice,
    Part,
    Rest,
    Slur,
)
from slurwright.score.tempo import tempo_course

__all__ = ["NoteDraft", "PartDraft", "finished"]


@dataclass(slots=True)
class NoteDraft:
    """A note as a reader meets it: the fields of `Note` but for index, dynamic and tempo."""

    measure: int
    onset_quarter: Fraction
    duration_quarter: Fraction
    written: WrittenPitch
    sounding: SoundingPitch
    value: NoteValue
    voice: str = "1"
    staff: int = 1
    grace: bool = False
    grace_slash: bool = False
    tied_from_previous: bool = False
    tied_to_next: bool = False
    articulations: frozenset[str] = frozenset()
    ornaments: frozenset[str] = frozenset()
    fingerings: tuple[str, ...] = ()
    beam: Beam = Beam.NONE
    lyrics: tuple[str, ...] = ()
    shown_accidental: str = ""
    place: str = ""


@dataclass(slots=True)
class PartDraft:
    """A part while it is read; notes stand in written order, grace notes before the note they lean on."""

    name: str
    measures: list[Measure] = field(default_factory=list)
    notes: list[NoteDraft] = field(default_factory=list)
    rests: list[Rest] = field(default_factory=list)
    slurs: list[Slur] = field(default_factory=list)
    """By place in `notes`."""
    hairpins: list[Hairpin] = field(default_factory=list)
    directions: list[Direction] = field(default_factory=list)
    notices: list[Notice] = field(default_factory=list)
    title: str = ""
    composer: str = ""
    instrument: str = ""
    part_id: str = ""
    states_transposition: bool = False


def finished(draft: PartDraft) -> Part:
    """Turn a draft into a part: indices, dynamics and tempo in force, ties that hold, slurs in order."""
    directions = tuple(sorted(draft.directions, key=lambda d: d.onset_quarter))
    dynamics = dynamic_course(directions, draft.hairpins)
    tempos = tempo_course(directions, draft.measures)
    notices = list(draft.notices)
    _settle_ties(draft, notices)
    places = [note.onset_quarter.numerator / note.onset_quarter.denominator for note in draft.notes]
    notes = tuple(
        Note(
            index=index,
            measure=note.measure,
            onset_quarter=note.onset_quarter,
            duration_quarter=note.duration_quarter,
            written=note.written,
            sounding=note.sounding,
            value=note.value,
            dynamic=dynamics.at(place),
            tempo_qpm=tempos.at(place),
            voice=note.voice,
            staff=note.staff,
            grace=note.grace,
            grace_slash=note.grace_slash,
            tied_from_previous=note.tied_from_previous,
            tied_to_next=note.tied_to_next,
            articulations=note.articulations,
            ornaments=note.ornaments,
            fingerings=note.fingerings,
            beam=note.beam,
            lyrics=note.lyrics,
            shown_accidental=note.shown_accidental,
            place=note.place,
        )
        for index, (note, place) in enumerate(zip(draft.notes, places, strict=True))
    )
    return Part(
        name=draft.name,
        measures=tuple(draft.measures),
        notes=notes,
        rests=tuple(draft.rests),
        slurs=_settled_slurs(draft, notices),
        hairpins=tuple(sorted(draft.hairpins, key=lambda pin: (pin.start_quarter, pin.end_quarter))),
        directions=directions,
        title=draft.title,
        composer=draft.composer,
        instrument=draft.instrument,
        part_id=draft.part_id,
        states_transposition=draft.states_transposition,
        states_dynamics=_states_dynamics(directions),
        states_tempo=bool(tempos.starts),
        notices=tuple(notices),
    )


def _states_dynamics(directions: tuple[Direction, ...]) -> bool:
    return any(
        direction.kind is DirectionKind.DYNAMIC and level_of_mark(direction.text) is not None
        for direction in directions
    )


def _where(draft: PartDraft, note: NoteDraft) -> str:
    return f"measure {draft.measures[note.measure].number}" if note.measure < len(draft.measures) else ""


def _settle_ties(draft: PartDraft, notices: list[Notice]) -> None:
    """Let a tie stand only between neighbours of one pitch that touch; say which do not."""
    notes = draft.notes
    joined = False
    for i, note in enumerate(notes):
        if note.tied_from_previous and not joined:
            notices.append(Notice("a tie comes from no note of the same pitch; passed over", _where(draft, note)))
        note.tied_from_previous = joined
        joined = note.tied_to_next and i + 1 < len(notes) and _touch(note, notes[i + 1])
        if note.tied_to_next and not joined:
            notices.append(Notice("a tie leads to no note of the same pitch; passed over", _where(draft, note)))
        note.tied_to_next = joined


def _touch(note: NoteDraft, following: NoteDraft) -> bool:
    return (
        following.sounding.midi == note.sounding.midi
        and following.onset_quarter == note.onset_quarter + note.duration_quarter
    )


def _settled_slurs(draft: PartDraft, notices: list[Notice]) -> tuple[Slur, ...]:
    """Sort slurs, drop doubles, and refuse those that run backwards or nowhere."""
    kept: dict[tuple[int, int], Slur] = {}
    for slur in draft.slurs:
        if 0 <= slur.first < slur.last < len(draft.notes):
            kept.setdefault((slur.first, slur.last), slur)
        elif 0 <= slur.first < len(draft.notes):
            notices.append(
                Notice("a slur covers no second note; passed over", _where(draft, draft.notes[slur.first]))
            )
    return tuple(kept[key] for key in sorted(kept))
