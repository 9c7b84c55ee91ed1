"""The best plans of a line: which way for each note, and where asked for, which technique for each slur.

A plan costs the sum of three negative logs, each with its weight: of every note being in tune enough and even, of
every slur speaking, and of the fingers making every change. What is played several times counts as often. The
search is exact: the plans given are the cheapest there are, found as the cheapest walks through a trellis with one
layer a sound (see `trellis`, `finishing` and `jumps`); a written note has the same way each time it is played.

Equal costs are decided by rule: each step down the order in which `ways_of` tells a note's ways costs 2^-36 nat
more, so the normal way comes before any other and the simpler fingering before the less simple.
"""

import math
import sys
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from slurwright.errors import Fault, FingeringError, PlanError, RequestError
from slurwright.horn import Horn, HornKind, Reach, fingerings_of
from slurwright.plan.chances import Chances
from slurwright.plan.familiar import Familiarity
from slurwright.plan.jumps import best_walks
from slurwright.plan.known import Known
from slurwright.plan.pricing import BRANCHES, Priced, cut_up, price_line
from slurwright.plan.transition import Bools, Floats
from slurwright.plan.trellis import GRID, Jump, Trellis, Walk, on_grid
from slurwright.plan.values import Plan, PlanRequest, Weights
from slurwright.score import Line

__all__ = ["cheapest_plans", "check_request", "logs_of", "plan_line"]

_HEAVIEST = 1000.0
"""Greatest weight: with more, the costs of a long part outgrow what is added without error (ours) [1]."""


def plan_line(
    line: Line,
    horn: Horn,
    *,
    chances: Chances,
    request: PlanRequest | None = None,
    reach: Reach | None = None,
    familiarity: Familiarity | None = None,
    known: Known | None = None,
) -> tuple[Plan, ...]:
    """Find the best plans of a line on a horn, best first, no two alike; fewer than asked if there are no more.

    Args:
        line: the sounds and moves.
        horn: the instrument.
        chances: the priors of notes, slurs and fingers.
        request: pins, bans, limits, weights; None asks for the best plan.
        reach: how far out a way may lie; None for the usual limits.
        familiarity: priors of familiarity; None for the built-in ones.
        known: what is known of the player beyond the priors; None leaves these.

    Raises:
        FingeringError: a pin or ban names a fingering that the horn lacks or that cannot sound the note.
        PlanError: a note that nothing sounds, or pins, bans and limits that leave nothing.
        RequestError: a number of the request is out of range.

    """
    request = request or PlanRequest()
    check_request(request, line, horn)
    priced = price_line(
        line,
        horn,
        chances=chances,
        choose_techniques=request.techniques,
        reach=reach,
        familiarity=familiarity,
        known=known,
    )
    return cheapest_plans(priced, request)


def cheapest_plans(priced: Priced, request: PlanRequest) -> tuple[Plan, ...]:
    """Find the best plans of a line whose costs are known already.

    Args:
        priced: the costs.
        request: pins, bans, limits, weights.

    Raises:
        FingeringError: a pin cannot sound its note.
        PlanError: pins, bans and limits leave nothing.

    """
    allowed = _allowed(priced, request)
    trellis, links = _trellis(priced, request.weights, allowed)
    walks = best_walks(trellis, request.best, most_departures=request.most_changes)
    if not walks:
        least = sum(not (marks & ~flags).any() for marks, flags in zip(allowed, trellis.departures, strict=True))
        raise PlanError(
            "no plan has so few changes",
            got=f"at most {request.most_changes}",
            allowed=f"{least} or more, because of pins and bans",
        )
    reader = _Reader(priced, links)
    return tuple(reader.plan(walk, request.weights) for walk in walks)


