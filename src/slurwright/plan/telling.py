"""What a player's attempts make of the break risks that are told: each with its prior and its interval.

All the figures of a line are asked for at once, one question a technique.
"""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from slurwright.plan.chances import Chances
from slurwright.plan.known import Known
from slurwright.plan.pricing import Priced, changes_at, place_among
from slurwright.plan.speaking import break_risks
from slurwright.plan.transition import some_changes
from slurwright.plan.values import LearntRisk, Plan, SlurReport, Technique
from slurwright.plan.ways import Way

__all__ = ["with_learnt"]

_Entry = tuple[int, int, int, Technique]
"""(move, place among the ways of its first note, of its second, technique)."""


def with_learnt(
    reports: Sequence[SlurReport], plan: Plan, priced: Priced, known: Known, *, chances: Chances
) -> tuple[SlurReport, ...]:
    """Say of each break risk in reports what it rests on.

    Args:
        reports: of the slurs of a line.
        plan: the plan that they are of.
        priced: the line with its ways.
        known: what is known of the player.
        chances: the priors.

    """
    entries = dict.fromkeys(entry for report in reports for entry in _entries(report, plan, priced))
    figures = _figures(tuple(entries), priced, known, chances)
    return tuple(_told(report, plan, priced, figures) for report in reports)


def _entries(report: SlurReport, plan: Plan, priced: Priced) -> list[_Entry]:
    """Every way to play a slur of which a report tells the risk."""
    chosen = [_entry(report.move, choice.ways, choice.technique, priced) for choice in report.choices]
    return [_as_planned(report, plan, priced), *chosen]


def _as_planned(report: SlurReport, plan: Plan, priced: Priced) -> _Entry:
    move = priced.line.moves[report.move]
    ways = plan.ways[move.source], plan.ways[move.target]
    return _entry(report.move, ways, plan.techniques[report.move], priced)


def _entry(index: int, ways: tuple[Way, Way], technique: Technique, priced: Priced) -> _Entry:
    move = priced.line.moves[index]
    first = place_among(priced.ways[move.source], ways[0])
    return index, first, place_among(priced.ways[move.target], ways[1]), technique


def _told(report: SlurReport, plan: Plan, priced: Priced, figures: dict[_Entry, LearntRisk]) -> SlurReport:
    """Add the figures to a report and its choices."""
    planned, *chosen = _entries(report, plan, priced)
    choices = tuple(
        replace(choice, learnt=figures[entry]) for choice, entry in zip(report.choices, chosen, strict=True)
    )
    return replace(report, choices=choices, learnt=figures[planned])


def _figures(entries: Sequence[_Entry], priced: Priced, known: Known, chances: Chances) -> dict[_Entry, LearntRisk]:
    """Ask for the figures of all entries."""
    changes = changes_at(priced, [entry[:3] for entry in entries], chances=chances)
    found: dict[_Entry, LearntRisk] = {}
    for technique in Technique:
        mine = [place for place, entry in enumerate(entries) if entry[-1] is technique]
        if not mine:
            continue
        some = some_changes(changes, np.array(mine, dtype=np.int64))
        prior = break_risks(some, technique, chances=chances, slide=priced.table.slide)
        told = known.risk_figures(prior, priced.table, some, technique)
        columns = (told.risk, told.prior, told.low, told.high, told.attempts)
        rows = zip(*(column.tolist() for column in columns), strict=True)
        found |= {entries[place]: LearntRisk(*row) for place, row in zip(mine, rows, strict=True)}
    return found
