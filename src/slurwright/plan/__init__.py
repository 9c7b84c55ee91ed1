"""Plan: the ways of each note, the chances of each move, and the best path through a part."""

from slurwright.plan.chances import Chances
from slurwright.plan.choices import slur_reports
from slurwright.plan.search import plan_line
from slurwright.plan.values import Choice, Plan, PlanRequest, SlurKind, SlurReport, Technique, Weights
from slurwright.plan.ways import Way, notes_of_range, tie_groups, ways_of

__all__ = [
    "Chances",
    "Choice",
    "Plan",
    "PlanRequest",
    "SlurKind",
    "SlurReport",
    "Technique",
    "Way",
    "Weights",
    "notes_of_range",
    "plan_line",
    "slur_reports",
    "tie_groups",
    "ways_of",
]
