"""What is believed of the arms' chances: against sums by brute force, and laws."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from builders.trials import trial_of, tries_that
from slurwright.evidence.trial.cloud import Cloud, chance_above, chances_best
from slurwright.evidence.trial.speaking import speaking_cloud, speaking_points
from slurwright.evidence.trial.values import TrialRules

RULES = trial_of().rules
Held = tuple[tuple[int, float], ...]


def means_of(cloud: Cloud) -> np.ndarray:
    return np.asarray(cloud.weights @ cloud.values)


def drawn_out(chances: list[float], blocks: dict[Held, int], rules: TrialRules) -> tuple[np.ndarray, np.ndarray]:
    """The same by drawing a great many truths from the prior and weighing them: means, and chances to be the best."""
    rng = np.random.default_rng(4)
    count = 150_000
    logits = np.log(np.array(chances) / (1 - np.array(chances)))
    first = rng.normal(logits[0], rules.stands_logit, count)
    values = [first]
    for mean in logits[1:]:
        kind = rng.choice(3, size=count, p=[rules.hardly, 1 - rules.hardly - rules.otherwise, rules.otherwise])
        centre = np.array([0.0, mean - logits[0], 0.0])[kind]
        spread = np.array([rules.hardly_logit, rules.gap_logit, rules.otherwise_logit])[kind]
        values.append(first + rng.normal(centre, spread))
    truth = np.stack(values, axis=1)
    nodes, shares = np.polynomial.hermite_e.hermegauss(15)
    shares = shares / shares.sum()
    speaks = 1 / (1 + np.exp(-(truth[:, :, None] + rules.block_logit * nodes)))
    logs = np.zeros(count)
    for held, times in blocks.items():
        each = np.ones((count, len(nodes)))
        for arm, spoke in held:
            each *= spoke * speaks[:, arm] + (1 - spoke) * (1 - speaks[:, arm])
        logs += times * np.log(each @ shares)
    weights = np.exp(logs - logs.max())
    weights /= weights.sum()
    return weights @ (speaks @ shares), np.bincount(truth.argmax(axis=1), weights, minlength=len(chances))


@pytest.mark.parametrize(
    ("chances", "blocks"),
    [
        ([0.8, 0.95], {}),
        ([0.8, 0.95], {((0, 0.03), (1, 0.95)): 4, ((0, 0.95), (1, 0.95)): 3}),
        ([0.7, 0.9, 0.85], {((0, 0.95), (1, 0.03), (2, 0.95)): 3, ((0, 0.25), (1, 0.95), (2, 0.95)): 2}),
        ([0.8, 0.9, 0.9, 0.7], {((0, 0.95), (1, 0.95), (2, 0.03), (3, 0.95)): 3, ((1, 0.95),): 1}),
    ],
)
def test_as_summed_by_brute_force(chances: list[float], blocks: dict[Held, int]) -> None:
    cloud = speaking_points(chances, blocks, rules=RULES)
    means, best = drawn_out(chances, blocks, RULES)
    assert means_of(cloud) == pytest.approx(means, abs=0.01)
    # With four arms the grid is coarse beside arms that hardly differ: they tie on it.
    assert chances_best(cloud) == pytest.approx(best, abs=0.035 if len(chances) == 4 else 0.02)
    assert cloud.weights.sum() == pytest.approx(1.0)


def test_a_try_that_tells_nothing_teaches_nothing() -> None:
    before = means_of(speaking_cloud(trial_of(), ()))
    after = means_of(speaking_cloud(trial_of(), tries_that([0.5] * 5, [0.5] * 5)))
    assert after == pytest.approx(before, abs=1e-3)


@given(spoken=st.integers(0, 8), missed=st.integers(0, 8))
@settings(max_examples=30, deadline=None)
def test_one_more_that_spoke_never_lowers_its_chance(spoken: int, missed: int) -> None:
    fewer = [0.97] * spoken + [0.03] * (missed + 1)
    more = [0.97] * (spoken + 1) + [0.03] * missed
    other = [0.97] * (spoken + missed + 1)
    low, high = (means_of(speaking_cloud(trial_of(), tries_that(went, other))) for went in (fewer, more))
    assert high[0] > low[0]


def test_the_order_of_tries_makes_no_difference() -> None:
    tries = tries_that([0.9, 0.1, 0.9, 0.9], [0.1, 0.9, 0.9, 0.1])
    one, two = (means_of(speaking_cloud(trial_of(), given)) for given in (tries, tries[::-1]))
    assert one == pytest.approx(two)


def test_bad_days_fall_on_both_arms() -> None:
    """Where whole blocks fail, the arms stay even, and they are told apart the better."""
    even, odd = [0.97, 0.03] * 6, [0.03, 0.97] * 6
    flat = trial_of()
    flat = replace(flat, arms=tuple(replace(arm, chance=0.8) for arm in flat.arms))
    first, second = means_of(speaking_cloud(flat, tries_that(even, even)))
    assert first == pytest.approx(second, abs=0.05)
    spreads = []
    for other in (even, odd):
        cloud = speaking_cloud(trial_of(block_logit=1.5, hardly=0.01), tries_that(even, other))
        gain = cloud.values[:, 1] - cloud.values[:, 0]
        spreads.append(np.sqrt(cloud.weights @ (gain - cloud.weights @ gain) ** 2))
    assert spreads[0] < spreads[1]


def test_many_tries_outweigh_what_was_believed() -> None:
    """The plan believes in 4; a player for whom it fails two times in three hears so."""
    good, bad = [0.95] * 8 + [0.03], [0.95, 0.03, 0.03] * 3
    cloud = speaking_cloud(trial_of(), tries_that(good * 3, bad * 3))
    assert means_of(cloud)[0] > 0.8
    assert means_of(cloud)[1] < 0.5
    assert chance_above(cloud, cloud.values[:, 0] - cloud.values[:, 1], 0.0) > 0.98
