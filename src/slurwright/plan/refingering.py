"""Which other fingerings of a slur are worth telling a player.

The normal fingerings, where the plan leaves them. Beyond that only what makes the slur safer. Of one note changed:
the alternates that are learnt first, always; others if the slur and its neighbours go right in tune at least as
likely as with the plan, and no other choice beats them. Of both notes changed: only what is likelier to go right than
anything with one note changed.
"""

import operator
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from slurwright.plan.transition import Bools, Floats, Ints
from slurwright.plan.ways import Way

__all__ = ["MOST_REFINGERINGS", "Table", "Tried", "worth_telling"]

MOST_REFINGERINGS = 4
"""More choices than this confuse more than they help (ours) [1]."""


@dataclass(frozen=True, slots=True)
class Tried:
    """One way to play a slur, by places in the lists of its two notes' ways."""

    first: int
    second: int
    branch: int
    risk: float
    around: float
    merit: float
    """`around` with both notes in tune: what choices are ranked by."""


@dataclass(frozen=True, slots=True)
class Table:
    """All ways to play one slur."""

    ways: tuple[Sequence[Way], Sequence[Way]]
    """Of its two notes."""
    usual: Ints
    """Technique in which each pair of ways is played as a matter of course, shape=(first, second)."""
    risks: Floats
    """Break risk, shape=(first, second, technique)."""
    around: Floats
    """Chance that the slur and its neighbours go right; 0 where a technique cannot be played."""
    merits: Floats

    def tried(self, first: int, second: int, branch: int) -> Tried:
        """Give one entry."""
        at = first, second, branch
        return Tried(*at, float(self.risks[at]), float(self.around[at]), float(self.merits[at]))


def worth_telling(table: Table, stands: Tried, *, taught: Callable[[Tried], bool]) -> list[Tried]:
    """Pick the refingerings to tell, one note changed before both, the best first in each.

    Args:
        table: all that could be done.
        stands: the slur as planned.
        taught: whether a choice that changes one note takes an alternate that players learn first.

    """
    here = (np.arange(table.usual.shape[0]) == stands.first)[:, None]
    there = (np.arange(table.usual.shape[1]) == stands.second)[None, :]
    safer = _safer(table, stands, here ^ there, 0.0)
    known = [one for one in safer if taught(one)]
    others = [one for one in _undominated(table, safer) if one.merit >= stands.merit and one not in known]
    told = sorted(known + sorted(others, key=_best_first)[: max(0, MOST_REFINGERINGS - len(known))], key=_best_first)
    best = max(one.merit for one in (stands, *safer))
    pairs = [one for one in _safer(table, stands, ~(here | there), best) if one.merit > best]
    told += sorted(_undominated(table, pairs), key=_best_first)[: max(0, MOST_REFINGERINGS - len(told))]
    back = _all_normal(table, stands)
    return told if back is None else [back, *(one for one in told if one != back)]


def _all_normal(table: Table, stands: Tried) -> Tried | None:
    """Both notes as they are taught, if the plan leaves that and the horn has it."""
    first, second = (next((place for place, way in enumerate(ways) if way.normal), None) for ways in table.ways)
    if first is None or second is None or (first, second) == (stands.first, stands.second):
        return None
    return table.tried(first, second, int(table.usual[first, second]))


def _safer(table: Table, stands: Tried, among: Bools, least: float) -> list[Tried]:
    """List the pairs among some that lower the risk and have at least a merit."""
    usual = table.usual[:, :, None]
    risks = np.take_along_axis(table.risks, usual, axis=2)[:, :, 0]
    merits = np.take_along_axis(table.merits, usual, axis=2)[:, :, 0]
    places = np.argwhere(among & (risks < stands.risk) & (merits >= least)).tolist()
    return [table.tried(first, second, int(table.usual[first, second])) for first, second in places]


def _undominated(table: Table, tried: Sequence[Tried]) -> list[Tried]:
    """Drop what another beats, or equals, in risk, tuning, familiarity and merit together."""
    scores = [_scores(table, one) for one in tried]
    return [
        one
        for one, score in zip(tried, scores, strict=True)
        if not any(other != score and all(map(operator.le, other, score)) for other in scores)
    ]


def _scores(table: Table, one: Tried) -> tuple[float, ...]:
    """Smaller is better in each."""
    first, second = table.ways[0][one.first], table.ways[1][one.second]
    return one.risk, max(abs(first.cents), abs(second.cents)), -first.usual * second.usual, -one.merit


def _best_first(one: Tried) -> tuple[float, int, int]:
    return -one.merit, one.first, one.second