def check_request(request: PlanRequest, line: Line, horn: Horn) -> None:
    """Refuse numbers out of range, and names of fingerings that do not exist.

    Raises:
        FingeringError: a pin or ban names a fingering that the horn lacks.
        PlanError: no notes, or a pin or ban at a note that is not there.
        RequestError: a number is out of range.

    """
    weights = request.weights
    if not line.sounds:
        raise PlanError("no notes to plan")
    if request.best < 1:
        raise RequestError("how many plans", got=str(request.best), allowed="1 or more")
    if request.most_changes is not None and request.most_changes < 0:
        raise RequestError("most changes", got=str(request.most_changes), allowed="0 or more")
    for name, value in (("smooth", weights.smooth), ("in tune", weights.in_tune), ("familiar", weights.familiar)):
        if not 0.0 <= value <= _HEAVIEST:
            raise RequestError(f"weight of {name}", got=str(value), allowed=f"a number from 0 to {_HEAVIEST:g}")
    placed = {*request.pins, *(sound for sound, _ in request.bans if sound is not None)}
    outside = sorted(sound for sound in placed if not 0 <= sound < len(line.sounds))
    if outside:
        raise PlanError("a pin or ban at a note that is not there", got=f"sound {outside[0] + 1}")
    known = fingerings_of(horn)
    named = {*request.pins.values(), *(fingering for _, fingering in request.bans)}
    strange = sorted(named - set(known))
    if strange:
        kind = "position" if horn.kind is HornKind.SLIDE else "fingering"
        raise FingeringError(
            faults=tuple(
                Fault(f"no such {kind} on {horn.name}", got=name, allowed=", ".join(known)) for name in strange
            )
        )


def _allowed(priced: Priced, request: PlanRequest) -> list[Bools]:
    """Which ways of each sound pins and bans leave."""
    masks: dict[int, Bools] = {}
    some: dict[int, bool] = {}
    everywhere = {fingering for sound, fingering in request.bans if sound is None}
    special = {*request.pins, *(sound for sound, _ in request.bans if sound is not None)}
    found: list[Bools] = []
    faults = _Faults([], [])
    for sound, (ways, (start, _)) in enumerate(zip(priced.ways, priced.rows, strict=True)):
        if start not in masks:
            masks[start] = np.array([way.fingering not in everywhere for way in ways], dtype=np.bool_)
            some[start] = bool(masks[start].any())
        marks, left_some = masks[start], some[start]
        if sound in special:
            pin = request.pins.get(sound)
            left = [pin in (None, way.fingering) and (sound, way.fingering) not in request.bans for way in ways]
            marks = marks & np.array(left, dtype=np.bool_)
            left_some = bool(marks.any())
        if not left_some:
            faults.add(priced, sound, request.pins.get(sound))
        found.append(marks)
    faults.raise_any()
    return found


@dataclass(frozen=True, slots=True)
class _Faults:
    """Notes that pins and bans leave without a way."""

    unsounded: list[Fault]
    """A pin that cannot sound its note."""
    empty: list[Fault]
    """Nothing left."""

    def add(self, priced: Priced, sound: int, pin: str | None) -> None:
        """Say what is wrong at a sound."""
        labels = ", ".join(dict.fromkeys(way.fingering for way in priced.ways[sound]))
        pitch = priced.line.sounds[sound].sounding
        where = f"sound {sound + 1}"
        if pin is not None and all(way.fingering != pin for way in priced.ways[sound]):
            self.unsounded.append(Fault(f"this fingering cannot sound {pitch}", got=pin, allowed=labels, where=where))
            return
        got = f"banned: {labels}" if pin is None else f"pinned to {pin}, which is banned"
        self.empty.append(Fault(f"nothing is left to sound {pitch}", got=got, where=where))

    def raise_any(self) -> None:
        """Raise the worse kind first."""
        if self.unsounded:
            raise FingeringError(faults=tuple(self.unsounded))
        if self.empty:
            raise PlanError(faults=tuple(self.empty))


