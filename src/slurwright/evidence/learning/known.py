"""What the plan asks of a known player, answered from what is learnt of them as of today."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from slurwright.evidence.learning.design import own_columns, with_knots
from slurwright.evidence.learning.effects import EFFECTS, TECHNIQUES, columns_of, partials_of
from slurwright.evidence.learning.hands import known_at_hand, known_misses, known_technique
from slurwright.evidence.learning.laid import WayName
from slurwright.evidence.learning.logistic import chance, mean_chance, offset_of
from slurwright.listen.figure import NINE_IN_TEN
from slurwright.plan.known import RiskFigures
from slurwright.plan.transition import Changes, Floats, Ints, WayTable, some_changes
from slurwright.plan.values import Technique

if TYPE_CHECKING:
    from slurwright.evidence.learning.learnt import Learnt

__all__ = ["PlayerKnown"]

_TODAY = np.zeros(1)
_AT_ONCE = 16384
"""Changes that are looked at together: more would not stay near the processor (ours) [1]."""


@dataclass(frozen=True, slots=True, eq=False)
class _Kin:
    """What is known of each pair of ways, then of each pair of partials alone, then of none, in one technique."""

    mean: Floats
    """Shape=(kin,). [logit]"""
    variance: Floats
    """Shape=(kin,). [logit^2]"""
    with_common: Floats
    """Covariance with the effects as of today, shape=(kin, effects). [logit^2]"""
    before: float
    """Variance of any of them before anything was learnt. [logit^2]"""
    attempts: Floats
    """Attempts that bear on it today, shape=(kin,)."""


class PlayerKnown:
    """A player on one horn, as the plan asks for them: `plan.known.Known`."""

    def __init__(self, learnt: "Learnt", horn_id: str) -> None:
        self._learnt = learnt
        self._horn_id = horn_id
        names = sorted({name for pair in learnt.pairs if pair[0] == horn_id for name in pair[1:]})
        self._codes: Mapping[WayName, int] = {name: code for code, name in enumerate(names)}
        self._pairs = np.full((len(names) + 1, len(names) + 1), -1, dtype=np.int64)
        for (horn, source, target), place in learnt.pairs.items():
            if horn == horn_id:
                self._pairs[self._codes[source], self._codes[target]] = place
        effects = len(EFFECTS)
        today = with_knots(np.eye(effects), np.zeros(effects), drift=learnt.beliefs.drift)
        self._mean = today @ learnt.mean
        self._covariance = today @ learnt.covariance @ today.T
        self._before = today @ learnt.prior.common @ today.T
        self._kin = {technique: self._kin_in(technique, today) for technique in TECHNIQUES}

    def break_risks(self, prior: Floats, table: WayTable, changes: Changes, technique: Technique) -> Floats:
        """Predictive chance that each slur does not speak cleanly, shape=(changes,) [1].

        Args:
            prior: the same from the priors, shape=(changes,) [1].
            table: the ways that the changes lead between.
            changes: features of the slurred changes.
            technique: how all of them are played.
        """
        if not self._learnt.attempts:
            return prior
        risks = np.empty_like(prior)
        for start in range(0, len(prior), _AT_ONCE):
            rows = np.arange(start, min(start + _AT_ONCE, len(prior)))
            mean, variance, _ = self._outlook(prior[rows], table, some_changes(changes, rows), technique)
            risks[rows] = mean_chance(mean, variance)
        return risks

    def risk_figures(self, prior: Floats, table: WayTable, changes: Changes, technique: Technique) -> RiskFigures:
        """The same with intervals and the number of attempts behind them.

        Args:
            prior: from the priors, shape=(changes,) [1].
            table: the ways that the changes lead between.
            changes: features of the slurred changes.
            technique: how all of them are played.
        """
        mean, variance, kin = self._outlook(prior, table, changes, technique)
        reach = NINE_IN_TEN * np.sqrt(variance)
        return RiskFigures(
            prior=prior,
            risk=mean_chance(mean, variance) if self._learnt.attempts else prior,
            low=chance(mean - reach),
            high=chance(mean + reach),
            attempts=self._kin[technique].attempts[kin],
        )

    def at_hand(self, prior: Floats, table: WayTable, rows: Ints) -> Floats:
        """Chance that the player has each way at their fingers' command when it comes, shape=(rows,) [1].

        Args:
            prior: the same from the priors, shape=(rows,) [1].
            table: the ways.
            rows: rows asked for, shape=(rows,) [1].
        """
        hands = self._learnt.hands
        came = np.array([hands.ways.get((self._horn_id, name), 0.0) for name in _names(table)], dtype=np.float64)
        return known_at_hand(prior, came[rows], most=self._learnt.chances.fingers.normal, hands=hands)

    def finger_misses(self, prior: Floats, table: WayTable, changes: Changes) -> Floats:  # noqa: ARG002
        """Chance that fingers, thumb or arm do not arrive, shape=(changes,) [1].

        Args:
            prior: the same from the priors, shape=(changes,) [1].
            table: the ways that the changes lead between.
            changes: features of the changes.
        """
        return known_misses(prior, self._learnt.hands)

    def comes_as_meant(self, prior: float, technique: Technique) -> float:
        """Chance that a technique comes as meant [1].

        Args:
            prior: the same from the priors [1].
            technique: legato tongue or half-valve.
        """
        return known_technique(prior, technique, self._learnt.hands)

    def _outlook(
        self, prior: Floats, table: WayTable, changes: Changes, technique: Technique
    ) -> tuple[Floats, Floats, Ints]:
        """Mean and variance of the logit of each change, and which kin it has."""
        columns = columns_of(changes, technique, chances=self._learnt.chances, slide=table.slide)
        had = np.flatnonzero(columns.any(axis=0))
        columns, block = np.ascontiguousarray(columns[:, had]), np.ix_(had, had)
        kin = self._kin_of(table, changes)
        known = self._kin[technique]
        before = np.einsum("na,na->n", columns @ self._before[block], columns) + known.before
        mean = offset_of(prior, before) + columns @ self._mean[had] + known.mean[kin]
        shared = columns @ self._covariance[block] + 2.0 * known.with_common[:, had][kin]
        variance = known.variance[kin] + np.einsum("na,na->n", shared, columns)
        return np.asarray(mean), np.maximum(0.0, variance), kin

    def _kin_of(self, table: WayTable, changes: Changes) -> Ints:
        """Say which pair of ways each change is; else which pair of partials; else none."""
        learnt = self._learnt
        codes = np.array([self._codes.get(name, -1) for name in _names(table)], dtype=np.int64)
        pair = self._pairs[codes[changes.source], codes[changes.target]]
        numbers, back = np.unique(partials_of(table, changes.source, changes.target), return_inverse=True)
        nowhere = len(learnt.partials)
        places = np.array([learnt.partials.get(int(number), nowhere) for number in numbers], dtype=np.int64)
        return np.where(pair >= 0, pair, len(learnt.pairs) + places[back])

    def _kin_in(self, technique: Technique, today: Floats) -> _Kin:
        """Gather what is known of pairs in one technique; ``today`` takes the effects to the common columns."""
        learnt, posterior = self._learnt, self._learnt.posterior
        common, number = len(learnt.prior.common), TECHNIQUES.index(technique)
        own = own_columns(np.array([number]), _TODAY, drift=learnt.beliefs.drift)[0]
        places = common + learnt.partials_of_pair
        partials = slice(common, common + len(learnt.partials))
        of_pair = np.arange(len(learnt.pairs))
        shared = posterior.shared
        own_before = own @ learnt.prior.own @ own
        alone = np.diagonal(shared)[partials]
        pairs = shared[places, places] + 2.0 * (posterior.cross[of_pair, places] @ own)
        pairs += np.einsum("jkl,k,l->j", posterior.own, own, own)
        tally = learnt.tally
        bearing = learnt.bearing(age_weeks=0.0) * (tally.technique == number)
        none = np.zeros(len(learnt.partials) + 1)
        return _Kin(
            mean=np.concatenate(
                [
                    posterior.mean.shared[places] + posterior.mean.own @ own,
                    posterior.mean.shared[partials],
                    np.zeros(1),
                ]
            ),
            variance=np.concatenate([pairs, alone + own_before, [learnt.prior.partials + own_before]]),
            with_common=np.concatenate(
                [
                    shared[places, :common] + posterior.cross[:, :common] @ own,
                    shared[partials, :common],
                    np.zeros((1, common)),
                ]
            )
            @ today.T,
            before=float(learnt.prior.partials + own_before),
            attempts=np.concatenate([np.bincount(tally.pair, bearing, minlength=len(learnt.pairs)), none]),
        )


def _names(table: WayTable) -> list[WayName]:
    """Name the ways of a table, row by row."""
    return list(zip(table.midi.tolist(), table.fingerings, table.partial.tolist(), strict=True))
