"""Slopes and curvatures are those of the likelihood; small posteriors are those that summing gives."""

from dataclasses import replace
from itertools import product

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.stats import norm

from slurwright.evidence.learning import laplace
from slurwright.evidence.learning.design import Design
from slurwright.evidence.learning.laplace import Prior, Spot, fit, refined, row_variances, untouched
from slurwright.plan.transition import Floats

WAY = (60, "0", 4)


def random_design(
    seed: int, *, pairs: int = 4, rows: int = 14, certain: bool = False
) -> tuple[Design, Floats, Prior]:
    """Rows of a few pairs with columns of every kind; verdicts as they come."""
    rng = np.random.default_rng(seed)
    pair = np.sort(np.concatenate([np.arange(pairs), rng.integers(0, pairs, rows - pairs)]))
    own = rng.normal(size=(rows, 3)) * (rng.random((rows, 3)) < 0.7)
    row = np.sort(np.concatenate([np.arange(rows), rng.integers(0, rows, 6)]))
    spoke = rng.random(len(row))
    design = Design(
        partials=(7, 9),
        pairs=tuple((f"horn {number}", WAY, WAY) for number in range(pairs)),
        partials_of_pair=np.arange(pairs) % 2,
        prior=np.full(rows, 0.1),
        common=rng.normal(size=(rows, 4)),
        own=own,
        pair=pair,
        starts=np.searchsorted(pair, np.arange(pairs)),
        age_weeks=np.zeros(rows),
        technique=np.zeros(rows, np.int64),
        row=row,
        spoke=np.where(spoke < 0.5, 0.02, 0.98) if certain else np.clip(spoke, 0.02, 0.98),
        times=rng.integers(1, 4, len(row)).astype(np.float64),
    )
    root = rng.normal(size=(4, 4))
    prior = Prior(0.2 * root @ root.T + 0.3 * np.eye(4), 0.2, np.diag([0.4, 0.2, 0.3]) + 0.1)
    return design, rng.normal(-1.0, 1.0, rows), prior


def flat(spot: Spot) -> Floats:
    return np.concatenate([spot.shared, spot.own.ravel()])


def spot_of(values: Floats, design: Design) -> Spot:
    size = design.common.shape[1] + len(design.partials)
    return Spot(values[:size], values[size:].reshape(len(design.pairs), -1))


@settings(max_examples=10, deadline=None)
@given(st.integers(0, 999))
def test_slopes_and_curvature_are_those_of_the_objective(seed: int) -> None:
    design, offset, prior = random_design(seed)
    ground = laplace._Ground(design, prior)
    size = design.common.shape[1] + 2 + 3 * len(design.pairs)
    at = 0.5 * np.random.default_rng(seed).normal(size=size)

    def objective(values: Floats) -> float:
        return laplace._objective(design, offset, ground, spot_of(values, design))

    def gradient(values: Floats) -> Floats:
        spot = spot_of(values, design)
        first, _ = laplace._slopes(design, laplace._logits(design, offset, spot), None)
        return flat(laplace._gradient(design, first, ground, spot))

    steps = 1e-5 * np.eye(size)
    found = gradient(at)
    np.testing.assert_allclose(
        found, [(objective(at + step) - objective(at - step)) / 2e-5 for step in steps], rtol=1e-5, atol=1e-6
    )
    bent = -np.array([(gradient(at + step) - gradient(at - step)) / 2e-5 for step in steps])
    _, second = laplace._slopes(design, laplace._logits(design, offset, spot_of(at, design)), None)
    if np.linalg.eigvalsh(bent).min() > 0.05:
        arrow = laplace._arrow(design, -second, ground)
        np.testing.assert_allclose(
            flat(arrow.solve(spot_of(found, design))), np.linalg.solve(bent, found), rtol=1e-4, atol=1e-5
        )
        assert arrow.log_det == pytest.approx(np.linalg.slogdet(bent)[1], abs=1e-4)


