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


# fitted on simulated slurs in four rooms, so that nine in ten truths lie inside
_WIDTHS = {
    "time_ms": _Width(least=1.7, per_room=15.0, per_period=0.18, spread=1.4, most=32.0),
    "dip_db": _Width(least=0.6, per_room=3.4, per_period=0.02, spread=1.2, most=10.5),
    "dip_ms": _Width(least=5.0, per_room=16.0, per_period=0.3, spread=1.2, most=60.0),
    "silence_ms": _Width(least=3.0, per_room=4.0, per_period=0.15, spread=1.2, most=40.0),
    "scoop_cents": _Width(least=6.5, per_room=8.0, per_period=0.25, spread=1.3, most=90.0),
    "overshoot_cents": _Width(least=7.0, per_room=8.0, per_period=0.25, spread=1.3, most=90.0),
}
_HASTE = {"time_ms": 10.0}
"""What is left of the tail makes a change seem quicker: by so much times the room's share of the power."""


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
    power = share / (1.0 + share)
    room = float(np.sqrt(power))
    late = _HASTE.get(name, 0.0) * power
    low, middle, high = low + late, middle + late, high + late
    more = width.least + width.per_room * room + width.per_period * period_ms
    down, up = (more + width.spread * (edge - middle) * sign for edge, sign in ((low, -1.0), (high, 1.0)))
    if max(min(down, middle), up) > width.most:
        return Hidden(Veil.ROOM if share > 0.0 else Veil.SHORT)
    return Figure(float(middle), float(max(0.0, middle - down)), float(middle + up))
