from hypothesis import given
from hypothesis import strategies as st

from slurwright.pitch import STEPS, Transposition, WrittenPitch

# Intervals of a few transposing instruments: staff steps and semitones, sounding minus written (common practice).
INTERVALS = [(0, 0), (-1, -2), (-4, -7), (2, 3), (-5, -9), (-8, -14), (-12, -21), (-15, -26), (6, 10)]
intervals = st.sampled_from(INTERVALS)
plain = st.tuples(st.sampled_from(STEPS), st.integers(-1, 1), st.integers(1, 6))


@given(intervals, plain)
def test_there_and_back_is_the_same_key(interval: tuple[int, int], parts: tuple[str, int, int]) -> None:
    transposition = Transposition(*interval)
    written = WrittenPitch(*parts)
    sounding = transposition.to_sounding(written)
    assert sounding.midi == written.staff_key + interval[1]
    assert transposition.to_written(sounding).staff_key == written.staff_key


def test_a_b_flat_trumpet_reads_a_tone_higher() -> None:
    assert str(Transposition(-1, -2).to_sounding(WrittenPitch.named("C5"))) == "Bb4"
    assert str(Transposition(-1, -2).to_sounding(WrittenPitch.named("F#4"))) == "E4"


def test_a_triple_alteration_moves_to_the_next_letter() -> None:
    sounding = Transposition(-1, -2).to_sounding(WrittenPitch("F", -2, 4))
    assert sounding.midi == WrittenPitch("F", -2, 4).staff_key - 2
    assert abs(sounding.alter) <= 2
