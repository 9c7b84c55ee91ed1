"""What more tries of a slur buy on the day of the concert.

The logit of a break falls with tries by diminishing returns: towards a most that practice can give, and less for each
further try of the same day. Of what a day gains a share is kept on the next, and that fades by a half-life. Two
processes of this kind, a fast one that forgets and a slow one that keeps, are known of other movements (Smith,
Ghazizadeh & Shadmehr, PLoS Biology 4 (2006) e179); the sizes are those of the table, provisional.

How fast *this* slur learns is not known: its pace is one of a few, weighed by how its tries went from day to day. So
a slur that has not moved in many tries is expected to move little, and the time goes elsewhere. The risk itself is
not known either: all is an expectation over its interval, and since the loss bends upwards, a slur of which little is
known is worth more tries than one that is known to be as risky.

Worth is counted in the negative log of the chance that every slur of the part speaks, which adds up [nat].
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date

import numpy as np

from slurwright.listen.figure import NINE_IN_TEN
from slurwright.plan.transition import Floats, Ints
from slurwright.practice.sheet.table import GainTable
from slurwright.practice.sheet.targets import Target, TriedDay

__all__ = ["Outlook", "concert_losses", "outlook_of", "tried_more", "worth_of"]

_HERMITE_X, _HERMITE_W = np.polynomial.hermite_e.hermegauss(7)
_LEVELS = np.asarray(_HERMITE_X, dtype=np.float64)
_LEVEL_WEIGHTS = np.asarray(_HERMITE_W / _HERMITE_W.sum(), dtype=np.float64)
_PACES = np.array([-2.0, -1.0, 0.0, 1.0, 2.0])
_PACE_WEIGHTS: Floats = np.asarray(np.exp(-0.5 * _PACES**2) / np.exp(-0.5 * _PACES**2).sum(), dtype=np.float64)
_NEVER = 1e-4
"""Chances closer to 0 or 1 than this are taken as this far from them [1]."""


@dataclass(frozen=True, slots=True, eq=False)
class Outlook:
    """Slurs as they stand today, and how much practice can still do."""

    levels: Floats
    """Logits of a break as it may be now, shape=(slurs, levels)."""
    level_weights: Floats
    """How likely each is, shape=(levels,)."""
    paces: Floats
    """How fast a slur may learn beside the usual, shape=(paces,)."""
    pace_weights: Floats
    """How likely each is for each slur, shape=(slurs, paces)."""
    had: Floats
    """What practice has taken off up to now, as the levels stand, shape=(slurs, paces) [logit]."""
    lasting: Floats
    """What it has taken off and kept, shape=(slurs, paces) [logit]."""
    fresh: Floats
    """The same of today, not yet slept over, shape=(slurs, paces) [logit]."""
    today: Ints
    """Tries of today so far, shape=(slurs,)."""
    times: Floats
    """How often the part asks for each slur, shape=(slurs,)."""
    stays: tuple[float, float]
    """Share of the lasting, and of the fresh, that is left on the day of the concert [1]."""
    table: GainTable

    @property
    def pace(self) -> Floats:
        """Expected pace of each slur beside the usual, shape=(slurs,) [1]."""
        return np.asarray(self.pace_weights @ self.paces, dtype=np.float64)


def outlook_of(targets: Sequence[Target], *, today: date, concert: date | None, table: GainTable) -> Outlook:
    """Say how slurs stand today.

    Args:
        targets: the slurs.
        today: the day of the sheet; tries that are dated later count as today's.
        concert: the day that counts; None takes the table's.
        table: what tries do.

    """
    days_away = table.away_days if concert is None else max(0.0, float((concert - today).days))
    paces = np.exp(table.differ * _PACES - 0.5 * table.differ**2)
    levels = np.array([_levels_of(one) for one in targets]).reshape(len(targets), len(_LEVELS))
    histories = [_history(one.days, today=today, paces=paces, table=table) for one in targets]
    shape = (len(targets), len(paces))
    weights = [_pace_weights(level, past) for level, past in zip(levels, histories, strict=True)]
    faded = 0.5 ** (days_away / table.half_life_days)
    return Outlook(
        levels=levels,
        level_weights=_LEVEL_WEIGHTS,
        paces=paces,
        pace_weights=np.array(weights).reshape(shape),
        had=np.array([past.lasting + past.fresh for past in histories]).reshape(shape),
        lasting=np.array([past.lasting for past in histories]).reshape(shape),
        fresh=np.array([past.fresh for past in histories]).reshape(shape),
        today=np.array([past.today for past in histories], dtype=np.int64),
        times=np.array([float(one.times) for one in targets]),
        stays=(faded, table.kept * faded if days_away >= 1.0 else faded),
        table=table,
    )


def worth_of(outlook: Outlook, tries: int) -> Floats:
    """Say what so many more tries today would save on the day of the concert, for each slur, shape=(slurs,) [nat].

    Args:
        outlook: how the slurs stand.
        tries: of each [1].

    """
    return _losses(outlook, outlook.fresh) - _losses(outlook, outlook.fresh + _gained(outlook, tries))


def tried_more(outlook: Outlook, slur: int, tries: int) -> Outlook:
    """Say how things will stand when a slur has been tried some more today.

    Args:
        outlook: how they stand.
        slur: which of them, counted from 0 [1].
        tries: how many [1].

    """
    fresh, today = outlook.fresh.copy(), outlook.today.copy()
    fresh[slur] += _gained(outlook, tries)[slur]
    today[slur] += tries
    return replace(outlook, fresh=fresh, today=today)


def concert_losses(outlook: Outlook) -> Floats:
    """Say what each slur costs on the day of the concert as things stand, shape=(slurs,) [nat].

    Args:
        outlook: how the slurs stand.

    """
    return _losses(outlook, outlook.fresh)


def _losses(outlook: Outlook, fresh: Floats) -> Floats:
    """Expected negative log of the chance that each slur speaks every time on the day."""
    lasting_stays, fresh_stays = outlook.stays
    has = lasting_stays * outlook.lasting + fresh_stays * fresh
    logits = outlook.levels[:, :, None] + (outlook.had - has)[:, None, :]
    expected = np.einsum("slp,l,sp->s", np.logaddexp(0.0, logits), outlook.level_weights, outlook.pace_weights)
    return np.asarray(outlook.times * expected, dtype=np.float64)


def _gained(outlook: Outlook, tries: int) -> Floats:
    """What more tries add to the fresh gain, shape=(slurs, paces) [logit]."""
    table = outlook.table
    gained = np.zeros_like(outlook.fresh)
    for further in range(tries):
        left = np.maximum(0.0, 1.0 - (outlook.lasting + outlook.fresh + gained) / table.most)
        worn = table.again ** (outlook.today + further)
        gained += outlook.paces[None, :] * table.each * worn[:, None] * left
    return gained


@dataclass(frozen=True, slots=True, eq=False)
class _Past:
    """What the tries of one slur are believed to have gained, for each pace."""

    before: Floats
    """Gain at the middle of each day's tries, shape=(days, paces) [logit]."""
    counts: Floats
    """Tries that spoke and that broke on each day, shape=(days, 2)."""
    lasting: Floats
    fresh: Floats
    today: int


