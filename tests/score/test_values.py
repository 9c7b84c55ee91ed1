"""Shapes of lengths."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from slurwright.score import NoteValue, Tuplet, length_of_value, value_of_length, values_of_gap


@pytest.mark.parametrize(
    ("length", "value"),
    [
        (Fraction(1), NoteValue("quarter")),
        (Fraction(3), NoteValue("half", 1)),
        (Fraction(7, 4), NoteValue("quarter", 2)),
        (Fraction(1, 3), NoteValue("eighth", 0, Tuplet(3, 2))),
        (Fraction(1, 5), NoteValue("16th", 0, Tuplet(5, 4))),
    ],
)
def test_common_shapes(length: Fraction, value: NoteValue) -> None:
    assert value_of_length(length) == value
    assert length_of_value(value) == length


def test_a_length_that_no_single_note_has() -> None:
    assert value_of_length(Fraction(5)) is None


@given(st.fractions(min_value=Fraction(1, 48), max_value=8, max_denominator=48))
def test_a_gap_is_filled_exactly(length: Fraction) -> None:
    pieces = values_of_gap(length)
    assert sum(piece for piece, _ in pieces) == length
    assert all(value is None or length_of_value(value) == piece for piece, value in pieces)
