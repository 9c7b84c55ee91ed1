"""A round of a trial as a small part for the stand: the slur again and again, as the order says.

A bar a try, at the dynamic and the speed of the change in the part, and a bar of rest after each. Each
has the try's fingerings and says its number, its arm and its technique. What is played from it is measured like any
other part.
"""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction

from slurwright.evidence.trial.tries import arm_key, page_slots
from slurwright.evidence.trial.values import Arm, Slot, TrialDesign
from slurwright.horn import Horn
from slurwright.jobs.study import StudyRequest, study_part
from slurwright.jobs.take.measure import TakeRequest
from slurwright.jobs.words import beat_text, in_print
from slurwright.plan import Chances, Technique
from slurwright.plan.familiar import Familiarity
from slurwright.plan.study import Study
from slurwright.score import (
    Beam,
    Direction,
    DirectionKind,
    Key,
    Measure,
    NoteDraft,
    NoteValue,
    Part,
    PartDraft,
    Rest,
    Slur,
    TimeSignature,
    finished,
    value_of_length,
)

__all__ = ["RoundPage", "round_page"]

_LENGTHS = (Fraction(1, 4), Fraction(1, 2), Fraction(3, 4), Fraction(1), Fraction(3, 2), Fraction(2))
"""What a note of the slur can last on the page; a longer one is held no longer than the last of these [quarters]."""
_TRIES_IN_ROW = 4
"""So many tries stand in one row of the page."""


@dataclass(frozen=True, slots=True)
class RoundPage:
    """What is played in one go, as a part and as a study of it."""

    block: int
    """The first block that it holds."""
    slots: tuple[Slot, ...]
    """One a try, in the order of play."""
    study: Study
    fingerings: Mapping[int, tuple[str, ...]]
    """Index into ``Part.notes`` -> what is written there."""
    take: TakeRequest
    """What a take of it is to be told."""


def round_page(
    design: TrialDesign, block: int, horn: Horn, *, title: str, chances: Chances, familiarity: Familiarity
) -> RoundPage:
    """Lay a round of a trial out for the stand, from one of its blocks to its end.

    Args:
        design: the trial.
        block: the first block.
        horn: the player's horn.
        title: of the page.
        chances: priors of notes, slurs and fingers.
        familiarity: priors of how familiar ways are.

    Raises:
        FingeringError: the horn has an arm's fingering no longer.
    """
    slots = page_slots(design, block)
    arms = [design.arms[slot.arm] for slot in slots]
    part, lengths = _part(design, slots, horn, title)
    second = beat_text(1 + lengths[0])
    pins = [
        f"{2 * place + 1}:{beat}={way.fingering}"
        for place, arm in enumerate(arms)
        for beat, way in zip(("1", second), arm.ways, strict=True)
    ]
    request = StudyRequest(pins=tuple(pins), best=1)
    study = study_part(part, horn, request, chances=chances, familiarity=familiarity)
    return RoundPage(
        block=block,
        slots=slots,
        study=study,
        fingerings={
            2 * place + note: (arm.ways[note].fingering,) for place, arm in enumerate(arms) for note in (0, 1)
        },
        take=TakeRequest(tried=tuple(f"{2 * place + 1}:1={arm.technique}" for place, arm in enumerate(arms))),
    )


def _part(
    design: TrialDesign, slots: Sequence[Slot], horn: Horn, title: str
) -> tuple[Part, tuple[Fraction, Fraction]]:
    """Write the round down; says how long the two notes are written [quarters]."""
    lengths, tempo_qpm = _written(design)
    beats = math.ceil(sum(lengths)) + 1
    draft = PartDraft(name=horn.name, title=title, instrument=horn.name, states_transposition=True)
    _add_directions(draft, design, tempo_qpm)
    last = 2 * len(slots) - 1
    for bar in range(last + 1):
        measure = Measure(
            index=bar,
            number=str(bar + 1),
            onset_quarter=Fraction(bar * beats),
            duration_quarter=Fraction(beats),
            time=TimeSignature(beats, 4),
            key=Key(design.key_fifths),
            clef=design.clef,
            transposition=design.transposition,
            final_bar=bar == last,
            new_section=bar > 0 and bar % (2 * _TRIES_IN_ROW) == 0,
        )
        draft.measures.append(measure)
        if bar % 2:
            draft.rests.append(Rest(bar, measure.onset_quarter, measure.duration_quarter))
        else:
            slot = slots[bar // 2]
            words = _words(design, slot, bar // 2)
            _add_try(draft, measure, design.arms[slot.arm], lengths, words=words)
    return finished(draft), lengths


def _add_directions(draft: PartDraft, design: TrialDesign, tempo_qpm: float) -> None:
    if design.mark:
        draft.directions.append(Direction(DirectionKind.DYNAMIC, 0, Fraction(0), design.mark, above=False))
    draft.directions.append(
        Direction(
            DirectionKind.TEMPO,
            0,
            Fraction(0),
            "",
            tempo_qpm=tempo_qpm,
            tempo_unit="quarter",
            tempo_per_minute=tempo_qpm,
        )
    )


def _add_try(draft: PartDraft, measure: Measure, arm: Arm, lengths: tuple[Fraction, Fraction], *, words: str) -> None:
    """Write one try: two slurred notes, then rests."""
    bar, start = measure.index, measure.onset_quarter
    draft.directions.append(Direction(DirectionKind.WORDS, bar, start, words))
    beamed = sum(lengths) <= 1
    place = start
    for way, length, beam in zip(arm.ways, lengths, (Beam.BEGIN, Beam.END), strict=True):
        draft.notes.append(
            NoteDraft(
                measure=bar,
                onset_quarter=place,
                duration_quarter=length,
                written=way.written,
                sounding=way.sounding,
                value=value_of_length(length) or NoteValue("quarter"),
                fingerings=(way.fingering,),
                beam=beam if beamed else Beam.NONE,
            )
        )
        place += length
    draft.slurs.append(Slur(len(draft.notes) - 2, len(draft.notes) - 1))
    for length in _rests(place - start, measure.duration_quarter):
        draft.rests.append(Rest(bar, place, length, value_of_length(length)))
        place += length


def _rests(place: Fraction, end: Fraction) -> list[Fraction]:
    """Fill a bar with rests from a place in it on: up to the next beat, then a beat each."""
    found = []
    while place < end:
        length = next(grid for grid in (Fraction(1), Fraction(1, 2), Fraction(1, 4)) if place % grid == 0)
        found.append(length)
        place += length
    return found


def _words(design: TrialDesign, slot: Slot, place: int) -> str:
    technique = design.arms[slot.arm].technique
    said = "" if technique is Technique.PLAIN else f": {technique.said}"
    return in_print(f"{place + 1} {arm_key(slot.arm)}{said}")


def _written(design: TrialDesign) -> tuple[tuple[Fraction, Fraction], float]:
    """How long the two notes are written [quarters], and the tempo at which the change is as quick as in the part."""
    first = _nearest(design.time_s * design.tempo_qpm / 60.0)
    shorter = design.time_s * design.tempo_qpm / 60.0 <= float(_LENGTHS[-1])
    tempo_qpm = float(round(60.0 * float(first) / design.time_s if shorter else design.tempo_qpm))
    return (first, _nearest(design.hold_s * tempo_qpm / 60.0)), max(10.0, tempo_qpm)


def _nearest(quarters: float) -> Fraction:
    return min(_LENGTHS, key=lambda length: abs(math.log(float(length) / max(quarters, 1e-6))))
