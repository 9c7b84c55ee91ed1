"""Which attempts are alike, and by which effects the logit of each differs from its prior.

Three kinds of effects add up: those common to all slurs (with the change of slurs that cross a partial, on knots),
one for each pair of partials and direction, and those of each pair of ways: for good, in each technique, and its
change on knots. A pair of ways has effects of its own and no other's, so that pairs meet through the first two only.

Attempts that are alike but for rounding share a row: the dynamic to a quarter of a step, times to a twentieth, old
days to a week, certainty to a thousandth. Rows stand in the order of their pairs; the order of the attempts is lost.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from slurwright.evidence.learning.beliefs import Beliefs, DriftBeliefs
from slurwright.evidence.learning.effects import CROSSING, EFFECTS, TECHNIQUES, columns_of, knot_weights, partials_of
from slurwright.evidence.learning.laid import LaidOut, WayName
from slurwright.plan.chances import Chances
from slurwright.plan.speaking import break_risks
from slurwright.plan.transition import Circumstances, Floats, Ints, changes_between

__all__ = ["Design", "PairName", "design_of", "own_columns", "thinned", "with_knots"]

PairName = tuple[str, WayName, WayName]
"""Two ways of one horn: its id, the way left, the way reached."""
_STEPS = 4.0
_TIMES = 20.0
_CERTAINTIES = 1000.0
_EXACT_DAYS = 28
_CODES = 7


@dataclass(frozen=True, slots=True, eq=False)
class Design:
    """Rows of attempts that are alike, and the verdicts on them."""

    partials: tuple[int, ...]
    """Numbers of the pairs of partials that were tried, see ``effects.partials_of``; sorted."""
    pairs: tuple[PairName, ...]
    """Pairs of ways that were tried, sorted."""
    partials_of_pair: Ints
    """Index into ``partials``, shape=(pairs,)."""
    prior: Floats
    """Chance of a break before anything is learnt, shape=(rows,)."""
    common: Floats
    """Shape=(rows, effects + knots)."""
    own: Floats
    """Of the row's pair of ways, shape=(rows, own)."""
    pair: Ints
    """Index into ``pairs``, rising, shape=(rows,)."""
    starts: Ints
    """First row of each pair, shape=(pairs,)."""
    age_weeks: Floats
    """Shape=(rows,). [weeks]"""
    technique: Ints
    """Index into ``effects.TECHNIQUES``, shape=(rows,)."""
    row: Ints
    """Row of each verdict, shape=(verdicts,)."""
    spoke: Floats
    """How sure it is that the slur spoke, shape=(verdicts,)."""
    times: Floats
    """How many attempts have this verdict, shape=(verdicts,)."""


def design_of(laid: Sequence[LaidOut], *, chances: Chances, beliefs: Beliefs) -> Design:
    """Join attempts that are alike and give each its columns.

    Args:
        laid: attempts, horn by horn.
        chances: the priors.
        beliefs: where the knots are.
    """
    pairs = sorted({name for one in laid for name in _pair_names(one)})
    place = {name: index for index, name in enumerate(pairs)}
    codes = [_codes(one, np.array([place[name] for name in _pair_names(one)], np.int64)) for one in laid]
    none = np.empty((0, _CODES), dtype=np.int64)
    verdicts, times = np.unique(np.concatenate([none, *codes]), axis=0, return_counts=True)
    alike = verdicts[:, :-1]
    first = np.ones(len(alike), dtype=np.bool_)
    first[1:] = np.any(alike[1:] != alike[:-1], axis=1)
    rows = alike[first]
    priced = _Priced(len(rows), beliefs.drift)
    horn_of_pair = np.array([[one.horn_id for one in laid].index(name[0]) for name in pairs], dtype=np.int64)
    for index, one in enumerate(laid):
        for number in range(len(TECHNIQUES)):
            chosen = np.flatnonzero((horn_of_pair[rows[:, 0]] == index) & (rows[:, 1] == number))
            priced.fill(chosen, rows[chosen], one, pairs, chances)
    starts = np.searchsorted(rows[:, 0], np.arange(len(pairs)))
    partials, of_pair = np.unique(priced.partials[starts], return_inverse=True)
    return Design(
        partials=tuple(partials.tolist()),
        pairs=tuple(pairs),
        partials_of_pair=of_pair.astype(np.int64),
        prior=priced.prior,
        common=priced.common,
        own=priced.own,
        pair=rows[:, 0],
        starts=starts,
        age_weeks=_ages(rows),
        technique=rows[:, 1],
        row=np.cumsum(first) - 1,
        spoke=verdicts[:, -1] / _CERTAINTIES,
        times=times.astype(np.float64),
    )