def _trellis(priced: Priced, weights: Weights, allowed: Sequence[Bools]) -> tuple[Trellis, Floats]:
    """Lay weights on the costs: the trellis, and the weighted cost of every change, shape=(changes, branches)."""
    with np.errstate(invalid="ignore"):
        fingers = np.where(np.isinf(priced.fingers), np.inf, weights.familiar * priced.fingers)
    once = weights.smooth * priced.smooth + fingers
    links = on_grid(np.where(np.isinf(once), np.inf, once * priced.times[:, None]))
    branches = links.shape[1] if links.size else 1
    states = _state_costs(priced, weights, allowed)
    jumps = []
    for index, move in enumerate(priced.line.moves):
        if move.target == move.source + 1:
            continue
        costs = links[priced.block(index)].min(axis=1).reshape(priced.shape(move.source, move.target))
        if move.source == move.target:
            states[move.source] = states[move.source] + np.diagonal(costs)
        elif move.source < move.target:
            jumps.append(Jump(move.source, move.target, costs))
        else:
            jumps.append(Jump(move.target, move.source, costs.T))
    departures = {row: ~priced.table.normal[slice(*row)] for row in set(priced.rows)}
    trellis = Trellis(
        states=tuple(states),
        links=links.ravel(),
        places=tuple(step * branches for step in priced.steps),
        branches=branches,
        jumps=tuple(jumps),
        departures=tuple(departures[row] for row in priced.rows),
    )
    return trellis, links


def _state_costs(priced: Priced, weights: Weights, allowed: Sequence[Bools]) -> list[Floats]:
    """Cost of each way of each sound, with the order of ways as the last word; infinity where it is not allowed."""
    sizes = [len(marks) for marks in allowed]
    costs = weights.in_tune * np.concatenate(priced.in_tune) + weights.familiar * np.concatenate(priced.starts)
    order = GRID * np.concatenate([np.arange(size) for size in sizes])
    costs = np.where(np.concatenate(allowed), on_grid(costs) + order, np.inf)
    return list(cut_up(costs, sizes))


def logs_of(plan: Plan) -> tuple[float, float, float]:
    """Give a plan's three negative logs: in tune, slurs, fingers."""
    return -math.log(plan.chance_in_tune), -math.log(plan.chance_slurs), -math.log(plan.chance_fingers)


class _Reader:
    """Reads walks as plans and adds their logs up."""

    def __init__(self, priced: Priced, links: Floats) -> None:
        self._priced = priced
        moves = priced.line.moves
        self._source = np.array([move.source for move in moves], dtype=np.int64)
        self._target = np.array([move.target for move in moves], dtype=np.int64)
        self._places = np.array(priced.places, dtype=np.int64)
        self._starts = np.array([start for start, _ in priced.rows], dtype=np.int64)
        self._widths = np.array([len(ways) for ways in priced.ways], dtype=np.int64)
        self._ends = np.concatenate([[0], np.cumsum(self._widths)[:-1]])
        self._in_tune = np.concatenate(priced.in_tune)
        self._at_hand = np.concatenate(priced.starts)
        self._links = links

    def plan(self, walk: Walk, weights: Weights) -> Plan:
        """Read one walk."""
        priced = self._priced
        states = np.array(walk.states, dtype=np.int64)
        rows = self._places + states[self._source] * self._widths[self._target] + states[self._target]
        branch = self._links[rows].argmin(axis=1) if len(rows) else rows
        chained = np.flatnonzero(self._target == self._source + 1)
        branch[chained] = np.array(walk.branches, dtype=np.int64)[self._source[chained]]
        times = priced.times[rows]
        tune = math.fsum(self._in_tune[self._ends + states])
        slurs = math.fsum(priced.smooth[rows, branch] * times)
        fingers = math.fsum(priced.fingers[rows, branch] * times) + math.fsum(self._at_hand[self._ends + states])
        techniques = [BRANCHES[place] for place in priced.techniques[rows, branch].tolist()]
        return Plan(
            ways=tuple(ways[state] for ways, state in zip(priced.ways, walk.states, strict=True)),
            techniques=tuple(techniques),
            chance_in_tune=_chance(tune),
            chance_slurs=_chance(slurs),
            chance_fingers=_chance(fingers),
            cost=weights.in_tune * tune + weights.smooth * slurs + weights.familiar * fingers,
            changes=int(np.count_nonzero(~priced.table.normal[self._starts + states])),
        )


def _chance(cost: float) -> float:
    """Chance that a cost stands for, never quite zero [1]."""
    return max(sys.float_info.min, math.exp(-cost))
