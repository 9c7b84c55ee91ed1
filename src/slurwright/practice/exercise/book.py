"""Several exercises as one part, each on a line of its own, for one file of notation."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from slurwright.practice.exercise.values import Exercise
from slurwright.score import Direction, DirectionKind, Part

__all__ = ["ExerciseBook", "bound"]


@dataclass(frozen=True, slots=True)
class ExerciseBook:
    """Exercises bound into one part."""

    part: Part
    labels: dict[int, str]
    """Fingerings to print, index into ``part.notes`` -> label."""


def bound(exercises: Sequence[Exercise], *, title: str) -> ExerciseBook:
    """Bind exercises into one part; each begins a line, with its number and name over it.

    Args:
        exercises: at least one, all in the same reading.
        title: of the whole.

    """
    whole = Part(name=exercises[0].part.name, measures=(), notes=(), title=title, states_transposition=True)
    labels: dict[int, str] = {}
    place = Fraction(0)
    for number, exercise in enumerate(exercises, start=1):
        labels |= {len(whole.notes) + note: label for note, label in exercise.labels.items()}
        whole = _with(whole, exercise.part, place, named=f"{number}. {exercise.title}")
        last = whole.measures[-1]
        place = last.onset_quarter + last.duration_quarter
    return ExerciseBook(replace(whole, states_dynamics=True, states_tempo=True), labels)


def _with(whole: Part, part: Part, place: Fraction, *, named: str) -> Part:
    """Append a part; its places count on from where the whole ends [quarters]."""
    bars, notes = len(whole.measures), len(whole.notes)
    measures = tuple(
        replace(
            measure,
            index=bars + measure.index,
            number=str(bars + measure.index + 1),
            onset_quarter=place + measure.onset_quarter,
            new_section=measure.index == 0 and bars > 0,
        )
        for measure in part.measures
    )
    name = Direction(DirectionKind.WORDS, bars, place, named)
    return replace(
        whole,
        measures=whole.measures + measures,
        notes=whole.notes
        + tuple(
            replace(
                note,
                index=notes + note.index,
                measure=bars + note.measure,
                onset_quarter=place + note.onset_quarter,
            )
            for note in part.notes
        ),
        rests=whole.rests
        + tuple(
            replace(rest, measure=bars + rest.measure, onset_quarter=place + rest.onset_quarter)
            for rest in part.rests
        ),
        slurs=whole.slurs
        + tuple(replace(slur, first=notes + slur.first, last=notes + slur.last) for slur in part.slurs),
        hairpins=whole.hairpins
        + tuple(
            replace(pin, start_quarter=place + pin.start_quarter, end_quarter=place + pin.end_quarter)
            for pin in part.hairpins
        ),
        directions=(
            *whole.directions,
            name,
            *(
                replace(sign, measure=bars + sign.measure, onset_quarter=place + sign.onset_quarter)
                for sign in part.directions
            ),
        ),
    )
