"""What can be had for what: the plans between smooth, in tune and familiar.

A plan lies on the frontier if no other plan is at least as good in all three chances and better in one. Those of
them that are best for some weights (the supported ones, on the convex hull of the three logs) are found by laying
many weights on the same costs; plans that lie in a dent of the hull are not, and would be best for no weights. The
weights asked for are fixed, so the same line gives the same plans.
"""

from dataclasses import replace
from itertools import product

from slurwright.horn import Horn, Reach
from slurwright.plan.chances import Chances
from slurwright.plan.familiar import Familiarity
from slurwright.plan.known import Known
from slurwright.plan.pricing import Priced, price_line
from slurwright.plan.search import cheapest_plans, check_request, logs_of
from slurwright.plan.values import Plan, PlanRequest, Weights
from slurwright.score import Line

__all__ = ["MOST_ON_FRONTIER", "frontier"]

MOST_ON_FRONTIER = 8
"""More plans than this are not compared by anyone (ours) [1]."""
_LEANINGS = (0.2, 1.0, 5.0)
"""How strongly a log can be weighed against the others (ours) [1]."""


def frontier(
    line: Line,
    horn: Horn,
    *,
    chances: Chances,
    request: PlanRequest | None = None,
    reach: Reach | None = None,
    familiarity: Familiarity | None = None,
    known: Known | None = None,
) -> tuple[Plan, ...]:
    """Find the plans between which only taste can choose, from the smoothest to the least smooth.

    The best plan at the weights asked for is always among them; each plan's cost is the one at these weights. If
    there are more than `MOST_ON_FRONTIER`, those are left away that lie nearest to one that is kept.

    Args:
        line: the sounds and moves.
        horn: the instrument.
        chances: the priors of notes, slurs and fingers.
        request: pins, bans, limits and weights; the number of plans is not used. None asks for nothing.
        reach: how far out a way may lie; None for the usual limits.
        familiarity: priors of familiarity; None for the built-in ones.
        known: what is known of the player beyond the priors; None leaves these.

    Raises:
        FingeringError: as `plan_line`.
        PlanError: as `plan_line`.
        RequestError: as `plan_line`.

    """
    asked = replace(request or PlanRequest(), best=1)
    check_request(asked, line, horn)
    priced = price_line(
        line,
        horn,
        chances=chances,
        choose_techniques=asked.techniques,
        reach=reach,
        familiarity=familiarity,
        known=known,
    )
    first = cheapest_plans(priced, asked)[0]
    found = {_key(first): first}
    for leaning in _leanings():
        plan = _plan_at(priced, asked, leaning)
        found.setdefault(_key(plan), plan)
    kept = [plan for plan in found.values() if not any(_beats(other, plan) for other in found.values())]
    return tuple(sorted(_spread_out(first, kept), key=lambda plan: (logs_of(plan)[1], logs_of(plan))))


def _leanings() -> tuple[tuple[float, float, float], ...]:
    """Factors on the three weights (smooth, in tune, familiar), each direction once."""
    directions: dict[tuple[float, ...], tuple[float, float, float]] = {}
    for smooth, in_tune, familiar in product(_LEANINGS, repeat=3):
        leaning = smooth, in_tune, familiar
        directions.setdefault(tuple(round(factor / max(leaning), 6) for factor in leaning), leaning)
    return tuple(directions.values())


def _plan_at(priced: Priced, asked: PlanRequest, leaning: tuple[float, float, float]) -> Plan:
    """Find the best plan with factors on the weights; its cost is told at the weights asked for."""
    base = asked.weights
    leaned = Weights(
        smooth=base.smooth * leaning[0], in_tune=base.in_tune * leaning[1], familiar=base.familiar * leaning[2]
    )
    plan = cheapest_plans(priced, replace(asked, weights=leaned))[0]
    tune, slurs, fingers = logs_of(plan)
    return replace(plan, cost=base.in_tune * tune + base.smooth * slurs + base.familiar * fingers)


def _key(plan: Plan) -> tuple[object, ...]:
    return (*((way.fingering, way.partial) for way in plan.ways), *plan.techniques)


def _beats(one: Plan, other: Plan) -> bool:
    """Say whether a plan is at least as good in all three and better in one."""
    ours, theirs = logs_of(one), logs_of(other)
    return ours != theirs and all(mine <= yours for mine, yours in zip(ours, theirs, strict=True))


def _spread_out(first: Plan, plans: list[Plan]) -> list[Plan]:
    """Keep the plans that lie furthest apart, the first one in any case."""
    if len(plans) <= MOST_ON_FRONTIER:
        return plans
    kept = [first]
    rest = [plan for plan in plans if plan is not first]
    while len(kept) < MOST_ON_FRONTIER:
        furthest = max(rest, key=lambda plan: min(_apart(plan, other) for other in kept))
        kept.append(furthest)
        rest.remove(furthest)
    return kept


def _apart(one: Plan, other: Plan) -> float:
    """How far two plans lie apart in their logs [nat]."""
    return sum(abs(mine - yours) for mine, yours in zip(logs_of(one), logs_of(other), strict=True))
