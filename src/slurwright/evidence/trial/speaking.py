"""How likely each arm of a trial speaks: beliefs after so many tries, in logits on a grid.

Model. The logit of the chance of arm a in block b is e_a + u_b. Before the trial e_0, of the slur as it stands, is
normal about what the plan believed; the gap e_a - e_0 of any other arm is a mixture of three: hardly any; about what
the plan believed; or quite another, about zero, for the plan may be wrong about this player. u_b, normal about zero,
is how block b goes: warm or tired, a good day or a bad one. It falls on all arms of a block alike, and is integrated
out (Gauss-Hermite). A try that spoke with certainty w counts as w sigma(x) + (1 - w) sigma(-x). What is told of an
arm is its chance in an average block. Few dimensions, so the posterior is summed on a grid, first over all that is
possible, then again over what is left of it: no sampling, no approximation by a normal.
"""

from collections.abc import Sequence
from functools import cache, reduce

import numpy as np

from slurwright.evidence.trial.cloud import Cloud
from slurwright.evidence.trial.values import TrialDesign, TrialRules, Try
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
    sd = float(np.hypot(rules.stands_logit, max(rules.gap_logit, rules.otherwise_logit)))
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
    """How much every point is believed before the trial, shape (axis,) * arms."""
    arms, step = len(means), float(axis[1] - axis[0])
    prior = _bell(axis, means[0], rules.stands_logit).reshape(_along(0, arms))
    gaps = axis[None, :] - axis[:, None]
    plain = 1.0 - rules.hardly - rules.otherwise
    for arm in range(1, arms):
        believed = (
            rules.hardly * _chances(gaps, 0.0, rules.hardly_logit, step)
            + plain * _chances(gaps, means[arm] - means[0], rules.gap_logit, step)
            + rules.otherwise * _chances(gaps, 0.0, rules.otherwise_logit, step)
        )
        prior = prior * believed.reshape([len(axis) if other in {0, arm} else 1 for other in range(arms)])
    return prior


def _along(arm: int, arms: int) -> tuple[int, ...]:
    return tuple(-1 if other == arm else 1 for other in range(arms))


def _bell(values: Floats, mean: float, sd: float) -> Floats:
    return np.asarray(np.exp(-0.5 * ((values - mean) / sd) ** 2))


def _chances(gaps: Floats, mean: float, sd: float, step: float) -> Floats:
    """Chances of gaps on a grid that may be coarser than they are spread: they sum to 1 over the whole grid."""
    most = round(2.0 * _SPAN * sd / step) + 1
    reach = step * np.arange(-most, most + 1, dtype=np.float64)
    offset = mean - step * round(mean / step)
    return np.asarray(_bell(gaps, mean, sd) / _bell(reach, offset, sd).sum())


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
