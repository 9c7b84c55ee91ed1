"""Some weeks of a made-up player: what was learnt of her weak slurs, beside what the priors said and what is true.

What is played and measured in these weeks is the business of ``wiring``.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, timedelta

from slurwright.evidence.learning.learn import Learnt, risk_on
from slurwright.jobs.demo.player import MadeUpPlayer, Pair, pair_of, true_risks
from slurwright.jobs.tried import tried_at
from slurwright.plan import Technique
from slurwright.plan.chances import Chances
from slurwright.plan.study import Study

__all__ = ["SlurThen", "Visit", "slurs_then", "tries_of", "visits"]

_LESSONS = (0, 2, 4)
"""Days of each week on which there is a take, counted from its first."""
_WAYS = (Technique.PLAIN, Technique.LEGATO_TONGUE, Technique.HALF_VALVE)
"""What is tried at the weak slurs on these days: the plain slur first."""


@dataclass(frozen=True, slots=True)
class Visit:
    """One take that is going to be played."""

    day: date
    technique: Technique
    """What is tried at the weak slurs."""


@dataclass(frozen=True, slots=True)
class SlurThen:
    """One weak slur in one technique, after the weeks."""

    pair: Pair
    technique: Technique
    prior: float
    """Chance of a break by the priors, 0..1."""
    learnt: float
    """Chance of a break as learnt, 0..1."""
    low: float
    high: float
    """Ends of the interval that holds the player's own chance nine times in ten, 0..1."""
    attempts: float
    """At this very pair in this technique, older ones counted less."""
    true: float
    """As it was made up, on the last day, 0..1."""


def visits(weeks: int, *, until: date) -> tuple[Visit, ...]:
    """Lay the takes out in time, three a week.

    Args:
        weeks: how many, at least 1.
        until: last day of the last week.
    """
    start = until - timedelta(days=7 * weeks - 1)
    return tuple(
        Visit(start + timedelta(days=7 * week + day), technique)
        for week in range(weeks)
        for day, technique in zip(_LESSONS, _WAYS, strict=True)
    )


def tries_of(study: Study, technique: Technique) -> dict[int, Technique]:
    """Say at which moves a technique is tried: at the weak slurs that it is a choice for.

    Args:
        study: the part, written out as it is played.
        technique: what to try.
    """
    offered = {
        report.move
        for report in study.weak
        for choice in report.choices
        if choice.technique is technique and choice.ways == _planned(study, report.move)
    }
    return {} if technique is Technique.PLAIN else dict.fromkeys(sorted(offered), technique)


def _planned(study: Study, move: int) -> tuple[object, object]:
    asked = study.line.moves[move]
    return study.plan.ways[asked.source], study.plan.ways[asked.target]


def slurs_then(
    study: Study, learnt: Learnt, player: MadeUpPlayer, *, played: Mapping[Pair, int], chances: Chances
) -> tuple[SlurThen, ...]:
    """Set what the priors say of each weak slur beside what was learnt and what is true.

    A pair of notes that comes several times is told where it is weakest.

    Args:
        study: the part as it was practised, written out as it is played.
        learnt: the player as far as their takes tell.
        player: who played.
        played: how often each pair was played.
        chances: the priors.
    """
    tries = {technique: tries_of(study, technique) for technique in _WAYS}
    true = {
        technique: true_risks(player, study, chances=chances, tried=tries[technique], played=played)
        for technique in _WAYS
    }
    told: dict[Pair, list[SlurThen]] = {}
    for report in sorted(study.weak, key=lambda one: -one.break_risk):
        pair = pair_of(study, report.move)
        if pair in told:
            continue
        told[pair] = []
        for technique in _WAYS:
            if technique is not Technique.PLAIN and report.move not in tries[technique]:
                continue
            tried = tried_at(study, report.move, technique=technique, chances=chances)
            (now,) = risk_on(learnt, study.horn, tried, days=[learnt.today])
            here = true[technique][report.move]
            told[pair].append(SlurThen(pair, technique, now.prior, now.risk, now.low, now.high, now.attempts, here))
    return tuple(one for slurs in told.values() for one in slurs)
