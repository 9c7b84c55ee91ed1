"""Smoothness and tuning of arms: closed forms against plain sums, shrinkage, hidden figures."""

from dataclasses import replace

import numpy as np
import pytest

from builders.trials import trial_of, tries_that
from slurwright.evidence.trial.cloud import figure_of
from slurwright.evidence.trial.measured import smoothness_cloud, tuning_cloud
from slurwright.listen.figure import Hidden, Veil

SPOKE = [0.97] * 12


def rng() -> np.random.Generator:
    return np.random.default_rng(3)


def test_nothing_is_said_where_nothing_was_measured() -> None:
    assert smoothness_cloud(trial_of(), tries_that(SPOKE, SPOKE), rng=rng()) is None
    assert tuning_cloud(trial_of(), tries_that(SPOKE, SPOKE), rng=rng()) is None


def test_means_are_drawn_towards_what_was_believed_and_go_over_to_what_was_measured() -> None:
    few = tries_that([0.97], [0.97], quality=([0.2], [0.9]))
    many = tries_that(SPOKE, SPOKE, quality=([0.2] * 12, [0.9] * 12))
    means = []
    for tries in (few, many):
        cloud = smoothness_cloud(trial_of(), tries, rng=rng())
        assert cloud is not None
        means.append(cloud.weights @ cloud.values)
    assert 0.2 < means[1][0] < means[0][0] < 0.7
    assert means[0][1] < means[1][1] <= 0.9
    assert means[1] == pytest.approx([0.2, 0.9], abs=0.07)


def test_the_interval_holds_the_truth_nine_times_in_ten() -> None:
    """Truths from the model's own prior, so its intervals must hold."""
    draw, rules = np.random.default_rng(11), trial_of().rules
    held = []
    for _ in range(120):
        together = draw.normal(rules.smooth_mean, rules.smooth_all)
        truth = together + draw.normal(0.0, rules.smooth_arm, 2)
        blocks = draw.normal(0.0, rules.smooth_block, 12)
        spread = rules.smooth_try * np.exp(draw.normal(0.0, 0.5))
        values = [list(mean + blocks + draw.normal(0.0, spread, 12)) for mean in truth]
        tries = tries_that(SPOKE, SPOKE, quality=values)
        cloud = smoothness_cloud(trial_of(), tries, rng=rng())
        assert cloud is not None
        if (cloud.values.min() > 0.0) and (cloud.values.max() < 1.0):
            gain = figure_of(cloud, cloud.values[:, 1] - cloud.values[:, 0])
            held.append(gain.low <= truth[1] - truth[0] <= gain.high)
    assert len(held) > 30
    assert 0.80 < np.mean(held) < 0.99


def test_a_whole_block_that_is_sharp_says_nothing_of_an_arm() -> None:
    even = tries_that(SPOKE, SPOKE, cents=([5.0] * 12, [-5.0] * 12), quality=([0.8] * 12, [0.8] * 12))
    apart = tries_that(
        SPOKE,
        SPOKE,
        cents=([5.0 + 8 * (-1) ** block for block in range(12)], [-5.0 + 8 * (-1) ** block for block in range(12)]),
        quality=([0.8] * 12, [0.8] * 12),
    )
    for tries in (even, apart):
        cloud = tuning_cloud(trial_of(), tries, rng=rng())
        assert cloud is not None
        assert cloud.weights @ cloud.values == pytest.approx([-5.0, -5.0], abs=1.5)


def test_the_worse_note_counts_and_less_is_better() -> None:
    tries = tries_that(SPOKE, SPOKE, cents=([-20.0] * 12, [4.0] * 12), quality=([0.8] * 12, [0.8] * 12))
    cloud = tuning_cloud(trial_of(), tries, rng=rng())
    assert cloud is not None
    means = cloud.weights @ cloud.values
    assert means[0] == pytest.approx(-19.0, abs=2.0)
    assert means[1] == pytest.approx(-4.5, abs=2.0)


def test_hidden_figures_are_passed_over() -> None:
    tries = tries_that(SPOKE, SPOKE, quality=([0.2] * 12, [0.9] * 12))
    hidden = tuple(replace(one, quality=Hidden(Veil.ROOM)) if one.slot.block >= 6 else one for one in tries)
    seen = tuple(one for one in tries if one.slot.block < 6)
    clouds = [smoothness_cloud(trial_of(), given, rng=rng()) for given in (hidden, seen)]
    assert clouds[0] is not None
    assert clouds[1] is not None
    assert np.array_equal(clouds[0].values, clouds[1].values)
