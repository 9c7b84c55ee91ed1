"""How likely each arm of a trial speaks: beliefs after so many tries, in logits on a grid.

Model. The logit of the chance of arm a in block b is e_a + u_b. Before the trial e_a is normal about what the plan
believed of the arm, with a part that all arms share (the player is better or worse than believed) and a part of its
own; or else, with a stated chance, the arm makes hardly a difference to this player and speaks as the first one does.
u_b, normal about zero, is how block b goes: warm or tired, a good day or a bad one. It falls on all arms of a block
alike, and is integrated out (Gauss-Hermite). A try that spoke with certainty w counts as w sigma(x) + (1 - w)
sigma(-x). What is told of an arm is its chance in an average block. Few dimensions, so the posterior is summed on a
grid, first over all that is possible, then again over what is left of it: no sampling, no approximation by a normal.
"""

from collections.abc import Sequence
from functools import cache, reduce
from itertools import product
from operator import mul

import numpy as np

from slurwright.evidence.trial import TrialDesign, TrialRules, Try
from slurwright.evidence.trial_cloud import Cloud
from slurwright.plan.transition import Floats

__all__ = ["speaking_cloud", "speaking_points"]

_NODES = 9
_POINTS = {2: 61, 3: 27, 4: 17}
"""Points of the grid's axis, by how many arms there are."""
_SPAN = 4.0
"""Standard deviations to each side that the grid reaches [1]."""
_LEAST_CHANCE = 1e-4


def speaking_cloud(design: TrialDesign, tries: Sequence[Try]) -> Cloud:
    """Say what is believed of the arms' chances after some tries.

    Args:
        design: the trial.
        tries: in any order.
    """
    blocks: dict[int, list[tuple[int, float]]] = {}
    for one in tries:
        blocks.setdefault(one.slot.block, []).append((one.slot.arm, one.spoke))
    counted: dict[tuple[tuple[int, float], ...], int] = {}
    for held in blocks.values():
        key = tuple(sorted(held))
        counted[key] = counted.get(key, 0) + 1
    return speaking_points([arm.chance for arm in design.arms], counted, rules=design.rules)


def speaking_points(
    chances: Sequence[float], blocks: dict[tuple[tuple[int, float], ...], int], *, rules: TrialRules
) -> Cloud:
    """Say what is believed of chances after some blocks.

    Args:
        chances: as they were believed before, one an arm.
        blocks: what a block held, as (arm, how sure it is that it spoke) each, and how many such blocks there were.
        rules: how far chances may lie from what was believed, and how much blocks differ.
    """
    sure = np.clip(np.asarray(chances, dtype=np.float64), _LEAST_CHANCE, 1.0 - _LEAST_CHANCE)
    means = np.log(sure / (1.0 - sure))
    sd = float(np.hypot(rules.arm_logit, rules.all_logit))
    count = _POINTS[len(means)]
    axis = np.linspace(means.min() - _SPAN * sd, means.max() + _SPAN * sd, count)
    weights = _weights(axis, means, blocks, rules)
    for _ in range(2):
        axis = _closer(axis, weights, len(means), count)
        weights = _weights(axis, means, blocks, rules)
    nodes, shares = _blocks_go(rules)
    average = _sigmoid(axis[:, None] + nodes) @ shares
    mesh = np.meshgrid(*(average,) * len(means), indexing="ij")
    return Cloud(np.stack([one.ravel() for one in mesh], axis=1), weights.ravel())


def _closer(axis: Floats, weights: Floats, arms: int, count: int) -> Floats:
    """Lay the axis over what is left of what was possible."""
    low, high = axis[-1], axis[0]
    for arm in range(arms):
        own = weights.sum(axis=tuple(other for other in range(arms) if other != arm))
        mean = float(own @ axis)
        sd = float(np.sqrt(max(own @ (axis - mean) ** 2, 0.01 * (axis[1] - axis[0]) ** 2)))
        low, high = min(low, mean - _SPAN * sd), max(high, mean + _SPAN * sd)
    return np.linspace(low, high, count)


