"""A round of a trial as a small part for the stand: the slur again and again, as the order says.

One bar a try, at the dynamic and the speed of the change in the part, with a pause after each. Each bar has the try's
fingerings and says its number, its arm and its technique. What is played from it is measured like any other part.
"""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction

from slurwright.evidence.trial import Arm, Slot, TrialDesign
from slurwright.evidence.trial_tries import arm_key, page_slots
from slurwright.horn import Horn
from slurwright.jobs.study import StudyRequest, study_part
from slurwright.jobs.take import TakeRequest
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

_LENGTHS = (Fraction(1, 4), Fraction(1, 2), Fraction(3, 4), Fraction(1), Fraction(3, 2))
"""What a note of the slur can last on the page, so that a bar has room for both and a rest [quarters]."""
_BAR = Fraction(4)


@dataclass(frozen=True, slots=True)
class RoundPage:
    """What is played in one go, as a part and as a study of it."""

    block: int
    """The first block that it holds."""
    slots: tuple[Slot, ...]
    """One a bar."""
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
        f"{bar}:{beat}={way.fingering}"
        for bar, arm in enumerate(arms, start=1)
        for beat, way in zip(("1", second), arm.ways, strict=True)
    ]
    request = StudyRequest(pins=tuple(pins), best=1, each_time=True)
    study = study_part(part, horn, request, chances=chances, familiarity=familiarity)
    return RoundPage(
        block=block,
        slots=slots,
        study=study,
        fingerings={2 * bar + note: (arm.ways[note].fingering,) for bar, arm in enumerate(arms) for note in (0, 1)},
        take=TakeRequest(tried=tuple(f"{bar}:1={arm.technique}" for bar, arm in enumerate(arms, start=1))),
    )


def _part(
    design: TrialDesign, slots: Sequence[Slot], horn: Horn, title: str
) -> tuple[Part, tuple[Fraction, Fraction]]:
    """Write the round down; says how long the two notes are written [quarters]."""
    first = _written(design.time_s * design.tempo_qpm / 60.0)
    tempo_qpm = max(10.0, float(round(60.0 * float(first) / design.time_s)))
    lengths = first, _written(design.hold_s * tempo_qpm / 60.0)
    draft = PartDraft(name=horn.name, title=title, instrument=horn.name, states_transposition=True)
    _add_directions(draft, design, tempo_qpm)
    for bar, slot in enumerate(slots):
        start = bar * _BAR
        measure = Measure(
            index=bar,
            number=str(bar + 1),
            onset_quarter=start,
            duration_quarter=_BAR,
            time=TimeSignature(),
            key=Key(design.key_fifths),
            clef=design.clef,
            transposition=design.transposition,
            final_bar=bar == len(slots) - 1,
        )
        draft.measures.append(measure)
        _add_try(draft, design.arms[slot.arm], lengths, start=start, bar=bar, words=_words(design, slot, bar))
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


def _add_try(
    draft: PartDraft, arm: Arm, lengths: tuple[Fraction, Fraction], *, start: Fraction, bar: int, words: str
) -> None:
    """Write one try: two slurred notes, then rests with a pause."""
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
    draft.slurs.append(Slur(2 * bar, 2 * bar + 1))
    for length in _rests(place - start):
        last = place + length == start + _BAR
        draft.rests.append(Rest(bar, place, length, value_of_length(length), fermata=last))
        place += length


def _rests(place: Fraction) -> list[Fraction]:
    """Fill a bar of four quarters with rests, from a place in it on: to the beat, to the half, to the end."""
    found = []
    while place < _BAR:
        for grid in (Fraction(2), Fraction(1), Fraction(1, 2), Fraction(1, 4)):
            if place % grid == 0:
                found.append(grid)
                place += grid
                break
    return found


def _words(design: TrialDesign, slot: Slot, bar: int) -> str:
    technique = design.arms[slot.arm].technique
    said = "" if technique is Technique.PLAIN else f": {technique.value.replace('-', ' ', 1)}"
    if technique is Technique.HALF_VALVE:
        said = ": half-valve"
    return in_print(f"{bar + 1} {arm_key(slot.arm)}{said}")


def _written(quarters: float) -> Fraction:
    """The length on the page that comes nearest to a time [quarters]."""
    return min(_LENGTHS, key=lambda length: abs(math.log(float(length) / max(quarters, 1e-6))))