@settings(max_examples=10, deadline=None)
@given(st.integers(0, 999))
def test_covariances_are_the_inverse_of_the_curvature(seed: int) -> None:
    design, offset, prior = random_design(seed, certain=True)
    found = fit(design, offset, prior)
    ground = laplace._Ground(design, prior)
    first, second = laplace._slopes(design, laplace._logits(design, offset, found.mean), None)
    assert np.abs(flat(laplace._gradient(design, first, ground, found.mean))).max() < 1e-3
    whole = np.zeros((len(design.prior), 6 + 3 * len(design.pairs)))
    whole[:, :4] = design.common
    for number, pair in enumerate(design.pair.tolist()):
        whole[number, 4 + design.partials_of_pair[pair]] = 1.0
        whole[number, 6 + 3 * pair : 9 + 3 * pair] = design.own[number]
    precision = np.zeros((whole.shape[1],) * 2)
    precision[:4, :4] = np.linalg.inv(prior.common)
    precision[4:6, 4:6] = np.eye(2) / prior.partials
    for pair in range(len(design.pairs)):
        here = slice(6 + 3 * pair, 9 + 3 * pair)
        precision[here, here] = np.linalg.inv(prior.own)
    covariance = np.linalg.inv(precision - whole.T @ (second[:, None] * whole))
    np.testing.assert_allclose(found.shared, covariance[:6, :6], atol=1e-8)
    for pair in range(len(design.pairs)):
        here = slice(6 + 3 * pair, 9 + 3 * pair)
        np.testing.assert_allclose(found.cross[pair], covariance[:6, here], atol=1e-8)
        np.testing.assert_allclose(found.own[pair], covariance[here, here], atol=1e-8)
    np.testing.assert_allclose(
        row_variances(design, found), np.einsum("na,ab,nb->n", whole, covariance, whole), atol=1e-8
    )


def two_effects(broke: int, spoke: int, sure: float, *, tilt: float) -> tuple[Design, Floats, Prior]:
    """One common effect and one of the only pair of ways; half of the attempts have more of the first."""
    count = broke + spoke
    said = np.array([1.0 - sure] * broke + [sure] * spoke)
    design = Design(
        partials=(7,),
        pairs=(("mine", WAY, WAY),),
        partials_of_pair=np.zeros(1, np.int64),
        prior=np.full(count, 0.1),
        common=np.array([[1.0 + tilt * (number % 2)] for number in range(count)]),
        own=np.ones((count, 1)),
        pair=np.zeros(count, np.int64),
        starts=np.zeros(1, np.int64),
        age_weeks=np.zeros(count),
        technique=np.zeros(count, np.int64),
        row=np.arange(count),
        spoke=said,
        times=np.ones(count),
    )
    return design, np.full(count, -2.5), Prior(np.array([[0.7]]), 1e-9, np.array([[0.5]]))


CASES = [
    (broke, spoke, sure, tilt)
    for (broke, spoke), sure, tilt in product([(1, 0), (4, 0), (0, 6), (12, 0), (3, 9)], [0.98, 0.75], [0.0, 1.0])
]


@pytest.mark.parametrize(("broke", "spoke", "sure", "tilt"), CASES)
def test_a_small_posterior_is_that_which_summing_gives(broke: int, spoke: int, sure: float, tilt: float) -> None:
    design, offset, prior = two_effects(broke, spoke, sure, tilt=tilt)
    one, two = (np.linspace(-6.0, 6.0, 401) * np.sqrt(size) for size in (0.7, 0.5))
    logits = offset[0] + one[:, None, None] * design.common[:, 0] + two[None, :, None]
    breaks = 1.0 / (1.0 + np.exp(-logits))
    weights = np.prod(design.spoke * (1.0 - breaks) + (1.0 - design.spoke) * breaks, axis=2)
    weights *= norm.pdf(one / np.sqrt(0.7))[:, None] * norm.pdf(two / np.sqrt(0.5))[None]
    evidence = np.log(weights.sum() * (one[1] - one[0]) * (two[1] - two[0]) / np.sqrt(0.7 * 0.5))
    weights /= weights.sum()
    means = (weights.sum(axis=1) @ one, weights.sum(axis=0) @ two)
    sds = np.sqrt([weights.sum(axis=1) @ (one - means[0]) ** 2, weights.sum(axis=0) @ (two - means[1]) ** 2])
    rough = fit(design, offset, prior)
    found = refined(design, offset, prior, rough)
    assert (found.mean.shared[0], found.mean.own[0, 0]) == pytest.approx(means, abs=0.06)
    assert np.sqrt([found.shared[0, 0], found.own[0, 0, 0]]) == pytest.approx(sds, rel=0.1)
    assert rough.evidence == pytest.approx(evidence, abs=0.25)


def test_before_any_verdict_the_prior_stands() -> None:
    design, offset, prior = random_design(3)
    even = replace(design, spoke=np.full(len(design.row), 0.5))
    found, before = refined(even, offset, prior, fit(even, offset, prior)), untouched(prior, partials=2)
    np.testing.assert_allclose(found.shared, before.shared, atol=1e-9)
    np.testing.assert_allclose(flat(found.mean), 0.0, atol=1e-9)
    np.testing.assert_allclose(found.own[0], prior.own, atol=1e-9)
