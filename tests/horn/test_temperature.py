"""Air and pitch: figures derived from the formula for the speed of sound, and what the main slide does about them."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from slurwright.horn.temperature import cents_per_degree, drift_cents, main_slide_for

WARMTH = st.floats(-10.0, 45.0)


@pytest.mark.parametrize(("celsius", "cents"), [(10, 3.06), (15, 3.00), (20, 2.95), (25, 2.90)])
def test_drift_of_one_degree_derived(celsius: float, cents: float) -> None:
    assert cents_per_degree(celsius) == pytest.approx(cents, abs=0.006)


@given(WARMTH, WARMTH, WARMTH)
def test_drifts_add_up(cold: float, mild: float, warm: float) -> None:
    whole = drift_cents(warm, tuned_at_c=cold)
    assert whole == pytest.approx(drift_cents(warm, tuned_at_c=mild) + drift_cents(mild, tuned_at_c=cold), abs=1e-6)


def test_main_slide_takes_the_drift_back_on_the_open_horn() -> None:
    drift = drift_cents(30.0, tuned_at_c=20.0)
    pull = main_slide_for(drift, length_m=2.96)
    # derived: a tube of 2.96 m must become longer by c(30)/c(20), half of that on each leg
    assert pull == pytest.approx(0.5 * 2.96 * ((303.15 / 293.15) ** 0.5 - 1), rel=1e-9)
    assert pull == pytest.approx(0.025, abs=0.001)
    assert main_slide_for(-drift, length_m=2.96) < 0
