"""A figure that was measured, with its interval; or the reason why there is none."""

from dataclasses import dataclass
from enum import Enum

__all__ = ["NINE_IN_TEN", "Figure", "Hidden", "Measured", "Veil"]

NINE_IN_TEN = 1.645
"""Half of an interval that holds nine in ten, in standard deviations of a normal spread (derived) [1]."""


@dataclass(frozen=True, slots=True)
class Figure:
    """A measured figure and the interval that holds the truth nine times in ten; the unit stands with the field."""

    value: float
    low: float
    high: float

    @property
    def sd(self) -> float:
        """Standard error that the interval stands for, in the figure's own unit."""
        return (self.high - self.low) / (2.0 * NINE_IN_TEN)


class Veil(Enum):
    """What can hide a figure."""

    ROOM = "room"
    """The room is too live: it still sounds of what was before."""
    SHORT = "short"
    """The sound is too short for its pitch."""
    SOFT = "soft"
    """The sound hardly stands out from the noise."""
    BETWEEN = "between"
    """Another note sounded between the two: what is asked of one move has no meaning for two."""
    UNHEARD = "unheard"
    """What was to be measured did not sound."""


@dataclass(frozen=True, slots=True)
class Hidden:
    """There is no figure, and why."""

    why: Veil


Measured = Figure | Hidden
