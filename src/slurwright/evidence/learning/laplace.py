"""What the effects are, given the verdicts: a normal posterior of a logistic model, in closed steps.

Model. Each row has a logit  eta = offset + common effects + effect of its pair of partials + effects of its pair of
ways. A verdict that a slur spoke with certainty p has the likelihood  p (1 - s) + (1 - p) s  with s the chance of a
break that eta stands for: an even verdict says nothing. All effects are normal about 0 beforehand.

Method. First the most likely effects by Newton's steps with halving; their curvature gives the evidence by Laplace's
approximation, with which scales are compared. Then the normal that is nearest to the posterior (Opper & Archambeau,
Neural Computation 21 (2009) 786): the same steps, with slopes and curvatures averaged over each row's own spread.
Its means stay true where verdicts are few and one-sided, where the most likely effects do not.

Pairs of ways meet only through what they share, so that the curvature is an arrow: one block a pair and a border.
It is never made whole. Shapes: q shared effects, J pairs, k effects of a pair.
"""

from dataclasses import dataclass

import numpy as np

from slurwright.evidence.learning.design import Design
from slurwright.evidence.learning.logistic import chance
from slurwright.plan.transition import Floats

__all__ = ["Posterior", "Prior", "Spot", "fit", "refined", "row_variances", "untouched"]

_PLACES, _SHARES = (np.asarray(part) for part in np.polynomial.hermite_e.hermegauss(9))
_SHARES = _SHARES / _SHARES.sum()
_ROUNDS, _HALVINGS = 60, 30
_CLOSE = 1e-6
_REFINEMENTS, _NEAR, _NEAR_SPREAD = 20, 3e-3, 2e-2
_SHARE = 0.7
"""Of the way to the new spreads: the whole of it swings to and fro [1]."""


@dataclass(frozen=True, slots=True, eq=False)
class Prior:
    """How effects are spread before anything is learnt."""

    common: Floats
    """Covariance of the effects common to all slurs, knots included, shape=(c, c)."""
    partials: float
    """Variance of the effect of a pair of partials."""
    own: Floats
    """Covariance of the effects of one pair of ways, shape=(k, k)."""


@dataclass(frozen=True, slots=True, eq=False)
class Spot:
    """Values of all effects."""

    shared: Floats
    """Common effects, then one for each pair of partials, shape=(q,)."""
    own: Floats
    """Shape=(J, k)."""


@dataclass(frozen=True, slots=True, eq=False)
class Posterior:
    """A normal posterior of the effects."""

    mean: Spot
    shared: Floats
    """Covariance of the shared effects, shape=(q, q)."""
    cross: Floats
    """Covariance of shared effects with those of each pair of ways, shape=(J, q, k)."""
    own: Floats
    """Covariance of the effects of each pair of ways, shape=(J, k, k)."""
    evidence: float
    """Logarithm of the evidence by Laplace's approximation [nat]."""


@dataclass(frozen=True, slots=True, eq=False)
class _Arrow:
    """A curvature, taken apart."""

    cross: Floats
    """Border of each block, shape=(J, q, k)."""
    blocks: Floats
    """Inverses of the blocks, shape=(J, k, k)."""
    pulled: Floats
    """Inverse block times border, shape=(J, k, q)."""
    tip: Floats
    """Inverse of what is left of the shared part, shape=(q, q)."""
    log_det: float

    def solve(self, gradient: Spot) -> Spot:
        """Give the step whose product with the curvature is the gradient."""
        alone = np.matmul(self.blocks, gradient.own[:, :, None])[:, :, 0]
        shared = self.tip @ (gradient.shared - np.einsum("jqk,jk->q", self.cross, alone))
        return Spot(shared, alone - self.pulled @ shared)


def untouched(prior: Prior, *, partials: int = 0) -> Posterior:
    """Give what is believed before any verdict, of no pair of ways yet.

    Args:
        prior: how effects are spread.
        partials: how many pairs of partials are among the shared effects [1].
    """
    shared = _shared_covariance(prior, partials)
    size, own = len(shared), len(prior.own)
    nothing = Spot(np.zeros(size), np.zeros((0, own)))
    return Posterior(nothing, shared, np.zeros((0, size, own)), np.zeros((0, own, own)), 0.0)


