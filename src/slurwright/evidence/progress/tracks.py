"""How surely the risks of several slurs on several days are known together.

What is learnt of a player says of one slur on one day how likely it breaks, see ``learning.risk_on``. Whether it is
better now than it was, or better this way than that, asks for more: what is not known of the one is in part the same
that is not known of the other. Here are means and covariances of the logits of any slurs on any days, out of the very
posterior that ``risk_on`` reads.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date

import numpy as np

from slurwright.evidence.attempts import Tried
from slurwright.evidence.learning.design import own_columns, with_knots
from slurwright.evidence.learning.effects import TECHNIQUES, columns_of, partials_of
from slurwright.evidence.learning.laid import way_on, weeks_before
from slurwright.evidence.learning.learnt import Learnt
from slurwright.evidence.learning.logistic import offset_of
from slurwright.evidence.learning.spread import spread_of
from slurwright.horn import Horn
from slurwright.plan import Way
from slurwright.plan.pricing import LEAST_S
from slurwright.plan.speaking import break_risks
from slurwright.plan.transition import Circumstances, Floats, changes_between, table_of_ways

__all__ = ["Track", "Tracker"]

_FIRST, _SECOND = np.zeros(1, dtype=np.int64), np.ones(1, dtype=np.int64)


@dataclass(frozen=True, slots=True, eq=False)
class Track:
    """Logits of a break of slurs on days; one entry each."""

    prior: Floats
    """Chances of a break before anything was learnt, 0..1."""
    mean: Floats
    """[logit]"""
    cov: Floats
    """Covariance of every two, shape=(entries, entries). [logit^2]"""


@dataclass(frozen=True, slots=True, eq=False)
class _Rows:
    """One slur on its days: columns of shared effects, those of its pair of ways, and which pair that is."""

    prior: Floats
    shared: Floats
    own: Floats
    pair: int
    spread: Floats


class Tracker:
    """A player on their horns, asked for several slurs at once."""

    def __init__(self, learnt: Learnt, horns: Mapping[str, Horn]) -> None:
        self.learnt = learnt
        self._horns = horns
        self._ways: dict[tuple[str, int, str, int], Way | None] = {}
        self._inverse: Floats | None = None

    def has(self, horn: str, tried: Tried) -> bool:
        """Say whether a horn is known and has the ways of a slur, so that something was learnt of it.

        Args:
            horn: its id.
            tried: the slur.
        """
        return horn in self._horns and self._pair(horn, tried) is not None

    def track(self, horn: str, asked: Sequence[tuple[Tried, Sequence[date]]]) -> Track:
        """Give the logits of slurs on days, one slur after the other.

        Args:
            horn: id of the horn.
            asked: slurs that were tried on it, each with its days.
        """
        rows = [self._rows(horn, tried, days) for tried, days in asked]
        shared = np.concatenate([one.shared for one in rows])
        posterior = self.learnt.posterior
        mean = [one.shared @ posterior.mean.shared + one.own @ posterior.mean.own[one.pair] for one in rows]
        cov: Floats = shared @ posterior.shared @ shared.T
        starts = np.cumsum([0, *(len(one.prior) for one in rows)])
        for place, one in enumerate(rows):
            here = slice(starts[place], starts[place + 1])
            own = shared @ posterior.cross[one.pair] @ one.own.T
            cov[:, here] += own
            cov[here, :] += own.T
            for other_place, other in enumerate(rows):
                there = slice(starts[other_place], starts[other_place + 1])
                cov[here, there] += one.own @ self._between(one.pair, other.pair) @ other.own.T
        prior = np.concatenate([one.prior for one in rows])
        offset = offset_of(prior, np.concatenate([one.spread for one in rows]))
        return Track(prior, np.concatenate(mean) + offset, (cov + cov.T) / 2.0)

    def _between(self, one: int, other: int) -> Floats:
        """Covariance of the effects of two pairs of ways, which meet through the shared ones only."""
        posterior = self.learnt.posterior
        if one == other:
            return np.asarray(posterior.own[one], dtype=np.float64)
        if self._inverse is None:
            self._inverse = np.asarray(np.linalg.inv(posterior.shared), dtype=np.float64)
        between: Floats = posterior.cross[one].T @ self._inverse @ posterior.cross[other]
        return between

    def _way(self, horn: str, tried: Tried, place: int) -> Way | None:
        taken = tried.ways[place]
        key = (horn, taken.sounding.midi, taken.fingering, taken.partial)
        if key not in self._ways:
            self._ways[key] = way_on(self._horns[horn], taken)
        return self._ways[key]

    def _pair(self, horn: str, tried: Tried) -> int | None:
        first, second = (self._way(horn, tried, place) for place in (0, 1))
        if first is None or second is None:
            return None
        names = [
            (taken.sounding.midi, way.fingering, way.partial)
            for taken, way in zip(tried.ways, (first, second), strict=True)
        ]
        return self.learnt.pairs.get((horn, names[0], names[1]))

    def _rows(self, horn: str, tried: Tried, days: Sequence[date]) -> _Rows:
        learnt, known = self.learnt, self._horns[horn]
        first, second = (self._way(horn, tried, place) for place in (0, 1))
        pair = self._pair(horn, tried)
        if first is None or second is None or pair is None:
            raise ValueError("a slur is asked for of which nothing was learnt")
        midis = [taken.sounding.midi for taken in tried.ways]
        table = table_of_ways([(midis[0], [first]), (midis[1], [second])], known)
        times = (np.array([max(LEAST_S, time_s)]) for time_s in (tried.time_s, tried.hold_s))
        around = Circumstances(np.array([tried.dynamic]), *times)
        same_place_m = learnt.chances.slide.same_place_m
        changes = changes_between(table, _FIRST, _SECOND, around=around, same_place_m=same_place_m)
        prior = break_risks(changes, tried.technique, chances=learnt.chances, slide=table.slide)
        columns = columns_of(changes, tried.technique, chances=learnt.chances, slide=table.slide)
        ages = np.array([weeks_before(day, learnt.today) for day in days])
        drift = learnt.beliefs.drift
        common = with_knots(np.repeat(columns, len(ages), axis=0), ages, drift=drift)
        own = own_columns(np.full(len(ages), TECHNIQUES.index(tried.technique)), ages, drift=drift)
        partials = np.zeros((len(ages), len(learnt.partials)))
        partials[:, learnt.partials[int(partials_of(table, _FIRST, _SECOND)[0])]] = 1.0
        return _Rows(
            prior=np.repeat(prior, len(ages)),
            shared=np.concatenate([common, partials], axis=1),
            own=own,
            pair=pair,
            spread=spread_of(learnt.prior, common, own),
        )