def _weights(
    axis: Floats, means: Floats, blocks: dict[tuple[tuple[int, float], ...], int], rules: TrialRules
) -> Floats:
    """Posterior weight of every point of the grid, shape (axis,) * arms."""
    arms = len(means)
    logs = np.zeros((len(axis),) * arms)
    nodes, shares = _blocks_go(rules)
    speaks = _sigmoid(axis[:, None] + nodes)
    for held, times in blocks.items():
        each = [np.ones_like(speaks) for _ in range(arms)]
        for arm, spoke in held:
            each[arm] = each[arm] * (spoke * speaks + (1.0 - spoke) * (1.0 - speaks))
        logs = logs + times * np.log(_summed(each, shares))
    weights = np.exp(logs - logs.max()) * _prior(axis, means, rules)
    return np.asarray(weights / weights.sum())


def _summed(each: Sequence[Floats], shares: Floats) -> Floats:
    """Sum over how the block goes the product over the arms, shape (axis,) * arms."""
    half = (len(each) + 1) // 2
    first = reduce(lambda a, b: a[..., None, :] * b, each[:half])
    second = reduce(lambda a, b: a[..., None, :] * b, each[half:])
    return np.asarray((first * shares) @ np.moveaxis(second.reshape(-1, len(shares)), 0, 1)).reshape(
        *first.shape[:-1], *second.shape[:-1]
    )


def _prior(axis: Floats, means: Floats, rules: TrialRules) -> Floats:
    """How much every point is believed before the trial, shape (axis,) * arms.

    Where an arm makes hardly a difference its belief lies close about the diagonal that it shares with the first one.
    """
    arms, step = len(means), axis[1] - axis[0]
    along = [axis.reshape(_along(arm, arms)) for arm in range(arms)]
    close = [_close(value - along[0], step, rules) for value in along]
    prior = np.zeros((len(axis),) * arms)
    for alike in product((False, True), repeat=arms - 1):
        free = [0, *(arm for arm, same in enumerate(alike, start=1) if not same)]
        share = np.prod([rules.no_difference if same else 1.0 - rules.no_difference for same in alike])
        density = share * _normal([along[arm] for arm in free], means[free], rules) * step ** len(free)
        prior = prior + reduce(mul, (close[arm] for arm, same in enumerate(alike, start=1) if same), density)
    return prior


def _close(apart: Floats, step: float, rules: TrialRules) -> Floats:
    """Chances of differences that are hardly any, on a grid that may be coarser than they are."""
    sd = rules.hardly_logit
    reach = np.arange(-round(8.0 * sd / step) - 1, round(8.0 * sd / step) + 2) * step
    return np.asarray(np.exp(-0.5 * (apart / sd) ** 2) / np.exp(-0.5 * (reach / sd) ** 2).sum())


def _along(arm: int, arms: int) -> tuple[int, ...]:
    return tuple(-1 if other == arm else 1 for other in range(arms))


def _normal(values: Sequence[Floats], means: Floats, rules: TrialRules) -> Floats:
    """Density of the logits of arms that differ, at every point."""
    count = len(means)
    covariance = rules.arm_logit**2 * np.eye(count) + rules.all_logit**2
    inverse, (_, log_size) = np.linalg.inv(covariance), np.linalg.slogdet(2.0 * np.pi * covariance)
    apart = [value - mean for value, mean in zip(values, means, strict=True)]
    distance = sum(inverse[i, j] * apart[i] * apart[j] for i in range(count) for j in range(count))
    return np.asarray(np.exp(-0.5 * (distance + log_size)))


def _blocks_go(rules: TrialRules) -> tuple[Floats, Floats]:
    """How blocks go [logit], and how often."""
    nodes, shares = _gauss_hermite()
    return rules.block_logit * nodes, shares


@cache
def _gauss_hermite() -> tuple[Floats, Floats]:
    """Nodes and shares that stand for a standard normal."""
    nodes, shares = np.polynomial.hermite_e.hermegauss(_NODES)
    return nodes, shares / shares.sum()


def _sigmoid(logits: Floats) -> Floats:
    return np.asarray(1.0 / (1.0 + np.exp(-logits)))
