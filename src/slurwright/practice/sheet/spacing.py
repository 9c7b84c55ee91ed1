"""When a slur that holds is looked at again: after a day; then after twice as long each time that it went well.

A slur that is weak needs no such rule: it is on the sheet on every day on which a try of it buys more than a try of
another, see `allotting`. What has become good drops off the sheet, and this rule brings it back for one set of tries,
so that what was learnt of it does not grow old: after 1, 2, 4, 8 … days, `longest_days` at most, and on the day
before the concert at the latest. A day on which it did not go well begins the count anew.

Doubling is ours, provisional. A scheduler made for remembered facts was tried in its place, holding back weak slurs
that had gone well until they were due: players of simulated seasons did worse with it, see ``docs/practice.md``.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from slurwright.practice.sheet.table import ReturnTable
from slurwright.practice.sheet.targets import TriedDay

__all__ = ["Return", "days_of", "next_return", "went_well"]


@dataclass(frozen=True, slots=True)
class Return:
    """When a slur comes back."""

    due: date
    went_well: bool
    """On the last day on which it was tried; False where it never was."""


def next_return(days: Sequence[TriedDay], *, today: date, concert: date | None, table: ReturnTable) -> Return:
    """Say when a slur that holds comes back; at once where it was never tried.

    Args:
        days: its tries, in any order.
        today: the day of the sheet; tries that are dated later (a clock that was set back) count as today's.
        concert: the day by which it must hold; None for none.
        table: when slurs come back.

    """
    reviews = days_of(days, today=today)
    if not reviews:
        return Return(today, went_well=False)
    wait = 0
    for one in reviews:
        wait = max(1, 2 * wait) if went_well(one, table) else 0
    due = reviews[-1].played_on + timedelta(days=min(max(1, wait), round(table.longest_days)))
    if concert is not None and concert > today:
        due = min(due, max(today, concert - timedelta(days=1)))
    return Return(due, went_well=wait > 0)


def days_of(days: Sequence[TriedDay], *, today: date) -> tuple[TriedDay, ...]:
    """Give one entry a day, oldest first, none after today and none without tries.

    Args:
        days: tries, in any order.
        today: what later days count as.

    """
    joined: dict[date, TriedDay] = {}
    for one in sorted(days, key=lambda one: one.played_on):
        if one.tries:
            day = min(one.played_on, today)
            before = joined.get(day, TriedDay(day))
            joined[day] = TriedDay(day, before.good + one.good, before.rough + one.rough, before.missed + one.missed)
    return tuple(joined.values())


def went_well(tried: TriedDay, table: ReturnTable) -> bool:
    """Say whether a day of tries went well.

    Args:
        tried: the tries, at least one.
        table: from which share of good ones it did.

    """
    return tried.good + table.rough_counts * tried.rough >= table.good_from * tried.tries
