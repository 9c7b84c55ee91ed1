"""How lengths are written: splitting at bar lines and beats, note values with dots and tuplets, beams.

A stretch of time is cut into pieces that one note value can show: first at bar lines, then, while a piece has no
value of its own, at the strongest beat inside it. Everything is exact.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from math import lcm

from slurwright.errors import NotationError
from slurwright.score import Beam, NoteValue, TimeSignature, Tuplet

__all__ = ["Bar", "Piece", "bars_until", "beams_of", "pieces_of", "with_tuplet_groups"]

_TYPES = ("whole", "half", "quarter", "eighth", "16th", "32nd", "64th", "128th")
_VALUES: dict[Fraction, NoteValue] = {
    Fraction(4, 2**power) * factor: NoteValue(kind, dots)
    for power, kind in enumerate(_TYPES)
    for dots, factor in enumerate((Fraction(1), Fraction(3, 2), Fraction(7, 4)))
    if power + dots < len(_TYPES)
}
_MOST_BARS = 10_000
_TUPLETS = ((1, 1), (3, 2), (5, 4))


@dataclass(frozen=True, slots=True)
class Bar:
    """A measure to be filled."""

    start: Fraction
    length: Fraction
    time: TimeSignature

    @property
    def end(self) -> Fraction:
        """Where the next bar starts [quarters]."""
        return self.start + self.length


@dataclass(frozen=True, slots=True)
class Piece:
    """A stretch inside one bar that one note or rest can show."""

    bar: int
    start: Fraction
    length: Fraction
    value: NoteValue
    source: int
    """Which stretch it was cut from; -1 for a rest."""


def bars_until(end: Fraction, times: Sequence[tuple[Fraction, TimeSignature]]) -> tuple[Bar, ...]:
    """Lay out bars from 0 until everything fits; a new time signature starts a bar, even if it cuts one short.

    Args:
        end: where the last note or rest ends [quarters].
        times: places and time signatures, sorted, the first at 0.

    Raises:
        NotationError: the time signatures would give more measures than music has.

    """
    bars: list[Bar] = []
    place = Fraction(0)
    at = 0
    while place < end or not bars:
        while at + 1 < len(times) and times[at + 1][0] <= place:
            at += 1
        if len(bars) == _MOST_BARS:
            raise NotationError("the part has more measures than music has", allowed=f"up to {_MOST_BARS}")
        length = times[at][1].length_quarter
        if at + 1 < len(times):
            length = min(length, times[at + 1][0] - place)
        bars.append(Bar(place, length, times[at][1]))
        place += length
    return tuple(bars)


def pieces_of(start: Fraction, end: Fraction, bars: Sequence[Bar], first_bar: int, source: int) -> list[Piece]:
    """Cut a stretch into pieces.

    Args:
        start: where it starts [quarters].
        end: where it ends, after its start [quarters].
        bars: all bars.
        first_bar: index of the bar in which it starts, from 0 [1].
        source: what the pieces are to be known by [1].

    """
    pieces: list[Piece] = []
    at = first_bar
    while start < end:
        while bars[at].end <= start:
            at += 1
        stop = min(end, bars[at].end)
        for low, high, value in _cut(start - bars[at].start, stop - bars[at].start):
            pieces.append(Piece(at, bars[at].start + low, high - low, value, source))
        start = stop
    return pieces


def _cut(low: Fraction, high: Fraction) -> list[tuple[Fraction, Fraction, NoteValue]]:
    value = _value_of(low, high)
    if value is not None:
        return [(low, high, value)]
    middle = _strongest_inside(low, high)
    if middle is None:
        # finer than any value here: shown as the shortest one, its exact length kept
        return [(low, high, NoteValue(_TYPES[-1]))]
    return _cut(low, middle) + _cut(middle, high)


def _value_of(low: Fraction, high: Fraction) -> NoteValue | None:
    length = high - low
    for actual, normal in _TUPLETS:
        value = _VALUES.get(length * Fraction(actual, normal))
        if value is None or value.dots > (2 if low.denominator == 1 and actual == 1 else 1):
            continue
        if actual == 1:
            return value if _reads_well(low, high, value) else None
        if low.denominator % actual == 0 or high.denominator % actual == 0:
            return replace(value, tuplet=Tuplet(actual, normal))
    return None


def _reads_well(low: Fraction, high: Fraction, value: NoteValue) -> bool:
    """A value may hide a beat only if it starts or ends on one, or is a plain syncopation of its own size."""
    if high - low <= 1 and low // 1 == (high - Fraction(1, 256)) // 1:
        return True
    return (
        low.denominator == 1 or (high.denominator == 1 and value.dots == 0) or (value.dots == 0 and high - low == 1)
    )


def _strongest_inside(low: Fraction, high: Fraction) -> Fraction | None:
    """Find where to cut: on the coarsest grid inside; at its last place if the stretch starts on it, else first."""
    finest = lcm(low.denominator, high.denominator)
    for denominator in range(1, finest + 1):
        if finest % denominator == 0:
            first = Fraction(low * denominator // 1 + 1, denominator)
            last = Fraction(-(-high * denominator // 1) - 1, denominator)
            if first < high:
                return last if denominator % low.denominator == 0 else first
    return None


def with_tuplet_groups(pieces: Sequence[Piece], bars: Sequence[Bar]) -> list[Piece]:
    """Say where each tuplet starts and ends: it closes on the first beat that it reaches."""
    result: list[Piece] = []
    open_since: Fraction | None = None
    for at, piece in enumerate(pieces):
        tuplet = piece.value.tuplet
        if tuplet is None:
            open_since = None
            result.append(piece)
            continue
        starts = open_since is None
        if starts:
            open_since = piece.start
        end = piece.start + piece.length - bars[piece.bar].start
        following = pieces[at + 1] if at + 1 < len(pieces) else None
        ends = (
            end.denominator == 1
            or following is None
            or following.bar != piece.bar
            or following.value.tuplet is None
            or following.value.tuplet.actual != tuplet.actual
        )
        if ends:
            open_since = None
        result.append(replace(piece, value=replace(piece.value, tuplet=replace(tuplet, starts=starts, ends=ends))))
    return result


def beams_of(pieces: Sequence[Piece], bars: Sequence[Bar]) -> list[Beam]:
    """Say what the first beam does at each piece: notes shorter than a quarter join within a beat."""
    groups: list[tuple[int, int] | None] = []
    for piece in pieces:
        time = bars[piece.bar].time
        beat = Fraction(3, 2) if time.beat_type == 8 and time.beats % 3 == 0 else Fraction(1)
        short = piece.source >= 0 and _TYPES.index(piece.value.type) >= 3
        groups.append((piece.bar, int((piece.start - bars[piece.bar].start) // beat)) if short else None)
    beams: list[Beam] = []
    for at, group in enumerate(groups):
        before = group is not None and at > 0 and groups[at - 1] == group
        after = group is not None and at + 1 < len(groups) and groups[at + 1] == group
        beams.append(
            {(True, True): Beam.CONTINUE, (True, False): Beam.END, (False, True): Beam.BEGIN}.get(
                (before, after), Beam.NONE
            )
        )
    return beams
