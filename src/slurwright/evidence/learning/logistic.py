"""Which chance an uncertain logit stands for, and which logit stands for a chance.

Means over a normal spread are sums over evenly spaced places, half a standard deviation apart. For a function that is
analytic near the real line such a sum is exact up to a term that falls off exponentially: here below 1e-6 for spreads
up to 3 logits.
"""

import numpy as np

from slurwright.plan.transition import Floats

__all__ = ["chance", "logit", "mean_chance", "offset_of"]

_PLACES = np.arange(-5.5, 5.6, 0.5)
_WEIGHTS = np.exp(-0.5 * _PLACES**2) / np.exp(-0.5 * _PLACES**2).sum()
_MOST = 40.0
"""No logit is further from 0: chances beyond are certain."""
_ROUNDS = 20
_CLOSE = 1e-12


def chance(logits: Floats) -> Floats:
    """Chances that logits stand for, any shape [1].

    Args:
        logits: of the chances [logit].
    """
    return np.asarray(1.0 / (1.0 + np.exp(-np.clip(logits, -_MOST, _MOST))))


def logit(chances: Floats) -> Floats:
    """Logits of chances, any shape [logit].

    Args:
        chances: between 0 and 1 [1].
    """
    kept = np.clip(chances, np.exp(-_MOST), 1.0 - 1e-16)
    return np.asarray(np.log(kept) - np.log1p(-kept))


def mean_chance(mean: Floats, variance: Floats) -> Floats:
    """Mean chance of logits that are spread normally, shape=(n,) [1].

    Args:
        mean: shape=(n,) [logit].
        variance: shape=(n,) [logit^2].
    """
    spread = np.sqrt(variance)
    total = np.zeros_like(spread)
    for place, weight in zip(_PLACES, _WEIGHTS, strict=True):
        total += weight * chance(mean + place * spread)
    return total


def offset_of(chances: Floats, variance: Floats) -> Floats:
    """Which mean a logit of a given spread must have so that its mean chance is the given one, shape=(n,) [logit].

    Args:
        chances: between 0 and 1, shape=(n,) [1].
        variance: shape=(n,) [logit^2].
    """
    wanted = logit(chances)
    spread = np.sqrt(variance)
    mean = wanted * np.sqrt(1.0 + np.pi * variance / 8.0)
    for _ in range(_ROUNDS):
        total, slope = np.zeros_like(spread), np.zeros_like(spread)
        for place, weight in zip(_PLACES, _WEIGHTS, strict=True):
            here = chance(mean + place * spread)
            total += weight * here
            slope += weight * here * (1.0 - here)
        step = (logit(total) - wanted) * total * (1.0 - total) / slope
        mean = mean - step
        if np.max(np.abs(step), initial=0.0) ** 2 < _CLOSE:  # what is left is of the order of the step squared
            break
    return mean
