"""How true foretold break risks are, when the true chances are known.

Every figure is an expectation over the toss that decides a slur, so that none carries the noise of the toss itself:

- Brier score and log loss of a slur that breaks with chance p and was foretold with q: ``p (1 - q)^2 + (1 - p) q^2``
  and ``-p ln q - (1 - p) ln (1 - q)``. The least that any forecast can have is that with q = p, and is told beside.
- Calibration error: slurs of all players are put into bins by what was foretold (`EDGES`); its size is the mean over
  slurs of the distance between the bin's mean forecast and its mean true chance. A forecast that is right on average
  would still show some, since players are few. That floor is found by turning each player's misses about by the toss
  of a coin, and told beside; nothing is taken off.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from slurwright.plan.transition import Floats, Ints

__all__ = ["EDGES", "Bin", "Foretold", "Score", "joined", "scored", "worse_by"]

EDGES = (0.0, 0.02, 0.05, 0.1, 0.2, 0.35, 0.5, 0.75, 1.0)
"""Of the bins of foretold risk."""
_TURNS = 100
_LEAST = 1e-9


@dataclass(frozen=True, slots=True)
class Foretold:
    """What was foretold of slurs, and the truth; all arrays have one entry a slur."""

    player: Ints
    risk: Floats
    truth: Floats
    low: Floats
    high: Floats
    """Ends of the interval for the true chance; both as `risk` where none is given."""


@dataclass(frozen=True, slots=True)
class Bin:
    """One point of the reliability curve."""

    slurs: int
    foretold: float
    """Mean in the bin, 0..1."""
    truth: float


@dataclass(frozen=True, slots=True)
class Score:
    """How true it was."""

    slurs: int
    brier: float
    brier_least: float
    log_loss: float
    """[nat]"""
    log_loss_least: float
    calibration: float
    """Expected calibration error [1]."""
    calibration_floor: float
    """What a forecast that is right on average would show with so many players [1]."""
    coverage: float
    """Share of intervals that hold the truth [1]."""
    width: float
    """Mean width of the intervals [1]."""
    bins: tuple[Bin, ...]


def joined(parts: Sequence[Foretold]) -> Foretold:
    """Put the forecasts of several players together."""
    names = ("player", "risk", "truth", "low", "high")
    return Foretold(*(np.concatenate([getattr(part, name) for part in parts]) for name in names))


def scored(foretold: Foretold) -> Score:
    """Score forecasts of several players."""
    risk, truth = foretold.risk, foretold.truth
    places = np.clip(np.searchsorted(EDGES, risk, side="right") - 1, 0, len(EDGES) - 2)
    size = np.bincount(places, minlength=len(EDGES) - 1)
    held = (foretold.low - _LEAST <= truth) & (truth <= foretold.high + _LEAST)
    return Score(
        slurs=len(risk),
        brier=float(np.mean(_brier(risk, truth))),
        brier_least=float(np.mean(_brier(truth, truth))),
        log_loss=float(np.mean(_log_loss(risk, truth))),
        log_loss_least=float(np.mean(_log_loss(truth, truth))),
        calibration=float(np.abs(np.bincount(places, weights=risk - truth)).sum() / len(risk)),
        calibration_floor=_floor(foretold, places),
        coverage=float(np.mean(held)),
        width=float(np.mean(foretold.high - foretold.low)),
        bins=tuple(
            Bin(int(size[place]), float(risk[places == place].mean()), float(truth[places == place].mean()))
            for place in np.flatnonzero(size).tolist()
        ),
    )


def worse_by(other: Foretold, than: Foretold) -> tuple[float, float]:
    """How much larger one forecast's log loss is than another's, and the standard error of that over players [nat].

    Args:
        other: forecasts of the same slurs in the same order.
        than: what they are compared with.

    """
    more = _log_loss(other.risk, other.truth) - _log_loss(than.risk, than.truth)
    number = np.unique(than.player, return_inverse=True)[1]
    misses = np.bincount(number, weights=more - more.mean())
    return float(more.mean()), float(np.sqrt(misses @ misses) / len(more))


def _brier(risk: Floats, truth: Floats) -> Floats:
    return truth * (1.0 - risk) ** 2 + (1.0 - truth) * risk**2


def _log_loss(risk: Floats, truth: Floats) -> Floats:
    risk = np.clip(risk, _LEAST, 1.0 - _LEAST)
    return -truth * np.log(risk) - (1.0 - truth) * np.log1p(-risk)


def _floor(foretold: Foretold, places: Ints) -> float:
    """Calibration error that is left when the sign of each player's misses is tossed."""
    rng = np.random.default_rng(1)
    number = np.unique(foretold.player, return_inverse=True)[1]
    missed = np.zeros((number.max() + 1, len(EDGES) - 1))
    np.add.at(missed, (number, places), foretold.risk - foretold.truth)
    size = np.bincount(places, minlength=len(EDGES) - 1)
    share = np.zeros_like(missed)
    np.add.at(share, (number, places), 1.0)
    mean = missed.sum(axis=0) / np.maximum(size, 1)
    missed -= share * mean
    signs = rng.choice([-1.0, 1.0], size=(_TURNS, len(missed)))
    return float(np.mean(np.abs(signs @ missed).sum(axis=1)) / len(foretold.risk))
