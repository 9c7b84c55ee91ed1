"""From when something is said of a player's progress, and what is believed of their notes' pitch over weeks."""

from dataclasses import dataclass

__all__ = ["NoteRules", "ProgressTable", "SlurRules"]


@dataclass(frozen=True, slots=True)
class SlurRules:
    """When something is said of a slur."""

    least_attempts: float
    """Fewer are too few to say anything [1]."""
    least_days: float
    """On so many days at least [1]."""
    practised: float
    """From so many attempts on a slur was practised [1]."""
    sure: float
    """Chance from which a change is told, 0..1 [1]."""
    worth: float
    """Change of the chance of speaking that is worth telling, 0..1 [1]."""
    holds: float
    """Chance of speaking that leaves little to wish for, 0..1 [1]."""
    settle: float
    """Attempts that each of two choices needs before one is called no better [1]."""


@dataclass(frozen=True, slots=True)
class NoteRules:
    """When something is said of a note's pitch, and what is believed of it before."""

    least_takes: float
    """Fewer are too few to say anything [1]."""
    least_days: float
    """On so many days at least [1]."""
    sure: float
    """Chance from which a change is told, 0..1 [1]."""
    worth_cents: float
    """Change of the distance from the target that is worth telling [cents]."""
    holds_cents: float
    """Distance from the target that leaves little to wish for [cents]."""
    told_cents: float
    """A whole take so far from the others is told apart [cents]."""
    level_sd_cents: float
    """How far notes lie from their targets [cents]."""
    take_sd_cents: float
    """How far whole takes lie from one another [cents]."""
    tail: float
    """Degrees of freedom of the Student spread of single takes [1]."""
    scatter_cents: tuple[float, ...]
    """Sizes of a note's scatter from take to take that are tried; the data choose [cents]."""
    wander_cents: tuple[float, ...]
    """Sizes of a note's wandering in a week that are tried; the data choose [cents]."""


@dataclass(frozen=True, slots=True)
class ProgressTable:
    """All of it."""

    slurs: SlurRules
    notes: NoteRules
