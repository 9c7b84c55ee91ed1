"""What is believed of the arms of a trial, as weighted points; and how arms compare in it.

A point is one possible truth: a value for each arm. Its weight is how much it is believed. Everything that is said of
a trial (which arm is likeliest the best, by how much, between which limits) is counted from these points.
"""

from dataclasses import dataclass

import numpy as np

from slurwright.listen.figure import Figure
from slurwright.plan.transition import Floats

__all__ = ["Cloud", "chance_above", "chances_best", "figure_of"]

_TAIL = 0.05
"""What lies beyond each end of an interval that holds nine in ten (derived) [1]."""


@dataclass(frozen=True, slots=True, eq=False)
class Cloud:
    """Possible truths of all arms."""

    values: Floats
    """Shape (points, arms); higher is better."""
    weights: Floats
    """Shape (points,); they sum to 1."""


def chances_best(cloud: Cloud) -> Floats:
    """Chance of each arm that it is the best of all; equals share, shape=(arms,) [1]."""
    top = cloud.values == cloud.values.max(axis=1, keepdims=True)
    shares: Floats = (top / top.sum(axis=1, keepdims=True) * cloud.weights[:, None]).sum(axis=0)
    return shares


def chance_above(cloud: Cloud, differences: Floats, bound: float) -> float:
    """Chance that a difference lies above a bound; on the bound counts half [1].

    Args:
        cloud: what is believed.
        differences: of two arms at each point, shape=(points,) [as the values].
        bound: the bound [as the values].
    """
    above = (differences > bound) + 0.5 * (differences == bound)
    return float(above @ cloud.weights)


def figure_of(cloud: Cloud, quantity: Floats) -> Figure:
    """Mean of a quantity, and the interval that holds it nine times in ten.

    Args:
        cloud: what is believed.
        quantity: at each point, shape=(points,) [any].
    """
    order = np.argsort(quantity, kind="stable")
    ranked, weights = quantity[order], cloud.weights[order]
    middles = np.cumsum(weights) - 0.5 * weights
    low, high = np.interp((_TAIL, 1.0 - _TAIL), middles, ranked)
    mean = float(quantity @ cloud.weights)
    return Figure(mean, min(mean, float(low)), max(mean, float(high)))