def thinned(design: Design, *, rows: int) -> Design:
    """Keep every second pair of ways, or every third and so on, so that about so many rows are left.

    Args:
        design: the whole.
        rows: how many are wanted; fewer stay as they are [1].
    """
    every = max(1, len(design.prior) // rows)
    if every == 1:
        return design
    kept = np.flatnonzero(np.arange(len(design.pairs)) % every == 0)
    row_kept = np.isin(design.pair, kept)
    verdict_kept = row_kept[design.row]
    number = np.cumsum(row_kept) - 1
    pair = np.searchsorted(kept, design.pair[row_kept])
    return replace(
        design,
        pairs=tuple(design.pairs[place] for place in kept.tolist()),
        partials_of_pair=design.partials_of_pair[kept],
        prior=design.prior[row_kept],
        common=design.common[row_kept],
        own=design.own[row_kept],
        pair=pair,
        starts=np.searchsorted(pair, np.arange(len(kept))),
        age_weeks=design.age_weeks[row_kept],
        technique=design.technique[row_kept],
        row=number[design.row[verdict_kept]],
        spoke=design.spoke[verdict_kept],
        times=design.times[verdict_kept],
    )


def with_knots(columns: Floats, age_weeks: Floats, *, drift: DriftBeliefs) -> Floats:
    """Add to the effects' columns those of what changes with time, shape=(rows, effects + knots) [1].

    Args:
        columns: of the effects, shape=(rows, effects) [1].
        age_weeks: how long ago each row was, shape=(rows,) [weeks].
        drift: where the knots are.
    """
    moving = columns[:, CROSSING, None] * knot_weights(age_weeks, drift.crossing_knots_weeks)
    return np.concatenate([columns, moving], axis=1)


def own_columns(technique: Ints, age_weeks: Floats, *, drift: DriftBeliefs) -> Floats:
    """Columns of a pair of ways: for good, one for each technique, and the knots, shape=(rows, own) [1].

    Args:
        technique: index into ``effects.TECHNIQUES`` of each row, shape=(rows,) [1].
        age_weeks: how long ago each row was, shape=(rows,) [weeks].
        drift: where the knots are.
    """
    for_good = np.ones((len(technique), 1))
    techniques = (technique[:, None] == np.arange(len(TECHNIQUES))).astype(np.float64)
    return np.concatenate([for_good, techniques, knot_weights(age_weeks, drift.ways_knots_weeks)], axis=1)


class _Priced:
    """Priors and columns of rows, filled in horn by horn and technique by technique."""

    def __init__(self, size: int, drift: DriftBeliefs) -> None:
        self._drift = drift
        self.prior = np.zeros(size)
        self.common = np.zeros((size, len(EFFECTS) + len(drift.crossing_knots_weeks)))
        self.own = np.zeros((size, 1 + len(TECHNIQUES) + len(drift.ways_knots_weeks)))
        self.partials = np.zeros(size, dtype=np.int64)

    def fill(self, chosen: Ints, rows: Ints, laid: LaidOut, pairs: Sequence[PairName], chances: Chances) -> None:
        """Price the chosen rows, which are of one horn in one technique."""
        if not len(chosen):
            return
        place = {name: row for row, name in enumerate(laid.names)}
        technique = TECHNIQUES[rows[0, 1]]
        source = np.array([place[pairs[pair][1]] for pair in rows[:, 0]], dtype=np.int64)
        target = np.array([place[pairs[pair][2]] for pair in rows[:, 0]], dtype=np.int64)
        around = Circumstances(rows[:, 2] / _STEPS, np.exp(rows[:, 3] / _TIMES), np.exp(rows[:, 4] / _TIMES))
        same_place_m = chances.slide.same_place_m
        changes = changes_between(laid.table, source, target, around=around, same_place_m=same_place_m)
        slide, ages = laid.table.slide, _ages(rows)
        self.prior[chosen] = break_risks(changes, technique, chances=chances, slide=slide)
        columns = columns_of(changes, technique, chances=chances, slide=slide)
        self.common[chosen] = with_knots(columns, ages, drift=self._drift)
        self.own[chosen] = own_columns(rows[:, 1], ages, drift=self._drift)
        self.partials[chosen] = partials_of(laid.table, source, target)


def _pair_names(laid: LaidOut) -> list[PairName]:
    """Name the pair of ways of each attempt."""
    names = laid.names
    ends = zip(laid.source.tolist(), laid.target.tolist(), strict=True)
    return [(laid.horn_id, names[source], names[target]) for source, target in ends]


def _codes(laid: LaidOut, pair: Ints) -> Ints:
    """Whole numbers that are equal where attempts are alike: all but the last make a row, shape=(attempts, 7)."""
    days = np.rint(7.0 * laid.age_weeks)
    days = np.where(days < _EXACT_DAYS, days, 7.0 * np.rint(days / 7.0))
    columns = (
        pair,
        laid.technique,
        np.rint(_STEPS * laid.dynamic),
        np.rint(_TIMES * np.log(laid.time_s)),
        np.rint(_TIMES * np.log(laid.hold_s)),
        days,
        np.rint(_CERTAINTIES * laid.spoke),
    )
    return np.stack(columns, axis=1).astype(np.int64)


def _ages(rows: Ints) -> Floats:
    return np.asarray(rows[:, 5] / 7.0)
