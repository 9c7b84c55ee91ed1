"""What is known of a player beyond the priors, as the plan asks for it.

The plan computes every chance from its priors first and hands it to a `Known`, which gives it back as this player's.
Where there is none, the priors stand. So the plan needs to know nothing of attempts, and what learns from attempts
uses the very features that the plan uses.
"""

from dataclasses import dataclass
from typing import Protocol

from slurwright.plan.transition import Changes, Floats, Ints, WayTable
from slurwright.plan.values import Technique

__all__ = ["Known", "RiskFigures"]


@dataclass(frozen=True, slots=True)
class RiskFigures:
    """Break risks with their intervals; all arrays have one entry a change."""

    prior: Floats
    """What the table of priors says, 0..1."""
    risk: Floats
    """Predictive chance of a break for this player, 0..1."""
    low: Floats
    """End of the interval that holds the player's own risk nine times in ten, 0..1."""
    high: Floats
    """Its other end, 0..1."""
    attempts: Floats
    """How many attempts at this very pair of ways, in this technique, bear on it, older ones counted less [1]."""


class Known(Protocol):
    """A player as far as their attempts tell."""

    def break_risks(self, prior: Floats, table: WayTable, changes: Changes, technique: Technique) -> Floats:
        """Predictive chance that each slur does not speak cleanly, shape=(changes,) [1].

        Args:
            prior: the same from the priors, shape=(changes,) [1].
            table: the ways that the changes lead between.
            changes: features of the slurred changes.
            technique: how all of them are played.

        """
        ...

    def risk_figures(self, prior: Floats, table: WayTable, changes: Changes, technique: Technique) -> RiskFigures:
        """The same with intervals and the number of attempts behind them.

        Args:
            prior: from the priors, shape=(changes,) [1].
            table: the ways that the changes lead between.
            changes: features of the slurred changes.
            technique: how all of them are played.

        """
        ...

    def at_hand(self, prior: Floats, table: WayTable, rows: Ints) -> Floats:
        """Chance that the player has each way at their fingers' command when it comes, shape=(rows,) [1].

        Args:
            prior: the same from the priors, shape=(rows,) [1].
            table: the ways.
            rows: rows asked for, shape=(rows,) [1].

        """
        ...

    def finger_misses(self, prior: Floats, table: WayTable, changes: Changes) -> Floats:
        """Chance that fingers, thumb or arm do not arrive, shape=(changes,) [1].

        Args:
            prior: the same from the priors, shape=(changes,) [1].
            table: the ways that the changes lead between.
            changes: features of the changes.

        """
        ...

    def comes_as_meant(self, prior: float, technique: Technique) -> float:
        """Chance that a technique comes as meant, 0..1 [1].

        Args:
            prior: the same from the priors [1].
            technique: legato tongue or half-valve.

        """
        ...
