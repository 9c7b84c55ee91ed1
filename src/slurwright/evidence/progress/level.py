"""Where a figure that wanders from week to week stands: a local level, and how sure it is.

The level starts somewhere within a prior's spread and moves by independent normal steps, larger the longer the time
between two knots. What is measured is the level at a knot plus a normal error of known size. All of it is normal, so
that the answer is exact: one system of linear equations, with the covariance of every two knots and the log of how
well it explains what was measured. Several assumptions about the sizes are worked out side by side.
"""

from dataclasses import dataclass

import numpy as np

from slurwright.listen.figure import Figure
from slurwright.plan.transition import Floats, Ints

__all__ = ["Level", "Levels", "joint_nodes", "mixed", "quantiles", "wandering"]

_NODES = 24


@dataclass(frozen=True, slots=True, eq=False)
class Level:
    """A level at its knots."""

    mean: Floats
    cov: Floats
    """Covariance of every two knots, shape=(knots, knots)."""

    @property
    def sd(self) -> Floats:
        """Standard deviation at each knot, in the level's own unit [1]."""
        return np.sqrt(np.diag(self.cov))


@dataclass(frozen=True, slots=True, eq=False)
class Levels:
    """A level under several assumptions."""

    mean: Floats
    """shape=(assumptions, knots)."""
    cov: Floats
    """shape=(assumptions, knots, knots)."""
    evidence: Floats
    """Log of how well each assumption explains what was measured, shape=(assumptions,)."""


def wandering(
    knots: Ints, values: Floats, variances: Floats, *, gaps_weeks: Floats, level_sd: float, wander_sd: Floats
) -> Levels:
    """Say where a wandering level stood at each knot, under each assumption.

    Args:
        knots: at which knot each value was measured, shape=(values,) [1].
        values: what was measured, around 0 before anything is known, shape=(values,) [1].
        variances: of their errors under each assumption, shape=(assumptions, values) [1].
        gaps_weeks: time between knots, shape=(knots - 1,) [weeks].
        level_sd: spread of the level at the first knot [1].
        wander_sd: spread of its step in one week, above 0, shape=(assumptions,) [1].
    """
    count, assumptions = len(gaps_weeks) + 1, len(wander_sd)
    after = np.zeros((assumptions, count, count))
    after[:, 0, 0] = 1.0 / level_sd**2
    steps = 1.0 / (wander_sd[:, None] ** 2 * gaps_weeks)
    at = np.arange(count - 1)
    after[:, at, at] += steps
    after[:, at + 1, at + 1] += steps
    after[:, at, at + 1] -= steps
    after[:, at + 1, at] -= steps
    # The determinant before anything was measured: its first entry times its steps.
    log_before = -2.0 * np.log(level_sd) + np.log(steps).sum(axis=1)
    at_knot = (knots[:, None] == np.arange(count)).astype(np.float64)
    pull = (values / variances) @ at_knot
    every = np.arange(count)
    after[:, every, every] += (1.0 / variances) @ at_knot
    cov = np.linalg.inv(after)
    mean = np.einsum("akl,al->ak", cov, pull)
    fit = (values**2 / variances).sum(axis=1) - np.einsum("ak,ak->a", pull, mean)
    log_after = np.linalg.slogdet(after)[1]
    noise = np.log(2.0 * np.pi * variances).sum(axis=1)
    return Levels(mean, (cov + cov.transpose(0, 2, 1)) / 2.0, -0.5 * (noise + fit + log_after - log_before))


def mixed(levels: Levels, weights: Floats) -> Level:
    """Join what a level is under several assumptions, each with its weight.

    Args:
        levels: under each.
        weights: of the assumptions, together 1, shape=(assumptions,) [1].
    """
    mean = weights @ levels.mean
    off = levels.mean - mean
    spread = levels.cov + off[:, :, None] * off[:, None, :]
    return Level(mean, np.einsum("a,akl->kl", weights, spread))


def joint_nodes(mean: Floats, cov: Floats) -> tuple[Floats, Floats]:
    """Give points that stand for two figures which are normal together, and their weights, which sum to 1.

    Args:
        mean: of the two, shape=(2,) [1].
        cov: their covariance, shape=(2, 2) [1].

    Returns:
        Points, shape=(points, 2), and weights, shape=(points,) [1].
    """
    nodes, weights = np.polynomial.hermite_e.hermegauss(_NODES)
    weights = weights / weights.sum()
    first, second = np.meshgrid(nodes, nodes, indexing="ij")
    values, vectors = np.linalg.eigh(cov)
    root = vectors * np.sqrt(np.maximum(values, 0.0))
    points = mean + np.stack([first.ravel(), second.ravel()], axis=1) @ root.T
    return points, np.outer(weights, weights).ravel()


def quantiles(values: Floats, weights: Floats) -> Figure:
    """Give the mean of weighted values and the interval that holds nine tenths of their weight.

    Args:
        values: any figures, shape=(values,) [1].
        weights: together 1, shape=(values,) [1].
    """
    order = np.argsort(values)
    reached = np.cumsum(weights[order]) - weights[order] / 2.0
    low, high = np.interp((0.05, 0.95), reached, values[order])
    return Figure(float(values @ weights), float(low), float(high))
