"""Lengths are cut into pieces that note values can show, and nothing is lost."""

from fractions import Fraction

from hypothesis import given, settings
from hypothesis import strategies as st

from slurwright.formats.midi.rhythm import bars_until, beams_of, pieces_of, with_tuplet_groups
from slurwright.score import Beam, NoteValue, TimeSignature, Tuplet
from slurwright.score.values import length_of_value

_THREE_FOUR = ((Fraction(0), TimeSignature(3, 4)),)
_FOUR_FOUR = ((Fraction(0), TimeSignature(4, 4)),)


def cut(
    start: Fraction, end: Fraction, times: tuple[tuple[Fraction, TimeSignature], ...] = _FOUR_FOUR
) -> list[NoteValue]:
    bars = bars_until(end, times)
    first = next(at for at, bar in enumerate(bars) if bar.end > start)
    return [piece.value for piece in pieces_of(start, end, bars, first, 0)]


def test_plain_values() -> None:
    assert cut(Fraction(0), Fraction(3)) == [NoteValue("half", 1)]
    assert cut(Fraction(1, 2), Fraction(3, 2)) == [NoteValue("quarter")]
    assert cut(Fraction(1), Fraction(5, 2)) == [NoteValue("quarter", 1)]


def test_a_bar_line_cuts() -> None:
    assert cut(Fraction(2), Fraction(4), _THREE_FOUR) == [NoteValue("quarter"), NoteValue("quarter")]


def test_five_eighths_need_a_tie() -> None:
    assert cut(Fraction(0), Fraction(5, 2)) == [NoteValue("half"), NoteValue("eighth")]
    assert cut(Fraction(1, 2), Fraction(3)) == [NoteValue("eighth"), NoteValue("half")]


def test_triplets_open_and_close_on_beats() -> None:
    bars = bars_until(Fraction(1), _FOUR_FOUR)
    places = [Fraction(0), Fraction(1, 3), Fraction(2, 3), Fraction(1)]
    pieces = [p for at in range(3) for p in pieces_of(places[at], places[at + 1], bars, 0, at)]
    tuplets = [piece.value.tuplet for piece in with_tuplet_groups(pieces, bars)]
    assert tuplets == [Tuplet(3, 2, starts=True), Tuplet(3, 2), Tuplet(3, 2, ends=True)]
    assert beams_of(pieces, bars) == [Beam.BEGIN, Beam.CONTINUE, Beam.END]


def test_a_new_time_signature_starts_a_bar() -> None:
    times = ((Fraction(0), TimeSignature(4, 4)), (Fraction(6), TimeSignature(3, 8)))
    bars = bars_until(Fraction(7), times)
    assert [(bar.start, bar.length) for bar in bars] == [
        (Fraction(0), Fraction(4)),
        (Fraction(4), Fraction(2)),
        (Fraction(6), Fraction(3, 2)),
    ]


@settings(max_examples=80, deadline=None)
@given(st.integers(0, 60), st.integers(1, 60), st.sampled_from([1, 2, 3, 4, 5, 8, 12, 16]))
def test_pieces_add_up_and_say_their_length(start: int, length: int, denominator: int) -> None:
    low = Fraction(start, denominator)
    high = low + Fraction(length, denominator)
    bars = bars_until(high, _THREE_FOUR)
    first = next(at for at, bar in enumerate(bars) if bar.end > low)
    pieces = pieces_of(low, high, bars, first, 0)
    assert pieces[0].start == low
    assert sum(piece.length for piece in pieces) == high - low
    for piece in pieces:
        assert length_of_value(piece.value) == piece.length
        assert bars[piece.bar].start <= piece.start
        assert piece.start + piece.length <= bars[piece.bar].end
