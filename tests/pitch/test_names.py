import pytest
from hypothesis import given
from hypothesis import strategies as st

from slurwright.errors import PitchError
from slurwright.pitch import STEPS, SoundingPitch, WrittenPitch

spelled = st.tuples(st.sampled_from(STEPS), st.integers(-2, 2), st.integers(-1, 9))


@pytest.mark.parametrize(
    ("name", "midi"),
    # Scientific pitch notation (R. W. Young, JASA 11 (1939) 134) with MIDI's own numbering, A4 = 69.
    [("C4", 60), ("A4", 69), ("Bb3", 58), ("F#4", 66), ("B#3", 60), ("Cb4", 59), ("Ebb2", 38), ("C-1", 0)],
)
def test_midi_number_of_a_name(name: str, midi: int) -> None:
    assert SoundingPitch.named(name).midi == midi


@pytest.mark.parametrize(
    "name", ["H3", "", "B", "3", "Bb", "F##b3", "Fbbb3", "F♯", "c4 d4", "C100", "C" + 5000 * "9", "C٣"]
)
def test_what_is_no_pitch_is_refused_with_what_came(name: str) -> None:
    with pytest.raises(PitchError, match="not a pitch name; got"):
        SoundingPitch.named(name)


@given(spelled)
def test_a_name_read_again_is_the_same_pitch(parts: tuple[str, int, int]) -> None:
    pitch = WrittenPitch(*parts)
    assert WrittenPitch.named(str(pitch)) == pitch


@given(st.integers(0, 127))
def test_spelling_a_key_number_keeps_it(midi: int) -> None:
    assert SoundingPitch.from_midi(midi).midi == midi


def test_music_signs_are_read_as_ascii() -> None:
    assert str(SoundingPitch.named("B♭3")) == "Bb3"
    assert str(SoundingPitch.named("F♯4")) == "F#4"


def test_written_and_sounding_are_never_equal() -> None:
    written: object = WrittenPitch.named("C4")
    assert written != SoundingPitch.named("C4")
