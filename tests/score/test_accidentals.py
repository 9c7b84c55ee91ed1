"""Printed accidentals: bar line, octave, key and tie."""

from dataclasses import replace

import pytest

from builders.parts import part_of
from slurwright.score import Accidental, Key, accidentals, key_alteration


def printed(text: str, key: int = 0) -> str:
    part = part_of(text, key=key)
    signs = accidentals(part)
    short = {"sharp": "#", "flat": "b", "natural": "n", "double-sharp": "x", "flat-flat": "bb"}
    return " ".join(short[signs[n.index].name] if n.index in signs else "." for n in part.notes)


@pytest.mark.parametrize(
    ("text", "key", "want"),
    [
        ("F#4 F#4 | F#4", 0, "# . #"),
        ("F#4 F#5 F4", 0, "# # n"),
        ("F#4 F4 F#4", 1, ". n #"),
        ("Bb4 B4 | B4", -1, ". n n"),
        ("Bb4 | Bb4", 0, "b b"),
        ("F##4 F#4", 0, "x #"),
        ("F#4/4~ | F#4 F#4", 0, "# . #"),
        ("F#4~ F#4 F#4", 0, "# . ."),
    ],
)
def test_what_is_printed(text: str, key: int, want: str) -> None:
    assert printed(text, key) == want


def test_a_new_key_counts_from_its_own_measure() -> None:
    part = part_of("F#4 | F#4", bars={1: {"key": Key(1)}})
    assert list(accidentals(part)) == [0]


def test_cautionary_accidentals_of_the_file_are_kept() -> None:
    part = part_of("F#4 | F4")
    notes = (part.notes[0], replace(part.notes[1], shown_accidental="natural"))
    assert accidentals(replace(part, notes=notes))[1] == Accidental("natural", cautionary=True)


def test_key_signatures_against_the_circle_of_fifths() -> None:
    assert [step for step in "FCGDAEB" if key_alteration(step, Key(3)) == 1] == ["F", "C", "G"]
    assert [step for step in "BEADGCF" if key_alteration(step, Key(-4)) == -1] == ["B", "E", "A", "D"]
    assert {key_alteration(step, Key(0)) for step in "CDEFGAB"} == {0}
    assert {key_alteration(step, Key(-7)) for step in "CDEFGAB"} == {-1}
