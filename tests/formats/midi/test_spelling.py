"""Key numbers are spelled as a player of that key expects."""

import pytest

from slurwright.formats.midi.spelling import key_named, likely_key, shown_accidentals, spell, spell_line
from slurwright.pitch import WrittenPitch
from slurwright.score import Key


@pytest.mark.parametrize(
    ("midi", "fifths", "mode", "name"),
    [
        (61, 2, "major", "C#4"),
        (61, -3, "major", "Db4"),
        (66, 0, "major", "F#4"),
        (68, 0, "minor", "G#4"),
        (68, 0, "major", "Ab4"),
        (71, -6, "major", "Cb5"),
        (60, 7, "major", "B#3"),
        (70, -2, "major", "Bb4"),
    ],
)
def test_spelling(midi: int, fifths: int, mode: str, name: str) -> None:
    assert str(spell(midi, Key(fifths, mode))) == name


def test_every_key_number_keeps_its_sound() -> None:
    for fifths in range(-7, 8):
        for mode in ("major", "minor"):
            for midi in range(20, 108):
                assert spell(midi, Key(fifths, mode)).midi == midi


@pytest.mark.parametrize(
    ("name", "key"),
    [("C", Key(0)), ("Bb", Key(-2)), ("F#m", Key(3, "minor")), ("Ebm", Key(-6, "minor")), ("Cb", Key(-7))],
)
def test_key_names(name: str, key: Key) -> None:
    assert key_named(name) == key


def test_the_likely_key_needs_the_fewest_accidentals() -> None:
    assert likely_key([58, 60, 62, 63, 65, 67, 69]) == Key(-2)
    assert likely_key([60]) == Key(0)


def test_accidentals_are_shown_once_a_bar() -> None:
    b_natural, b_flat = WrittenPitch.named("B3"), WrittenPitch.named("Bb3")
    notes = [
        (0, b_natural, False),
        (0, b_natural, False),
        (0, b_flat, False),
        (1, b_natural, True),
        (1, b_flat, False),
    ]
    assert shown_accidentals(notes, [Key(-2), Key(-2)]) == ["natural", "", "flat", "", ""]


@pytest.mark.parametrize(
    ("midis", "fifths", "names"),
    [
        ([60, 61, 62], -2, "C4 C#4 D4"),
        ([62, 61, 60], -2, "D4 Db4 C4"),
        ([67, 66, 67], 0, "G4 F#4 G4"),
        ([60, 61, 60], 0, "C4 Db4 C4"),
        ([58, 59, 60], -5, "Bb3 B3 C4"),
        ([61, 65], 0, "C#4 F4"),
        ([71, 72, 70], -1, "B4 C5 Bb4"),
    ],
)
def test_a_chromatic_step_is_spelled_as_it_leads(midis: list[int], fifths: int, names: str) -> None:
    spelled = spell_line(midis, [Key(fifths)] * len(midis))
    assert [str(pitch) for pitch in spelled] == names.split()
    assert [pitch.midi for pitch in spelled] == midis
