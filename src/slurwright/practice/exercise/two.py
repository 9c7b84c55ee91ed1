"""A slur alone: its two notes as they stand in the part, again and again, with a breath between."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction

from numpy.random import Generator

from slurwright.pitch import Reading, WrittenPitch
from slurwright.plan import Technique, Way
from slurwright.practice.exercise.lips import Drill
from slurwright.practice.exercise.score import Played, Silence, techniques_of, whole_tempo, written_part
from slurwright.score import Key, TimeSignature, value_of_length

__all__ = ["Pair", "two_notes"]

_METRES = (TimeSignature(4, 4), TimeSignature(3, 4))
_LENGTHS = (Fraction(1, 4), Fraction(1, 2), Fraction(1), Fraction(2))
"""Lengths of the first note that keep such an exercise readable [quarters]."""


@dataclass(frozen=True, slots=True)
class Pair:
    """The two notes of a slur."""

    written: tuple[WrittenPitch, WrittenPitch]
    ways: tuple[Way, Way]
    techniques: tuple[Technique, Technique]
    """How the slur is made, and how it is made back again."""
    length_quarter: Fraction
    """Of the first note in the part [quarters]."""
    key: Key


@dataclass(frozen=True, slots=True)
class _Form:
    """One rhythm of the pair that fills whole beats."""

    metre: TimeSignature
    lengths: tuple[Fraction, ...]
    """Two notes, or three where it goes back."""
    rest_quarter: Fraction

    @property
    def length_quarter(self) -> Fraction:
        """Length with its rest [quarters]."""
        return sum(self.lengths, self.rest_quarter)


def two_notes(
    pair: Pair,
    reading: Reading,
    rng: Generator,
    *,
    times: int,
    tempo_qpm: float,
    dynamic: str,
    name: str,
    title: str,
) -> Drill:
    """Write a slur so many times.

    Args:
        pair: its notes.
        reading: how the player reads.
        rng: chooses metre, rhythm, and whether it goes back.
        times: at least so often.
        tempo_qpm: the tempo [quarters per minute].
        dynamic: mark at the beginning.
        name: of the part.
        title: over it.

    """
    forms = list(_forms(_near(pair.length_quarter)))
    form = forms[int(rng.integers(len(forms)))]
    each = form.length_quarter
    measure = form.metre.length_quarter
    count = times
    while (count * each) % measure:
        count += 1
    events: list[Played | Silence] = []
    for _ in range(count):
        events += _group(pair, form.lengths)
        events.append(Silence(form.rest_quarter))
    tempo_qpm = whole_tempo(tempo_qpm, form.metre)
    part, ways = written_part(
        events,
        reading,
        name=name,
        title=title,
        metre=form.metre,
        tempo_qpm=tempo_qpm,
        dynamic=dynamic,
        key=pair.key,
    )
    by_note = [event.technique for event in events if isinstance(event, Played)]
    return Drill(part, ways, techniques_of(part, by_note), tempo_qpm, slur=(0, 1))


def _near(length_quarter: Fraction) -> Fraction:
    """Readable length nearest to that of a note, the shorter of two; a grace note is the shortest."""
    return min(_LENGTHS, key=lambda length: abs(length - length_quarter))


def _forms(first: Fraction) -> Iterator[_Form]:
    """Work out each rhythm that keeps the first note's length and never hides the beat behind a long dot."""
    for metre in _METRES:
        for whole in (Fraction(2), Fraction(4)) if metre.beats == 4 else (Fraction(3),):
            for rest in (Fraction(1), Fraction(2)):
                for count in (2, 3):
                    last = whole - rest - (count - 1) * first
                    if last >= min(first, Fraction(1)) and _readable(last, begins=(count - 1) * first):
                        yield _Form(metre, (first,) * (count - 1) + (last,), rest)


def _readable(length: Fraction, *, begins: Fraction) -> bool:
    value = value_of_length(length)
    if value is None or value.tuplet is not None or value.dots > 1:
        return False
    return length <= 1 or value.dots == 1 or begins % 1 == 0


def _group(pair: Pair, lengths: Sequence[Fraction]) -> list[Played]:
    return [
        Played(
            length,
            pair.written[place % 2],
            pair.ways[place % 2],
            joined=place + 1 < len(lengths),
            technique=pair.techniques[place % 2],
        )
        for place, length in enumerate(lengths)
    ]
