"""What readings say about the unknowns, when some of the readings may be of something else.

Each reading is either true, with a normal error, or a slip (a wrong partial, a cracked note) that may lie anywhere in
a wide window. Which it is, is judged against what all the other readings foretell of it (its cavity), by expectation
propagation, all readings in parallel (published: T. Minka, "Expectation propagation for approximate Bayesian
inference", UAI 2001; from memory). The residue of each way is integrated out, so that the cost grows with the number
of ways times the square of the number of lengths: all that is peculiar to one reading is its session and loudness.

How large the parts are on this horn (residual length, valve errors, residues, the player's scatter) is learnt in the
same rounds: each variance moves to the fixed point of the evidence, counted in well-determined figures (published:
D. MacKay, "Bayesian interpolation", Neural Computation 4 (1992) 415; from memory), with the prior weighing as
`trust` further figures.
"""

import math
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from slurwright.horn.learnt.frame import Block, Floats
from slurwright.horn.learnt.values import Priors

__all__ = ["Data", "Posterior", "Sites", "Sizes", "posterior_of", "without_readings"]

_ROUNDS = 60
_DAMPING = 0.7
_SETTLED_CENTS = 0.02
_LEAST_PRECISION = 1e-9


@dataclass(frozen=True, slots=True, eq=False)
class Data:
    """Readings in the form that the arithmetic wants; n readings of w ways, p unknowns."""

    rows: Floats
    """How each way hangs on the unknowns that all its readings share, shape=(w, p)."""
    columns: NDArray[np.intp]
    """Which few unknowns each reading hangs on besides (its session, its loudness), shape=(n, k)."""
    values: Floats
    """How it hangs on them, shape=(n, k)."""
    deviation: Floats
    """Reading minus the nominal pitch of its way, shape=(n,) [cents]."""
    added_variance: Floats
    """What the measurement adds to the player's scatter, shape=(n,) [cents squared]."""
    way: NDArray[np.intp]
    """Which way each reading is of, shape=(n,)."""
    own_sd: Floats
    """Prior of each way's own residue, shape=(w,) [cents]."""
    blocks: tuple[Block, ...]
    """Prior of the unknowns, all of them in order."""


@dataclass(frozen=True, slots=True, eq=False)
class Sites:
    """What each reading contributes: a normal factor on the pitch of its way."""

    precision: Floats
    """Shape=(n,) [1 / cents squared]."""
    shift: Floats
    """Precision times place, shape=(n,) [1 / cents]."""


@dataclass(frozen=True, slots=True, eq=False)
class Sizes:
    """How large the parts are on this horn, against their priors."""

    blocks: Floats
    """Variance of each block over its prior, shape=(blocks,) [1]."""
    own: float
    """Variance of the ways' residues over its prior [1]."""
    scatter: float
    """Variance of the player's scatter [cents squared]."""


@dataclass(frozen=True, slots=True, eq=False)
class Posterior:
    """What is known of the unknowns, and of each way's own residue given the unknowns."""

    mean: Floats
    """Shape=(p,)."""
    covariance: Floats
    """Shape=(p, p)."""
    own_mean: Floats
    """Residue of each way where all unknowns are zero, shape=(w,) [cents]."""
    own_slope: Floats
    """How it falls with each unknown, shape=(w, p)."""
    own_variance: Floats
    """Its variance when the unknowns are known, shape=(w,) [cents squared]."""
    sizes: Sizes
    sites: Sites
    good: Floats
    """Chance that each reading is true, shape=(n,) [1]."""
    foretold: Floats
    """What the other readings say that each should be, shape=(n,) [cents from nominal]."""
    foretold_variance: Floats
    """Variance of that, shape=(n,) [cents squared]."""


@dataclass(frozen=True, slots=True, eq=False)
class _State:
    """One solution for fixed sites and sizes, with the pitch of each reading's way."""

    mean: Floats
    covariance: Floats
    own_mean: Floats
    own_slope: Floats
    own_variance: Floats
    fitted: Floats
    variance: Floats


