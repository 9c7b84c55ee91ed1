"""Exercises as notation: what is said of a tempo is what its mark prints."""

import pytest

from slurwright.practice.exercise.score import tempo_mark, tempo_text
from slurwright.score import TimeSignature


@pytest.mark.parametrize(
    ("metre", "said", "unit"),
    [
        (TimeSignature(4, 4), "quarter = 72", "quarter"),
        (TimeSignature(3, 4), "quarter = 72", "quarter"),
        (TimeSignature(6, 8), "dotted quarter = 48", "quarter."),
        (TimeSignature(5, 8), "quarter = 72", "quarter"),
    ],
)
def test_a_tempo_is_said_as_it_is_printed(metre: TimeSignature, said: str, unit: str) -> None:
    assert tempo_text(72.0, metre) == said
    mark = tempo_mark(72.0, metre)
    assert mark.tempo_unit == unit
    assert said.endswith(f" = {mark.tempo_per_minute:g}")
