"""What do readings say about the unknowns, when some of the readings may be of something else?

Each reading is either true, with a normal error, or a slip (a wrong partial, a cracked note) that may lie anywhere in
a wide window. Which it is, is judged against what all the other readings foretell of it (its cavity), by expectation
propagation, all readings in parallel (published: T. Minka, "Expectation propagation for approximate Bayesian
inference", UAI 2001; from memory). The residue of each way is integrated out, so that the cost grows with the number
of readings times the square of the number of lengths, and not with the number of ways.
"""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from slurwright.horn.learnt.frame import Floats
from slurwright.horn.learnt.values import Priors

__all__ = ["Data", "Posterior", "Sites", "posterior_of", "posterior_without"]

_ROUNDS = 60
_DAMPING = 0.7
_SETTLED_CENTS = 0.01
_LEAST_PRECISION = 1e-9


@dataclass(frozen=True, slots=True, eq=False)
class Data:
    """Readings in the form that the arithmetic wants; n readings of w ways, p unknowns."""

    design: Floats
    """Shape=(n, p)."""
    deviation: Floats
    """Reading minus the nominal pitch of its way, shape=(n,) [cents]."""
    variance: Floats
    """Of one reading, shape=(n,) [cents squared]."""
    way: NDArray[np.intp]
    """Which way each reading is of, shape=(n,)."""
    residue: Floats
    """Prior variance of each way's own residue, shape=(w,) [cents squared]."""
    covariance: Floats
    """Prior covariance of the unknowns, shape=(p, p)."""


@dataclass(frozen=True, slots=True, eq=False)
class Sites:
    """What each reading contributes: a normal factor on the pitch of its way."""

    precision: Floats
    """Shape=(n,) [1 / cents squared]."""
    shift: Floats
    """Precision times place, shape=(n,) [1 / cents]."""


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
    sites: Sites
    good: Floats
    """Chance that each reading is true, shape=(n,) [1]."""
    foretold: Floats
    """What the other readings say that each should be, shape=(n,) [cents from nominal]."""
    foretold_variance: Floats
    """Variance of that, shape=(n,) [cents squared]."""


def _grouped(values: Floats, way: NDArray[np.intp], count: int) -> Floats:
    """Sum the rows of `values` way by way."""
    total = np.zeros((count, *values.shape[1:]))
    np.add.at(total, way, values)
    return total


def _solve(data: Data, sites: Sites, prior_precision: Floats) -> tuple[Floats, Floats, Floats, Floats, Floats]:
    """Give (mean, covariance, own mean, own slope, own variance) for fixed sites."""
    count = len(data.residue)
    weighted = data.design * sites.precision[:, None]
    own_precision = 1.0 / data.residue + _grouped(sites.precision, data.way, count)
    pulled = _grouped(weighted, data.way, count)
    place = _grouped(sites.shift, data.way, count)
    slope = pulled / own_precision[:, None]
    own = place / own_precision
    precision = prior_precision + data.design.T @ weighted - slope.T @ pulled
    covariance = np.linalg.inv((precision + precision.T) / 2)
    mean = covariance @ (data.design.T @ sites.shift - slope.T @ place)
    return mean, covariance, own, slope, 1.0 / own_precision


def _match(data: Data, sites: Sites, mean: Floats, variance: Floats, priors: Priors) -> tuple[Sites, Floats]:
    """Fit each site to what its reading truly says, seen from the other readings."""
    left = np.maximum(1.0 / variance - sites.precision, _LEAST_PRECISION)
    cavity_variance = 1.0 / left
    cavity = cavity_variance * (mean / variance - sites.shift)
    spread = cavity_variance + data.variance
    away = data.deviation - cavity
    true = (1.0 - priors.slip_chance) * np.exp(-0.5 * away**2 / spread) / np.sqrt(2 * math.pi * spread)
    good = true / (true + priors.slip_chance / priors.slip_range_cents)
    gain = cavity_variance / spread
    matched = cavity + gain * good * away
    shrink = good / spread - good * (1 - good) * away**2 / spread**2
    matched_variance = np.maximum(cavity_variance - cavity_variance**2 * shrink, 1e-9)
    precision = np.maximum(1.0 / matched_variance - left, _LEAST_PRECISION)
    shift = matched * (precision + left) - cavity * left
    return Sites(precision, shift), good


def posterior_of(data: Data, priors: Priors, *, start: Sites | None = None) -> Posterior:
    """Say what the readings teach, slips set aside.

    Args:
        data: the readings.
        priors: chance and width of slips.
        start: sites of an earlier answer for the same readings in the same order, to save rounds.

    """
    readings = len(data.deviation)
    sites = start or Sites(np.full(readings, _LEAST_PRECISION), np.zeros(readings))
    prior_precision = np.linalg.inv(data.covariance)
    good = np.ones(readings)
    last = np.full(readings, np.inf)
    for _ in range(_ROUNDS):
        mean, covariance, own, slope, own_variance = _solve(data, sites, prior_precision)
        lean = data.design - slope[data.way]
        fitted = lean @ mean + own[data.way]
        variance = np.einsum("ij,jk,ik->i", lean, covariance, lean, optimize=True) + own_variance[data.way]
        if np.max(np.abs(fitted - last), initial=0.0) < _SETTLED_CENTS:
            break
        last = fitted
        target, good = _match(data, sites, fitted, variance, priors)
        sites = Sites(
            (1 - _DAMPING) * sites.precision + _DAMPING * target.precision,
            (1 - _DAMPING) * sites.shift + _DAMPING * target.shift,
        )
    left = np.maximum(1.0 / variance - sites.precision, _LEAST_PRECISION)
    return Posterior(
        mean=mean,
        covariance=covariance,
        own_mean=own,
        own_slope=slope,
        own_variance=own_variance,
        sites=sites,
        good=good,
        foretold=(fitted / variance - sites.shift) / left,
        foretold_variance=1.0 / left,
    )


def posterior_without(data: Data, posterior: Posterior, ways: NDArray[np.intp]) -> Posterior:
    """Say what would be known without the readings of some ways, the others' contributions kept.

    Args:
        data: the readings.
        posterior: what they all taught.
        ways: places of the ways that are left out, shape=(k,) [1].

    """
    kept = np.where(np.isin(data.way, ways), 0.0, 1.0)
    sites = Sites(posterior.sites.precision * kept, posterior.sites.shift * kept)
    mean, covariance, own, slope, variance = _solve(data, sites, np.linalg.inv(data.covariance))
    return Posterior(
        mean, covariance, own, slope, variance, sites, posterior.good, posterior.foretold, posterior.foretold_variance
    )