def fit(design: Design, offset: Floats, prior: Prior, *, start: Spot | None = None) -> Posterior:
    """Find the most likely effects and the curvature there.

    Args:
        design: rows and verdicts.
        offset: logit of each row where all effects are 0, shape=(rows,) [logit].
        prior: how effects are spread.
        start: where to begin; None for 0.
    """
    spot = start or Spot(np.zeros(_size(design, prior)), np.zeros((len(design.pairs), len(prior.own))))
    ground = _Ground(design, prior)
    value = _objective(design, offset, ground, spot)
    for _ in range(_ROUNDS):
        first, second = _slopes(design, _logits(design, offset, spot), None)
        gradient = _gradient(design, first, ground, spot)
        step = _hill(design, second, ground).solve(gradient)
        gain = float(gradient.shared @ step.shared + np.sum(gradient.own * step.own))
        spot, value = _climbed(design, offset, ground, step, start=(spot, value))
        if gain < _CLOSE:
            break
    _, second = _slopes(design, _logits(design, offset, spot), None)
    arrow = _hill(design, second, ground)
    evidence = value + 0.5 * (ground.log_det(len(design.pairs)) - arrow.log_det)
    return _posterior(spot, arrow, evidence)


def refined(design: Design, offset: Floats, prior: Prior, start: Posterior) -> Posterior:
    """Find the normal that is nearest to the posterior.

    Args:
        design: rows and verdicts.
        offset: logit of each row where all effects are 0, shape=(rows,) [logit].
        prior: how effects are spread.
        start: the most likely effects with their curvature.
    """
    ground = _Ground(design, prior)
    found = start
    variances = row_variances(design, found)
    for _ in range(_REFINEMENTS):
        first, second = _slopes(design, _logits(design, offset, found.mean), variances)
        arrow = _hill(design, second, ground)
        step = arrow.solve(_gradient(design, first, ground, found.mean))
        spot = Spot(found.mean.shared + step.shared, found.mean.own + step.own)
        found = _posterior(spot, arrow, start.evidence)
        moved = _SHARE * (row_variances(design, found) - variances)
        variances = variances + moved
        near = max(np.abs(step.shared).max(), np.abs(step.own).max()) < _NEAR
        if near and np.abs(moved).max() < _NEAR_SPREAD:
            break
    return found


def row_variances(design: Design, posterior: Posterior) -> Floats:
    """Variance of the logit of each row, shape=(rows,) [logit^2].

    Args:
        design: the rows.
        posterior: of the effects.
    """
    found = np.empty(len(design.prior))
    common = design.common.shape[1]
    ends = [*design.starts.tolist(), len(found)]
    for pair, partials in enumerate(design.partials_of_pair.tolist()):
        rows = slice(ends[pair], ends[pair + 1])
        here = np.append(np.arange(common), common + partials)
        shared = np.concatenate([design.common[rows], np.ones((ends[pair + 1] - ends[pair], 1))], axis=1)
        own = design.own[rows]
        pulled = shared @ posterior.shared[np.ix_(here, here)] + 2.0 * own @ posterior.cross[pair, here].T
        found[rows] = np.sum(pulled * shared, axis=1) + np.sum(own @ posterior.own[pair] * own, axis=1)
    return found


class _Ground:
    """What stays the same from step to step: the precisions of the prior."""

    def __init__(self, design: Design, prior: Prior) -> None:
        self.shared = np.linalg.inv(_shared_covariance(prior, len(design.partials)))
        self.own = np.linalg.inv(prior.own)

    def log_det(self, pairs: int) -> float:
        """Logarithm of the determinant of the whole precision."""
        return float(np.linalg.slogdet(self.shared)[1] + pairs * np.linalg.slogdet(self.own)[1])


def _shared_covariance(prior: Prior, partials: int) -> Floats:
    common = len(prior.common)
    covariance = np.zeros((common + partials, common + partials))
    covariance[:common, :common] = prior.common
    covariance[range(common, common + partials), range(common, common + partials)] = prior.partials
    return covariance


def _size(design: Design, prior: Prior) -> int:
    return len(prior.common) + len(design.partials)


def _logits(design: Design, offset: Floats, spot: Spot) -> Floats:
    common = design.common.shape[1]
    of_pair = spot.shared[common + design.partials_of_pair]
    own = np.einsum("nk,nk->n", design.own, spot.own[design.pair])
    return np.asarray(offset + design.common @ spot.shared[:common] + of_pair[design.pair] + own)


def _objective(design: Design, offset: Floats, ground: _Ground, spot: Spot) -> float:
    """Logarithm of likelihood and prior, but for what does not hang on the effects."""
    breaks = chance(_logits(design, offset, spot))[design.row]
    likelihood = design.spoke * (1.0 - breaks) + (1.0 - design.spoke) * breaks
    shared = spot.shared @ ground.shared @ spot.shared
    own = np.einsum("jk,kl,jl->", spot.own, ground.own, spot.own)
    return float(design.times @ np.log(likelihood) - 0.5 * (shared + own))


