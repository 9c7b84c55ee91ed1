import pytest
from hypothesis import given
from hypothesis import strategies as st

from slurwright.pitch import cents_of_ratio, hz_of_midi, midi_of_hz, speed_of_sound


def test_an_octave_is_1200_cents_and_a_pure_fifth_702() -> None:
    assert cents_of_ratio(2.0) == pytest.approx(1200.0)
    assert cents_of_ratio(1.5) == pytest.approx(701.955, abs=0.001)


@given(st.floats(0, 127))
def test_frequency_and_back(midi: float) -> None:
    assert midi_of_hz(hz_of_midi(midi)) == pytest.approx(midi, abs=1e-9)


@pytest.mark.parametrize(
    ("temperature_c", "drift_cents"),
    # Derived from c = 331.3 sqrt(1 + T/273.15): 1731 cents times half the relative change per degree.
    [(10, 3.06), (15, 3.00), (20, 2.95), (25, 2.90)],
)
def test_pitch_drift_of_air_per_degree(temperature_c: float, drift_cents: float) -> None:
    drift = cents_of_ratio(speed_of_sound(temperature_c + 0.5) / speed_of_sound(temperature_c - 0.5))
    assert drift == pytest.approx(drift_cents, abs=0.006)
