"""Where each arm of a trial lies in what is measured: smoothness, and the cents of its notes.

Model. A figure of arm a in block b is m_a + v_b + e: m_a normal about what is believed before, with a part that all
arms share; v_b how the block goes (or how sharp all of it is); e the try itself, whose spread is not known
beforehand and is summed over, with the figure's own measuring error added. For each spread everything is normal and
in closed form.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from slurwright.evidence.trial.cloud import Cloud
from slurwright.evidence.trial.values import TrialDesign, Try
from slurwright.listen.figure import Figure, Measured
from slurwright.plan.transition import Floats, Ints

__all__ = ["Readings", "smoothness_cloud", "tuning_cloud"]

_DRAWS = 6000
_SPREADS = np.exp(np.linspace(-1.6, 1.6, 13))
"""Spreads of single tries that are held possible, in the spread that is expected [1]."""
_SPREAD_LOG_SD = 0.7
"""How well the spread is known beforehand, standard deviation of its logarithm (ours, provisional) [1]."""


@dataclass(frozen=True, slots=True, eq=False)
class Readings:
    """Figures of tries as columns."""

    arms: Ints
    blocks: Ints
    values: Floats
    errors: Floats
    """Standard errors of the measuring, in the unit of the values."""


@dataclass(frozen=True, slots=True)
class _Belief:
    """What is believed before anything is measured, in the unit of the values."""

    means: tuple[float, ...]
    together: float
    apart: float
    block: float
    spread: float


def smoothness_cloud(design: TrialDesign, tries: Sequence[Try], *, rng: np.random.Generator) -> Cloud | None:
    """Say what is believed of how smooth the arms are; None where no take has measured it.

    Args:
        design: the trial.
        tries: in any order.
        rng: for the points.
    """
    readings = _readings([(one, one.quality) for one in tries])
    if readings is None:
        return None
    rules = design.rules
    before = _Belief(
        (rules.smooth_mean,) * len(design.arms),
        rules.smooth_all,
        rules.smooth_arm,
        rules.smooth_block,
        rules.smooth_try,
    )
    points = np.clip(_points(readings, before, rng), 0.0, 1.0)
    return Cloud(points, np.full(len(points), 1.0 / len(points)))


def tuning_cloud(design: TrialDesign, tries: Sequence[Try], *, rng: np.random.Generator) -> Cloud | None:
    """Say what is believed of how far out the worse note of each arm lies, as cents below zero.

    Args:
        design: the trial.
        tries: in any order.
        rng: for the points.

    Returns:
        None where nothing is measured.
    """
    rules = design.rules
    lying = []
    for note in (0, 1):
        readings = _readings([(one, one.cents[note] if one.cents else None) for one in tries])
        if readings is None:
            return None
        means = tuple(arm.cents[note] for arm in design.arms)
        before = _Belief(means, 0.0, rules.cents_arm, rules.cents_block, rules.cents_try)
        lying.append(np.abs(_points(readings, before, rng)))
    points = -np.maximum(*lying)
    return Cloud(points, np.full(len(points), 1.0 / len(points)))


def _readings(figures: Sequence[tuple[Try, Measured | None]]) -> Readings | None:
    seen = [(one.slot, figure) for one, figure in figures if isinstance(figure, Figure)]
    if not seen:
        return None
    return Readings(
        arms=np.array([slot.arm for slot, _ in seen], dtype=np.int64),
        blocks=np.unique([slot.block for slot, _ in seen], return_inverse=True)[1].astype(np.int64),
        values=np.array([figure.value for _, figure in seen]),
        errors=np.array([figure.sd for _, figure in seen]),
    )


def _points(readings: Readings, before: _Belief, rng: np.random.Generator) -> Floats:
    """Draw possible values of all arms, shape (draws, arms)."""
    spreads = before.spread * _SPREADS
    found = [_given(readings, before, spread) for spread in spreads]
    logs = np.array([one[0] for one in found]) - 0.5 * (np.log(_SPREADS) / _SPREAD_LOG_SD) ** 2
    chances = np.exp(logs - logs.max())
    counts = rng.multinomial(_DRAWS, chances / chances.sum())
    return np.concatenate(
        [
            mean + rng.standard_normal((count, len(mean))) @ np.linalg.cholesky(covariance).T
            for (_, mean, covariance), count in zip(found, counts, strict=True)
        ]
    )


def _given(readings: Readings, before: _Belief, spread: float) -> tuple[float, Floats, Floats]:
    """Log evidence, posterior mean and covariance of the arms where the spread of a try is known."""
    arms = len(before.means)
    means = np.asarray(before.means)
    prior = before.apart**2 * np.eye(arms) + before.together**2
    design = np.eye(arms)[readings.arms]
    same_block = readings.blocks[:, None] == readings.blocks[None, :]
    noise = before.block**2 * same_block + np.diag(spread**2 + readings.errors**2)
    total = design @ prior @ design.T + noise
    apart = readings.values - design @ means
    root = np.linalg.cholesky(total)
    white = np.linalg.solve(root, apart)
    spanned = np.linalg.solve(root, design @ prior)
    log = -0.5 * float(white @ white) - float(np.log(np.diag(root)).sum())
    return log, means + spanned.T @ white, prior - spanned.T @ spanned
