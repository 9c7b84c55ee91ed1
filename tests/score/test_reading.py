"""The same part for a player of another reading."""

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from builders.parts import part_of
from slurwright.pitch import CONCERT, Clef, Reading, SoundingPitch, Transposition, WrittenPitch
from slurwright.score import Part, accidentals, in_reading, read_as

B_FLAT = Transposition(-1, -2)
READINGS = [
    Reading("bass", "bass clef, concert", Clef.BASS, CONCERT),
    Reading("tenor", "tenor clef, concert", Clef.TENOR, CONCERT),
    Reading("b-flat", "treble clef, a tone", Clef.TREBLE, B_FLAT),
    Reading("b-flat-9", "treble clef, a ninth", Clef.TREBLE, Transposition(-8, -14)),
    Reading("e-flat", "treble clef, a major sixth", Clef.TREBLE, Transposition(-5, -9)),
    Reading("f", "treble clef, a fifth", Clef.TREBLE, Transposition(-4, -7)),
]


def written(part: Part) -> str:
    return " ".join(str(note.written) for note in part.notes)


def test_concert_becomes_a_tone_higher_for_b_flat() -> None:
    part = in_reading(part_of("Bb3 C4 D4 Eb4", key=-2), READINGS[2])
    assert (written(part), part.measures[0].key.fifths, part.measures[0].clef) == ("C4 D4 E4 F4", 0, Clef.TREBLE)
    assert accidentals(part) == {}


def test_a_ninth_for_the_treble_clef_euphonium_reading() -> None:
    assert written(in_reading(part_of("Bb2 F3", key=-2), READINGS[3])) == "C4 G4"


def test_from_one_transposition_to_another() -> None:
    part = part_of("C4 G4 F#4", key=0, transposition=B_FLAT)
    moved = in_reading(part, READINGS[5])
    assert (written(moved), moved.measures[0].key.fifths) == ("F4 C5 B4", -1)
    assert [note.shown_accidental for note in moved.notes] == ["", "", "natural"]


def test_a_key_of_too_many_sharps_gives_way_with_all_its_notes() -> None:
    part = in_reading(part_of("C#4 E#4 B#4", key=7), READINGS[2])
    assert (part.measures[0].key.fifths, written(part)) == (-3, "Eb4 G4 D5")
    assert accidentals(part) == {}


def test_no_new_double_accidentals() -> None:
    moved = in_reading(part_of("A#4 D#4", key=0), READINGS[4])
    assert all(abs(note.written.alter) <= 1 for note in moved.notes)


def test_cautionary_accidentals_stay_cautionary() -> None:
    part = part_of("F#4 | F4")
    part = replace(part, notes=(part.notes[0], replace(part.notes[1], shown_accidental="natural")))
    moved = in_reading(part, READINGS[2])
    assert (written(moved), [note.shown_accidental for note in moved.notes]) == ("G#4 G4", ["sharp", "natural"])


def test_read_as_keeps_what_is_written() -> None:
    part = read_as(part_of("C5 Eb5"), B_FLAT)
    assert written(part) == "C5 Eb5"
    assert [str(note.sounding) for note in part.notes] == ["Bb4", "Db5"]
    assert part.measures[0].transposition == B_FLAT


NOTES = st.lists(
    st.builds(
        lambda s, a, o: f"{s}{a}{o}", st.sampled_from("ABCDEFG"), st.sampled_from(["", "b", "#"]), st.integers(2, 5)
    ),
    min_size=1,
    max_size=8,
)


@given(NOTES, st.integers(-7, 7), st.sampled_from(READINGS), st.sampled_from(READINGS))
@settings(max_examples=80, deadline=None)
def test_sound_is_kept_and_the_way_back_leads_home(
    names: list[str], key: int, first: Reading, second: Reading
) -> None:
    part = part_of(" ".join(names), key=key, transposition=first.transposition, clef=first.clef)
    moved = in_reading(part, second)
    for before, after in zip(part.notes, moved.notes, strict=True):
        assert after.sounding == before.sounding
        assert second.transposition.to_sounding(after.written).midi == before.sounding.midi
    assert -7 <= moved.measures[0].key.fifths <= 7
    home = in_reading(moved, first)
    assert [n.written.staff_key for n in home.notes] == [n.written.staff_key for n in part.notes]
    assert (home.measures[0].key.fifths - key) % 12 == 0


@given(NOTES, st.integers(-7, 7), st.sampled_from(READINGS))
@settings(max_examples=40, deadline=None)
def test_printed_accidentals_say_exactly_what_is_written(names: list[str], key: int, reading: Reading) -> None:
    """Read the page back: key, then accidentals until the bar line."""
    moved = in_reading(part_of(" ".join(names), key=key), reading)
    shown = {n.index: n.shown_accidental for n in moved.notes if n.shown_accidental}
    alters = {"sharp": 1, "flat": -1, "natural": 0, "double-sharp": 2, "flat-flat": -2}
    sharps, flats = "FCGDAEB", "BEADGCF"
    fifths = moved.measures[0].key.fifths
    holding: dict[tuple[str, int], int] = {}
    for note in moved.notes:
        spot = (note.written.step, note.written.octave)
        plain = 1 if spot[0] in sharps[: max(fifths, 0)] else -1 if spot[0] in flats[: max(-fifths, 0)] else 0
        if note.index in shown:
            holding[spot] = alters[shown[note.index]]
        assert holding.get(spot, plain) == note.written.alter


def test_the_sound_of_a_spelled_pitch() -> None:
    assert B_FLAT.to_sounding(WrittenPitch.named("C5")) == SoundingPitch.named("Bb4")


@pytest.mark.parametrize("reading", READINGS, ids=lambda reading: reading.id)
def test_its_own_reading_changes_nothing_but_the_clef(reading: Reading) -> None:
    part = part_of("C4 F#4 Bb4 | E4", key=-3, transposition=reading.transposition, clef=reading.clef)
    assert written(in_reading(part, reading)) == written(part)
