"""How effects are spread among players before anything is learnt of one, as covariances."""

from collections.abc import Sequence

import numpy as np

from slurwright.evidence.learning.beliefs import Beliefs
from slurwright.evidence.learning.effects import EFFECTS, TECHNIQUES, sizes_of
from slurwright.evidence.learning.laplace import Prior
from slurwright.plan.transition import Floats

__all__ = ["prior_of", "spread_of"]


def prior_of(beliefs: Beliefs, *, sizes: float = 1.0, moves: float = 1.0) -> Prior:
    """Say how effects are spread before anything is learnt.

    Args:
        beliefs: how players differ.
        sizes: factor on all sizes [1].
        moves: factor on what changes, beside that [1].
    """
    drift = beliefs.drift
    effects, knots = len(EFFECTS), len(drift.crossing_knots_weeks)
    common = np.zeros((effects + knots, effects + knots))
    common[:effects, :effects] = np.diag((sizes * sizes_of(beliefs.effects)) ** 2)
    moving = _moving(drift.crossing_knots_weeks, drift.memory_weeks)
    common[effects:, effects:] = (sizes * moves * drift.crossing_moves) ** 2 * moving
    fixed = 1 + len(TECHNIQUES)
    own = np.zeros((fixed + len(drift.ways_knots_weeks),) * 2)
    own[:fixed, :fixed] = np.diag([(sizes * drift.ways) ** 2, *[(sizes * drift.technique) ** 2] * len(TECHNIQUES)])
    moving = _moving(drift.ways_knots_weeks, drift.memory_weeks)
    own[fixed:, fixed:] = (sizes * moves * drift.ways_move) ** 2 * moving
    return Prior(common, (sizes * drift.partials) ** 2, own)


def _moving(knots_weeks: Sequence[float], memory_weeks: float) -> Floats:
    """Correlations between knots of what changes: the further apart, the less (Ornstein & Uhlenbeck)."""
    ages = np.array(knots_weeks)
    return np.asarray(np.exp(-np.abs(ages[:, None] - ages) / memory_weeks))


def spread_of(prior: Prior, common: Floats, own: Floats) -> Floats:
    """Variance of logits before anything is learnt, shape=(rows,) [logit^2].

    Args:
        prior: how effects are spread.
        common: columns of the common effects, shape=(rows, common) [1].
        own: columns of the pair of ways, shape=(rows, own) [1].
    """
    shared = np.einsum("na,na->n", common @ prior.common, common)
    return np.asarray(shared + prior.partials + np.einsum("nk,nk->n", own @ prior.own, own))
