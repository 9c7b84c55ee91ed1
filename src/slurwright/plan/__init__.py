"""Plan: the ways of each note, the chances of each move, and the best path through a part."""

from slurwright.plan.values import Choice, Plan, PlanRequest, SlurKind, SlurReport, Technique, Weights
from slurwright.plan.ways import Way

__all__ = ["Choice", "Plan", "PlanRequest", "SlurKind", "SlurReport", "Technique", "Way", "Weights"]
