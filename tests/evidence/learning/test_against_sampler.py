"""What is learnt against the same posterior sampled by emcee: few attempts, one-sided ones, uncertain verdicts."""

import numpy as np
import pytest

pytest.importorskip("emcee")

from builders.sampler import drawn_case, learnt, sampled

WITHIN_LOGITS = 0.06
WITHIN_SHARE = 0.08
LONGEST_TIMES = 20.0

CASES = {
    "two attempts, both broke": {"attempts": 2, "pairs": 1, "sided": 1.0, "sure": 0.98},
    "eight of two pairs, all broke": {"attempts": 8, "pairs": 2, "sided": 1.0, "sure": 0.98},
    "twelve of four pairs, none broke": {"attempts": 12, "pairs": 4, "sided": 0.0, "sure": 0.98},
    "thirty of six pairs, as it comes": {"attempts": 30, "pairs": 6, "sided": -1.0, "sure": 0.98},
    "ten hardly sure of themselves, all broke": {"attempts": 10, "pairs": 2, "sided": 1.0, "sure": 0.7},
    "two pairs in two techniques": {"attempts": 20, "pairs": 2, "techniques": 2, "sided": 0.5, "sure": 0.9},
}


@pytest.mark.oracle
@pytest.mark.parametrize("name", CASES)
def test_means_and_spreads_are_those_of_the_posterior(name: str) -> None:
    case = drawn_case(name, np.random.default_rng(sorted(CASES).index(name)), **CASES[name])  # type: ignore[arg-type]
    truth = sampled(case, seed=1, steps=5000)
    assert truth.lengths > LONGEST_TIMES
    mean, sd = learnt(case)
    np.testing.assert_allclose(mean, truth.mean, atol=WITHIN_LOGITS)
    np.testing.assert_allclose(sd / truth.sd, 1.0, atol=WITHIN_SHARE)