def _by_way(values: Floats, way: NDArray[np.intp], count: int) -> Floats:
    """Sum values way by way."""
    return np.bincount(way, weights=values, minlength=count).astype(np.float64)


def _prior_precision(data: Data, sizes: Sizes) -> Floats:
    size = data.rows.shape[1]
    precision = np.zeros((size, size))
    for block, ratio in zip(data.blocks, sizes.blocks, strict=True):
        precision[block.part, block.part] = block.precision / (ratio * block.sd**2)
    return precision


def _own_columns(data: Data, weights: Floats) -> Floats:
    """Sum, way by way, of the weighted parts that hang on each reading, shape=(w, p)."""
    count, size = data.rows.shape
    places = data.way[:, None] * size + data.columns
    total = np.bincount(places.ravel(), weights=(weights[:, None] * data.values).ravel(), minlength=count * size)
    return total.reshape(count, size).astype(np.float64)


def _own_squares(data: Data, weights: Floats) -> Floats:
    """Weighted sum of the squares of the same parts, shape=(p, p)."""
    size = data.rows.shape[1]
    places = data.columns[:, :, None] * size + data.columns[:, None, :]
    squares = weights[:, None, None] * data.values[:, :, None] * data.values[:, None, :]
    total = np.bincount(places.ravel(), weights=squares.ravel(), minlength=size * size)
    return total.reshape(size, size).astype(np.float64)


def _solve(data: Data, sites: Sites, sizes: Sizes) -> _State:
    """Solve the normal equations with the ways' residues integrated out."""
    count = len(data.own_sd)
    weight = _by_way(sites.precision, data.way, count)
    place = _by_way(sites.shift, data.way, count)
    own_precision = 1.0 / (sizes.own * data.own_sd**2) + weight
    special = _own_columns(data, sites.precision)
    pulled = weight[:, None] * data.rows + special
    slope = pulled / own_precision[:, None]
    own = place / own_precision
    told = data.rows.T @ pulled + special.T @ data.rows + _own_squares(data, sites.precision)
    precision = _prior_precision(data, sizes) + told - slope.T @ pulled
    covariance = np.linalg.inv((precision + precision.T) / 2)
    towards = data.rows.T @ place + _own_columns(data, sites.shift).sum(axis=0) - slope.T @ place
    mean = covariance @ towards
    lean = data.rows - slope
    turned = lean @ covariance
    fitted = (lean @ mean + own)[data.way] + np.sum(data.values * mean[data.columns], axis=1)
    shared = (np.einsum("ij,ij->i", turned, lean) + 1.0 / own_precision)[data.way]
    crossed = 2.0 * np.sum(data.values * turned[data.way[:, None], data.columns], axis=1)
    squared = np.einsum(
        "ij,ijk,ik->i", data.values, covariance[data.columns[:, :, None], data.columns[:, None, :]], data.values
    )
    return _State(mean, covariance, own, slope, 1.0 / own_precision, fitted, shared + crossed + squared)


def _match(data: Data, sites: Sites, state: _State, noise: Floats, priors: Priors) -> tuple[Sites, Floats]:
    """Fit each site to what its reading truly says, seen from the other readings."""
    left = np.maximum(1.0 / state.variance - sites.precision, _LEAST_PRECISION)
    cavity_variance = 1.0 / left
    cavity = cavity_variance * (state.fitted / state.variance - sites.shift)
    spread = cavity_variance + noise
    away = data.deviation - cavity
    true = (1.0 - priors.slip_chance) * np.exp(-0.5 * away**2 / spread) / np.sqrt(2 * math.pi * spread)
    good = true / (true + priors.slip_chance / priors.slip_range_cents)
    matched = cavity + cavity_variance / spread * good * away
    shrink = good / spread - good * (1 - good) * away**2 / spread**2
    matched_variance = np.maximum(cavity_variance - cavity_variance**2 * shrink, 1e-9)
    precision = np.maximum(1.0 / matched_variance - left, _LEAST_PRECISION)
    shift = matched * (precision + left) - cavity * left
    return Sites(precision, shift), good