def _slopes(design: Design, logits: Floats, variances: Floats | None) -> tuple[Floats, Floats]:
    """First and second derivative of the log likelihood of each row, averaged over its spread where one is given."""
    places, shares = (np.zeros(1), np.ones(1)) if variances is None else (_PLACES, _SHARES)
    spread = np.zeros_like(logits) if variances is None else np.sqrt(np.maximum(0.0, variances))
    lean = 1.0 - 2.0 * design.spoke
    first, second = np.zeros(len(design.row)), np.zeros(len(design.row))
    for place, share in zip(places.tolist(), shares.tolist(), strict=True):
        breaks = chance(logits + place * spread)[design.row]
        wide = breaks * (1.0 - breaks)
        slope = lean * wide / (design.spoke + lean * breaks)
        first += share * slope
        second += share * (slope * (1.0 - 2.0 * breaks) - slope**2)
    size = len(logits)
    rows = (np.bincount(design.row, design.times * one, minlength=size) for one in (first, second))
    return np.asarray(next(rows), np.float64), np.asarray(next(rows), np.float64)


def _gradient(design: Design, first: Floats, ground: _Ground, spot: Spot) -> Spot:
    pairs = np.add.reduceat(first, design.starts)
    partials = np.bincount(design.partials_of_pair, pairs, minlength=len(design.partials))
    shared = np.concatenate([design.common.T @ first, partials]) - ground.shared @ spot.shared
    own = np.add.reduceat(design.own * first[:, None], design.starts, axis=0)
    return Spot(shared, own - spot.own @ ground.own)


def _climbed(
    design: Design, offset: Floats, ground: _Ground, step: Spot, *, start: tuple[Spot, float]
) -> tuple[Spot, float]:
    """Take a step, halved until it does not lead down."""
    spot, value = start
    share = 1.0
    for _ in range(_HALVINGS):
        tried = Spot(spot.shared + share * step.shared, spot.own + share * step.own)
        reached = _objective(design, offset, ground, tried)
        if reached >= value:
            return tried, reached
        share *= 0.5
    return start


def _hill(design: Design, second: Floats, ground: _Ground) -> _Arrow:
    """Take the curvature apart; where doubtful verdicts make it none of a hill, what bends up is left out."""
    try:
        return _arrow(design, -second, ground)
    except np.linalg.LinAlgError:
        return _arrow(design, np.maximum(0.0, -second), ground)


def _arrow(design: Design, weights: Floats, ground: _Ground) -> _Arrow:
    """Take the curvature apart: that of the verdicts, by rows' weights, and the prior's."""
    common, own, starts = design.common, design.own, design.starts
    weighted, own_weighted = common * weights[:, None], own * weights[:, None]
    width, count = common.shape[1], len(starts)
    size, k = width + len(design.partials), own.shape[1]
    places = width + design.partials_of_pair
    shared = ground.shared.copy()
    shared[:width, :width] += common.T @ weighted
    of_pairs = np.zeros((len(design.partials), width))
    np.add.at(of_pairs, design.partials_of_pair, np.add.reduceat(weighted, starts, axis=0))
    shared[width:, :width] += of_pairs
    shared[:width, width:] += of_pairs.T
    np.add.at(shared, (places, places), np.add.reduceat(weights, starts))
    cross: Floats = np.zeros((count, size, k))
    blocks: Floats = np.empty((count, k, k))
    ends = [*starts.tolist(), len(weights)]
    for pair in range(count):
        rows = slice(ends[pair], ends[pair + 1])
        np.matmul(common[rows].T, own_weighted[rows], out=cross[pair, :width])
        np.matmul(own[rows].T, own_weighted[rows], out=blocks[pair])
    cross[range(count), places] += np.add.reduceat(own_weighted, starts, axis=0)
    return _taken_apart(np.asarray(shared, np.float64), cross, blocks + ground.own)


def _taken_apart(shared: Floats, cross: Floats, blocks: Floats) -> _Arrow:
    """Take an arrow apart block by block."""
    roots = np.linalg.cholesky(blocks)
    inverses = np.linalg.inv(blocks)
    pulled = np.matmul(inverses, cross.transpose(0, 2, 1))
    rest = shared - cross.transpose(1, 0, 2).reshape(len(shared), -1) @ pulled.reshape(-1, len(shared))
    root = np.linalg.cholesky(rest)
    log_det = 2.0 * float(np.log(np.diagonal(roots, axis1=1, axis2=2)).sum() + np.log(np.diagonal(root)).sum())
    tip = np.asarray(np.linalg.inv(rest), np.float64)
    return _Arrow(cross, np.asarray(inverses, np.float64), pulled, 0.5 * (tip + tip.T), log_det)


def _posterior(spot: Spot, arrow: _Arrow, evidence: float) -> Posterior:
    back = np.matmul(arrow.pulled, arrow.tip)
    own = arrow.blocks + np.matmul(back, arrow.pulled.transpose(0, 2, 1))
    return Posterior(spot, arrow.tip, -back.transpose(0, 2, 1), own, evidence)
