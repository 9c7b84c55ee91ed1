"""A studied part: the line, every note's ways, the plans and the slurs, side by side in one value."""

from dataclasses import dataclass
from datetime import date

from slurwright.horn import Horn
from slurwright.pitch import Reading
from slurwright.plan.values import Plan, SlurReport
from slurwright.plan.ways import Way
from slurwright.score import Line, Notice, Part

__all__ = ["LearntFrom", "Study"]


@dataclass(frozen=True, slots=True)
class LearntFrom:
    """What a player's figures are learnt from."""

    attempts: int
    """At slurs, on all of the player's horns [1]."""
    until: date | None
    """Day of the last one; None where there is none."""


@dataclass(frozen=True, slots=True)
class Study:
    """All that is known about a part on a horn; pages, reports and marked files are drawn from it."""

    part: Part
    """As the player reads it; its notes keep their places in the file."""
    reading: Reading
    """How the player reads it on pages and in reports."""
    horn: Horn
    line: Line
    """Under the conditions asked for: the conductor's dynamic, the rehearsal's tempo."""
    ways: tuple[tuple[Way, ...], ...]
    """For each sound of the line, every way that sounds it, best first."""
    plans: tuple[Plan, ...]
    """Best first, at least one."""
    reports: tuple[SlurReport, ...]
    """One for each slurred move of the best plan."""
    notices: tuple[Notice, ...]
    """The file's own notices and those that planning added."""
    trade_offs: tuple[Plan, ...] = ()
    """Plans from the smoothest to the least smooth between which only taste can choose; empty unless asked for."""
    learnt_from: LearntFrom | None = None
    """What the player's own figures are learnt from; None where the priors stand alone."""
    priors_only: bool = False
    """True where the plans rest on the priors though more is known of the player; reports tell both."""
    otherwise: Plan | None = None
    """The best plan on the other footing: on the priors where the plans rest on what is known of the player, on that
    where they rest on the priors. None where nothing is known."""

    @property
    def plan(self) -> Plan:
        """The best plan."""
        return self.plans[0]

    @property
    def weak(self) -> tuple[SlurReport, ...]:
        """The weak slurs in the order of the part; their numbers on pages and in files count from 1."""
        return tuple(report for report in self.reports if report.weak)