def _learn_sizes(data: Data, state: _State, sizes: Sizes, good: Floats, priors: Priors) -> Sizes:
    """Move each variance to the fixed point of the evidence, the prior weighing as `trust` figures."""
    trust = priors.trust
    ratios = sizes.blocks.copy()
    for place, block in enumerate(data.blocks):
        if block.fixed:
            continue
        mean = state.mean[block.part]
        unit = block.precision / block.sd**2
        known = len(mean) - float(np.sum(unit * state.covariance[block.part, block.part])) / ratios[place]
        ratios[place] = (trust + float(mean @ unit @ mean)) / (trust + max(known, 0.0))
    residue = state.own_mean - state.own_slope @ state.mean
    left = state.own_variance + np.einsum(
        "ij,ij->i", state.own_slope @ state.covariance, state.own_slope, optimize=True
    )
    unit_variance = data.own_sd**2
    known = float(np.sum(1.0 - left / (sizes.own * unit_variance)))
    own = (trust + float(np.sum(residue**2 / unit_variance))) / (trust + max(known, 0.0))
    free = float(np.sum(good * np.maximum(1.0 - state.variance / (sizes.scatter + data.added_variance), 0.0)))
    error = float(np.sum(good * np.maximum((data.deviation - state.fitted) ** 2 - data.added_variance, 0.0)))
    scatter = (trust * priors.reading_sd_cents**2 + error) / (trust + free)
    return Sizes(ratios, own, scatter)


def posterior_of(data: Data, priors: Priors, *, start: tuple[Sites, Sizes] | None = None) -> Posterior:
    """Say what the readings teach, slips set aside.

    Args:
        data: the readings.
        priors: chance and width of slips, trust in the sizes of the parts.
        start: sites and sizes of an earlier answer for the same readings in the same order, to save rounds.

    """
    readings = len(data.deviation)
    sites, sizes = start or (
        Sites(np.full(readings, _LEAST_PRECISION), np.zeros(readings)),
        Sizes(np.ones(len(data.blocks)), 1.0, priors.reading_sd_cents**2),
    )
    good: Floats = np.ones(readings)
    state = _solve(data, sites, sizes)
    for _ in range(_ROUNDS if readings else 0):
        target, good = _match(data, sites, state, sizes.scatter + data.added_variance, priors)
        sites = Sites(
            (1 - _DAMPING) * sites.precision + _DAMPING * target.precision,
            (1 - _DAMPING) * sites.shift + _DAMPING * target.shift,
        )
        last = state.fitted
        state = _solve(data, sites, sizes)
        if np.max(np.abs(state.fitted - last)) < _SETTLED_CENTS:
            break
        sizes = _learn_sizes(data, state, sizes, good, priors)
    left = np.maximum(1.0 / state.variance - sites.precision, _LEAST_PRECISION)
    return Posterior(
        mean=state.mean,
        covariance=state.covariance,
        own_mean=state.own_mean,
        own_slope=state.own_slope,
        own_variance=state.own_variance,
        sizes=sizes,
        sites=sites,
        good=good,
        foretold=(state.fitted / state.variance - sites.shift) / left,
        foretold_variance=1.0 / left,
    )


def without_readings(data: Data, posterior: Posterior) -> Posterior:
    """Say what would be known without any reading, the sizes of the parts kept."""
    none = Sites(np.zeros(len(data.way)), np.zeros(len(data.way)))
    state = _solve(data, none, posterior.sizes)
    return replace(
        posterior,
        mean=state.mean,
        covariance=state.covariance,
        own_mean=state.own_mean,
        own_slope=state.own_slope,
        own_variance=state.own_variance,
        sites=none,
    )
