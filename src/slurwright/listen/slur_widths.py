"""How wide is a figure's interval, and when does the room hide it? From weighed candidates to figures."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from slurwright.listen.figure import Figure, Hidden, Measured, Veil

__all__ = ["Weighed", "measured_of"]

Real = NDArray[np.float64]

_TAILS = np.array([0.05, 0.5, 0.95])


@dataclass(frozen=True, slots=True, eq=False)
class Weighed:
    """Values that a figure may have, with their weights; shape=(candidates,)."""

    values: Real
    weights: Real


@dataclass(frozen=True, slots=True)
class _Width:
    """An interval reaches so far to each side: ``least``, more with the room's amplitude and the period."""

    least: float
    per_room: float
    per_period: float
    spread: float
    """Times what the candidates' own spread says [1]."""
    most: float
    """Wider than this to a side, the figure says nothing."""


_WIDTHS = {
    "time_ms": _Width(1.0, 8.0, 0.25, 1.5, 45.0),
    "dip_db": _Width(0.8, 3.0, 0.02, 1.5, 9.0),
    "dip_ms": _Width(6.0, 20.0, 0.3, 1.5, 70.0),
    "silence_ms": _Width(3.0, 10.0, 0.2, 1.5, 60.0),
    "scoop_cents": _Width(4.0, 15.0, 0.4, 1.5, 120.0),
    "overshoot_cents": _Width(5.0, 15.0, 0.4, 1.5, 120.0),
}


def measured_of(name: str, weighed: Weighed, *, share: float, period_ms: float) -> Measured:
    """Make a figure of weighed candidates.

    Args:
        name: of the figure, a field of ``SlurFigures``.
        weighed: the candidates, in the figure's unit.
        share: power that the room adds, against what comes straight [1].
        period_ms: of the lower note [ms].
    """
    width = _WIDTHS[name]
    order = np.argsort(weighed.values)
    weights = weighed.weights[order]
    below = (np.cumsum(weights) - 0.5 * weights) / weights.sum()
    low, middle, high = np.interp(_TAILS, below, weighed.values[order])
    room = float(np.sqrt(share / (1.0 + share)))
    more = width.least + width.per_room * room + width.per_period * period_ms
    down, up = (more + width.spread * (edge - middle) * sign for edge, sign in ((low, -1.0), (high, 1.0)))
    if max(min(down, middle), up) > width.most:
        return Hidden(Veil.ROOM if share > 0.0 else Veil.SHORT)
    return Figure(float(middle), float(max(0.0, middle - down)), float(middle + up))
