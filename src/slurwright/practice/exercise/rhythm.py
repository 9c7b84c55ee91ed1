"""Which rhythms and contours exercises move in: made by rule, a new one for each draw.

A cell fills whole measures: a body of short values that never hide a beat, one held note, and a rest of a beat in
which to breathe. A contour walks over the rungs of a ladder step by step and holds the wanted step.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction
from itertools import pairwise

from numpy.random import Generator

from slurwright.score import TimeSignature

__all__ = ["Beat", "Cell", "Grain", "draw_cell", "draw_contour", "draw_metre"]

_ONE, _HALF, _THIRD = Fraction(1), Fraction(1, 2), Fraction(1, 3)
_COMMON, _THREE, _SIX = TimeSignature(4, 4), TimeSignature(3, 4), TimeSignature(6, 8)
_TRIES = 60


class Grain(StrEnum):
    """How short the values of an exercise are."""

    WIDE = "wide"
    MIDDLE = "middle"
    QUICK = "quick"


@dataclass(frozen=True, slots=True)
class Beat:
    """One value of a cell."""

    length_quarter: Fraction
    silent: bool = False
    joined: bool = False
    """True if a slur leads on to the next one."""


@dataclass(frozen=True, slots=True)
class Cell:
    """A rhythm that fills whole measures."""

    metre: TimeSignature
    beats: tuple[Beat, ...]

    @property
    def sounding(self) -> int:
        """How many notes it has."""
        return sum(not beat.silent for beat in self.beats)


_GROUPS: dict[tuple[bool, Grain], tuple[tuple[Fraction, ...], ...]] = {
    (False, Grain.WIDE): ((2 * _ONE,), (2 * _ONE,), (_ONE,)),
    (False, Grain.MIDDLE): ((_ONE,), (_HALF, _HALF), (3 * _HALF, _HALF)),
    (False, Grain.QUICK): ((_HALF, _HALF), (_THIRD,) * 3, (_ONE,), (3 * _HALF, _HALF)),
    (True, Grain.WIDE): ((3 * _HALF,), (_ONE, _HALF)),
    (True, Grain.MIDDLE): ((_ONE, _HALF), (_HALF,) * 3),
    (True, Grain.QUICK): ((_HALF,) * 3, (_HALF,) * 3, (_ONE, _HALF)),
}
"""Groups of values that begin on a beat and fill one or two, in simple and in compound time."""


def draw_metre(grain: Grain, rng: Generator) -> TimeSignature:
    """Choose a metre.

    Args:
        grain: how short the values are; the widest keep to simple time.
        rng: makes the choice.

    """
    metres = (_COMMON, _COMMON, _THREE) if grain is Grain.WIDE else (_COMMON, _THREE, _SIX)
    return metres[int(rng.integers(len(metres)))]


def draw_cell(metre: TimeSignature, grain: Grain, rng: Generator, *, whole: bool | None = None) -> Cell:
    """Make a rhythm of two measures: a moving one, and one that is held and breathed in.

    Args:
        metre: its metre.
        grain: how short its values are.
        rng: makes the choices.
        whole: True joins all notes with one slur, False joins them two by two; None leaves it to the draw.

    """
    compound = metre.beat_type == 8
    beat = 3 * _HALF if compound else _ONE
    measure = metre.length_quarter
    body = measure
    if not compound and metre.beats == 4 and grain is not Grain.WIDE and rng.random() < 0.5:
        body += 2  # moves on into the second measure, holds its last half
    lengths = _fill(body, measure, beat, grain=grain, rng=rng)
    held = 2 * measure - body - beat
    whole = bool(rng.random() < 0.5) if whole is None else whole
    count = len(lengths) + 1
    joined = [True] * (count - 1) + [False] if whole else [place % 2 == 0 for place in range(count)]
    if not whole and count % 2:
        joined[-2:] = [True, False]  # an odd note out goes with the pair before it
    beats = [Beat(length, joined=on) for length, on in zip((*lengths, held), joined, strict=True)]
    return Cell(metre, (*beats, Beat(beat, silent=True)))


def _fill(body: Fraction, measure: Fraction, beat: Fraction, *, grain: Grain, rng: Generator) -> list[Fraction]:
    """Fill a length with groups; never the same value all through where there is a choice."""
    groups = _GROUPS[beat != 1, grain]
    for _ in range(_TRIES):
        lengths: list[Fraction] = []
        place = Fraction(0)
        while place < body:
            fitting = [group for group in groups if _fits(group, place, body, measure, beat)]
            group = fitting[int(rng.integers(len(fitting)))]
            lengths += group
            place += sum(group, Fraction(0))
        if len(lengths) >= 2:
            return lengths
    return [beat] * int(body / beat)


def _fits(group: Sequence[Fraction], place: Fraction, body: Fraction, measure: Fraction, beat: Fraction) -> bool:
    """Say whether a group may begin at a place: within its measure, and two beats only where they hide none."""
    length = sum(group, Fraction(0))
    inside = place % measure
    if place + length > body or inside + length > measure:
        return False
    return length == beat or (inside / beat) % 2 == 0


def draw_contour(
    count: int, rungs: int, rng: Generator, *, step: tuple[int, int], joined: Sequence[bool]
) -> tuple[int, ...]:
    """Walk over the rungs of a ladder, one at a time, so that the wanted step is slurred and all rungs are met.

    Args:
        count: how many notes [1].
        rungs: how many rungs the ladder has, at least 2 [1].
        rng: makes the choices.
        step: the two neighbouring rungs whose step is wanted, in its direction.
        joined: for each note whether a slur leads on.

    Returns:
        A rung for each note.

    """
    if rungs == 2:
        return tuple(step[place % 2] for place in range(count))
    best: tuple[int, ...] = ()
    most = -1
    for _ in range(_TRIES):
        walk = _walk(count, rungs, rng)
        met = len(set(walk)) + count * _holds(walk, step, joined)
        if met > most:
            best, most = walk, met
        if met == count + min(rungs, count):
            break
    if _holds(best, step, joined):
        return best
    return tuple(step[place % 2] for place in range(count))


def _walk(count: int, rungs: int, rng: Generator) -> tuple[int, ...]:
    place = int(rng.integers(rungs))
    up = bool(rng.random() < 0.5)
    walk = [place]
    while len(walk) < count:
        if (up and place == rungs - 1) or (not up and place == 0) or rng.random() < 0.2:
            up = not up
        if not 0 <= place + (1 if up else -1) < rungs:
            up = not up
        place += 1 if up else -1
        walk.append(place)
    return tuple(walk)


def _holds(walk: Sequence[int], step: tuple[int, int], joined: Sequence[bool]) -> bool:
    return any(pair == step and on for pair, on in zip(pairwise(walk), joined, strict=False))