def _history(days: Sequence[TriedDay], *, today: date, paces: Floats, table: GainTable) -> _Past:
    lasting, fresh = np.zeros_like(paces), np.zeros_like(paces)
    before, counts = [], []
    last: date | None = None
    tried = 0
    for one in sorted(days, key=lambda one: one.played_on):
        day = min(one.played_on, today)
        if last is not None and day > last:
            lasting, fresh, tried = _slept(lasting, fresh, (day - last).days, table), np.zeros_like(paces), 0
        gained = _day_gain(lasting + fresh, one.tries, tried, paces, table)
        before.append(lasting + fresh + 0.5 * gained)
        counts.append((one.good + 0.5 * one.rough, one.missed + 0.5 * one.rough))
        fresh, tried, last = fresh + gained, tried + one.tries, day
    if last is not None and today > last:
        lasting, fresh, tried = _slept(lasting, fresh, (today - last).days, table), np.zeros_like(paces), 0
    shape = (len(before), len(paces))
    return _Past(np.array(before).reshape(shape), np.array(counts).reshape(-1, 2), lasting, fresh, tried)


def _slept(lasting: Floats, fresh: Floats, days: int, table: GainTable) -> Floats:
    return np.asarray((lasting + table.kept * fresh) * 0.5 ** (days / table.half_life_days), dtype=np.float64)


def _day_gain(had: Floats, tries: int, before: int, paces: Floats, table: GainTable) -> Floats:
    """What the tries of a day gain, for each pace; as many small steps as one."""
    worn = table.again**before * (1.0 - table.again**tries) / (1.0 - table.again) if table.again < 1.0 else tries
    left = np.maximum(0.0, table.most - had)
    return np.asarray(left * -np.expm1(-paces * table.each * worn / table.most), dtype=np.float64)


def _levels_of(target: Target) -> Floats:
    """Logits of a break that are spread as the interval is, and mean the risk."""
    low, risk, high = (min(max(one, _NEVER), 1.0 - _NEVER) for one in (target.low, target.risk, target.high))
    spread = max(0.0, (_logit(high) - _logit(low)) / (2.0 * NINE_IN_TEN))
    centre = _logit(risk) * np.sqrt(1.0 + np.pi * spread**2 / 8.0)
    return np.asarray(centre + spread * _LEVELS, dtype=np.float64)


def _logit(chance: float) -> float:
    return float(np.log(chance / (1.0 - chance)))


def _pace_weights(levels: Floats, past: _Past) -> Floats:
    """Weigh the paces of a slur by how its tries went from day to day; its level today is as likely as was said."""
    if len(past.before) < 2:
        return _PACE_WEIGHTS.copy()
    had = past.lasting + past.fresh
    logits = levels[None, :, None] + (had[None, :] - past.before)[:, None, :]
    spoke, broke = past.counts[:, 0, None, None], past.counts[:, 1, None, None]
    likely = -(spoke * np.logaddexp(0.0, logits) + broke * np.logaddexp(0.0, -logits)).sum(axis=0)
    each = np.exp(likely - likely.max())
    weights = _PACE_WEIGHTS * (_LEVEL_WEIGHTS @ each)
    return np.asarray(weights / weights.sum(), dtype=np.float64)
