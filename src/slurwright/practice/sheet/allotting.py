"""How many tries each slur gets: a set at a time, to the slur where a second buys the most.

Worth falls with every try of a slur (diminishing returns), so taking the best set again and again is close to the
best there is; finding the place once for each slur is the only cost that comes in a lump. A share of the time goes
first to slurs that hold and are due to be looked at again, one set each, the longest due first.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

import numpy as np

from slurwright.plan.transition import Floats, Ints
from slurwright.practice.sheet.gains import Outlook, concert_losses, outlook_of, tried_more, worth_of
from slurwright.practice.sheet.spacing import Return, next_return
from slurwright.practice.sheet.table import PracticeTable
from slurwright.practice.sheet.targets import Target

__all__ = ["Allotment", "Allotted", "allot", "is_soft_high", "rest_each", "set_s", "try_s"]


@dataclass(frozen=True, slots=True)
class Allotted:
    """What one slur gets."""

    target: Target
    tries: int
    saved: float
    """What they are expected to save on the day [nat]."""
    back: Return


@dataclass(frozen=True, slots=True)
class Allotment:
    """Who gets what of the time, and what that is expected to do."""

    slurs: tuple[Allotted, ...]
    """Those that get tries, what saves most first."""
    before: float
    """Expected loss on the day without these tries, over all slurs [nat]."""
    after: float
    """The same with them [nat]."""
    paces: tuple[float, ...]
    """How fast each target learns beside the usual, in the targets' order [1]."""


def allot(
    targets: Sequence[Target], *, seconds: float, today: date, concert: date | None, table: PracticeTable
) -> Allotment:
    """Divide time among slurs.

    Args:
        targets: the slurs that may be practised.
        seconds: time there is, rests counted [s].
        today: the day.
        concert: the day that counts; None for none.
        table: what tries do and take.

    """
    outlook = outlook_of(targets, today=today, concert=concert, table=table.gain)
    before = float(concert_losses(outlook).sum())
    back = [next_return(one.days, today=today, concert=concert, table=table.returns) for one in targets]
    costs = np.array([set_s(one, table) for one in targets])
    size, lump_s = int(table.shape.set_tries), table.time.settle_s
    tries, saved = np.zeros(len(targets), dtype=np.int64), np.zeros(len(targets))
    left, most = seconds, max(table.shape.most_slurs, seconds // table.shape.another_s)
    holding = table.returns.share * seconds
    for slur in _due(targets, back, today, table):
        if costs[slur] + lump_s <= min(left, holding) and (tries > 0).sum() < most:
            outlook = _take(outlook, slur, size, tries, saved)
            left, holding = left - costs[slur] - lump_s, holding - costs[slur] - lump_s
    weak = np.array([one.risk >= table.shape.least_risk for one in targets], dtype=bool)
    while True:
        price = costs + np.where(tries > 0, 0.0, lump_s)
        may = weak & (price <= left) & (outlook.today + size <= table.shape.most_tries)
        if (tries > 0).sum() >= most:
            may &= tries > 0
        if not may.any():
            break
        best = int(np.argmax(np.where(may, worth_of(outlook, size) / price, -1.0)))
        left -= float(price[best])
        outlook = _take(outlook, best, size, tries, saved)
    chosen = [Allotted(one, int(tries[i]), float(saved[i]), back[i]) for i, one in enumerate(targets) if tries[i]]
    chosen.sort(key=lambda one: (-one.saved, one.target.key))
    after = float(concert_losses(outlook).sum())
    return Allotment(tuple(chosen), before, after, tuple(float(pace) for pace in outlook.pace))


def try_s(target: Target, table: PracticeTable) -> float:
    """Say how long one try of a slur is played [s].

    Args:
        target: the slur.
        table: what playing takes.

    """
    return max(table.time.try_least_s, target.tried.time_s + target.tried.hold_s)


def rest_each(target: Target, table: PracticeTable) -> float:
    """Say how much rest each second of playing a slur gets [1].

    Args:
        target: the slur.
        table: what resting takes.

    """
    return table.time.soft_high_rest_each if is_soft_high(target, table) else table.time.rest_each


def is_soft_high(target: Target, table: PracticeTable) -> bool:
    """Say whether a slur is soft high work.

    Args:
        target: the slur.
        table: from where work is soft and high.

    """
    return target.tried.dynamic <= table.shape.soft_to and target.height >= table.shape.high_from


def set_s(target: Target, table: PracticeTable) -> float:
    """Say what a set of tries takes of the time, its rest counted; some of the tries are made in the passage [s].

    Args:
        target: the slur.
        table: what playing and resting take.

    """
    share = table.shape.passage_share if target.risk <= table.shape.passage_below else 0.0
    each = (1.0 - share) * try_s(target, table) + share * max(target.passage_s, try_s(target, table))
    return table.shape.set_tries * each * (1.0 + rest_each(target, table))


def _take(outlook: Outlook, slur: int, size: int, tries: Ints, saved: Floats) -> Outlook:
    """Give a slur a set of tries, and note it."""
    saved[slur] += worth_of(outlook, size)[slur]
    tries[slur] += size
    return tried_more(outlook, slur, size)


def _due(targets: Sequence[Target], back: Sequence[Return], today: date, table: PracticeTable) -> list[int]:
    """Slurs that hold and are to be looked at again, the longest due first."""
    found = [
        slur
        for slur, one in enumerate(targets)
        if one.days and one.risk < table.shape.least_risk and back[slur].due <= today
    ]
    return sorted(found, key=lambda slur: (back[slur].due, targets[slur].key))
