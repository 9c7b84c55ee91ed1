"""Plan: the ways of each note, the chances of each move, and the best path through a part."""

from slurwright.plan.values import Choice, Plan, PlanRequest, SlurKind, SlurReport, Technique, Weights
from slurwright.plan.ways import Familiarity, Reach, Way, notes_of_range, tie_groups, tied, ways_of

__all__ = [
    "Choice",
    "Familiarity",
    "Plan",
    "PlanRequest",
    "Reach",
    "SlurKind",
    "SlurReport",
    "Technique",
    "Way",
    "Weights",
    "notes_of_range",
    "tie_groups",
    "tied",
    "ways_of",
]
