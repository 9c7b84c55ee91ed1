"""A wandering level against what is known of it: brute force, and simple cases by hand."""

import numpy as np
import pytest

from slurwright.evidence.progress.level import joint_nodes, mixed, quantiles, wandering


def test_one_value_is_joined_with_what_was_believed() -> None:
    levels = wandering(
        np.array([0]), np.array([10.0]), np.array([[4.0]]), gaps_weeks=np.zeros(0), level_sd=6.0, wander_sd=np.ones(1)
    )
    share = 36.0 / 40.0
    assert levels.mean[0, 0] == pytest.approx(10.0 * share)
    assert levels.cov[0, 0, 0] == pytest.approx(4.0 * share)
    assert levels.evidence[0] == pytest.approx(-0.5 * (np.log(2 * np.pi * 40.0) + 100.0 / 40.0))


def test_it_is_the_normal_posterior_of_all_values_together() -> None:
    rng = np.random.default_rng(7)
    knots = np.array([0, 0, 1, 2, 2, 2, 3])
    gaps = np.array([1.0, 3.0, 2.0])
    values, variances = rng.normal(0.0, 8.0, 7), rng.uniform(2.0, 9.0, (2, 7))
    wander = np.array([0.7, 2.5])
    levels = wandering(knots, values, variances, gaps_weeks=gaps, level_sd=20.0, wander_sd=wander)
    weeks = np.concatenate([[0.0], np.cumsum(gaps)])
    for which in range(2):
        before = 400.0 + wander[which] ** 2 * np.minimum(weeks[:, None], weeks)
        seen = before[np.ix_(knots, knots)] + np.diag(variances[which])
        gain = before[:, knots] @ np.linalg.inv(seen)
        assert levels.mean[which] == pytest.approx(gain @ values)
        assert levels.cov[which] == pytest.approx(before - gain @ before[knots])
        log = -0.5 * (np.linalg.slogdet(2 * np.pi * seen)[1] + values @ np.linalg.solve(seen, values))
        assert levels.evidence[which] == pytest.approx(log)


def test_assumptions_are_joined_with_what_parts_them() -> None:
    variances = np.array([[1.0], [1.0]])
    levels = wandering(
        np.array([0]),
        np.array([5.0]),
        variances,
        gaps_weeks=np.zeros(0),
        level_sd=9.0,
        wander_sd=np.array([1.0, 2.0]),
    )
    levels.mean[1] += 4.0
    joined = mixed(levels, np.array([0.5, 0.5]))
    assert joined.mean[0] == pytest.approx(levels.mean[0, 0] + 2.0)
    assert joined.cov[0, 0] == pytest.approx(levels.cov[0, 0, 0] + 4.0)
    assert joined.sd[0] == pytest.approx(np.sqrt(joined.cov[0, 0]))


def test_points_stand_for_two_figures_that_are_normal_together() -> None:
    mean, cov = np.array([1.0, -2.0]), np.array([[4.0, 3.0], [3.0, 9.0]])
    points, weights = joint_nodes(mean, cov)
    assert weights.sum() == pytest.approx(1.0)
    assert weights @ points == pytest.approx(mean)
    off = points - mean
    assert (weights[:, None] * off).T @ off == pytest.approx(cov)
    apart = quantiles(points[:, 0] - points[:, 1], weights)
    sd = np.sqrt(4.0 + 9.0 - 6.0)
    assert apart.value == pytest.approx(3.0)
    assert (apart.low, apart.high) == pytest.approx((3.0 - 1.645 * sd, 3.0 + 1.645 * sd), abs=0.15)
