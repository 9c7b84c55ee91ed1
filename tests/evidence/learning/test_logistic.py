"""Mean chances of uncertain logits are those that summing gives, and offsets undo them."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import quad
from scipy.stats import norm

from slurwright.evidence.learning.logistic import chance, logit, mean_chance, offset_of

SPREADS = st.floats(0.0, 2.5)


@settings(max_examples=50, deadline=None)
@given(st.floats(-8.0, 8.0), st.floats(0.01, 2.5))
def test_mean_chance_is_that_of_summing(mean: float, spread: float) -> None:
    def weight(place: float) -> float:
        return float(norm.pdf(place) / (1.0 + np.exp(-mean - spread * place)))

    wanted = quad(weight, -9.0, 9.0, epsabs=1e-12, limit=200)[0]
    found = mean_chance(np.array([mean]), np.array([spread**2]))[0]
    assert found == pytest.approx(wanted, abs=1e-6, rel=1e-5)


@settings(max_examples=50)
@given(st.floats(1e-6, 1.0 - 1e-6), SPREADS)
def test_an_offset_gives_its_chance_back(risk: float, spread: float) -> None:
    variance = np.array([spread**2])
    offset = offset_of(np.array([risk]), variance)
    assert mean_chance(offset, variance)[0] == pytest.approx(risk, rel=1e-9)


@given(st.floats(1e-9, 1.0 - 1e-9))
def test_a_logit_and_its_chance_belong_together(risk: float) -> None:
    assert chance(logit(np.array([risk])))[0] == pytest.approx(risk, rel=1e-9)


def test_certain_logits_raise_nothing() -> None:
    assert chance(np.array([-1e6, 0.0, 1e6])).tolist() == pytest.approx([0.0, 0.5, 1.0], abs=1e-15)
    assert np.all(np.isfinite(logit(np.array([0.0, 1.0]))))
