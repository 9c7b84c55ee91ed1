"""What a player's attempts teach of their slurs, and how the risk of one slur went over the weeks.

The priors of the plan are the centre: with no attempts the predictive chance of a break is the prior's, exactly; for
that the logit of each slur starts a little lower than the prior's own, by what its spread adds to the mean chance.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta

import numpy as np

from slurwright.errors import FingeringError
from slurwright.evidence.attempts import Attempt, Tried
from slurwright.evidence.learning.beliefs import Beliefs, EarBeliefs
from slurwright.evidence.learning.design import Design, PairName, design_of, own_columns, thinned, with_knots
from slurwright.evidence.learning.effects import TECHNIQUES, columns_of, partials_of
from slurwright.evidence.learning.hands import hands_of
from slurwright.evidence.learning.laid import LaidOut, lay_out, way_on, weeks_before
from slurwright.evidence.learning.laplace import Posterior, Prior, Spot, fit, refined, untouched
from slurwright.evidence.learning.learnt import Learnt, Tally
from slurwright.evidence.learning.logistic import chance, mean_chance, offset_of
from slurwright.evidence.learning.spread import prior_of, spread_of
from slurwright.horn import Horn
from slurwright.listen.figure import NINE_IN_TEN
from slurwright.plan.chances import Chances
from slurwright.plan.pricing import LEAST_S
from slurwright.plan.speaking import break_risks
from slurwright.plan.transition import Circumstances, Floats, WayTable, changes_between, table_of_ways

__all__ = ["Learnt", "RiskOnDay", "learn", "risk_on"]

_ROWS_FOR_SCALES = 5_000
"""More attempts than these say no more of two factors [rows]."""
_FIRST, _SECOND = np.zeros(1, dtype=np.int64), np.ones(1, dtype=np.int64)


@dataclass(frozen=True, slots=True)
class RiskOnDay:
    """The risk of one slur on one day, as all attempts before and after tell it."""

    day: date
    prior: float
    """What the table of priors says, 0..1."""
    risk: float
    """Predictive chance of a break, 0..1."""
    low: float
    """End of the interval that holds the player's own risk nine times in ten, 0..1."""
    high: float
    attempts: float
    """How many attempts at this very pair of ways in this technique bear on that day, distant ones counted less."""


def learn(
    attempts: Sequence[Attempt], horns: Mapping[str, Horn], *, chances: Chances, beliefs: Beliefs, today: date
) -> Learnt:
    """Learn a player from their attempts.

    Args:
        attempts: all that stand, in any order.
        horns: the player's horns by id, as ``Attempt.horn`` names them.
        chances: the priors.
        beliefs: how players differ.
        today: what is learnt holds as of this day; attempts dated later count as of it.
    """
    laid, notices = lay_out(attempts, horns, today=today)
    design = design_of(laid, chances=chances, beliefs=beliefs)
    posterior, prior, sizes, moves = _settled(_doubted(design, beliefs.ear), beliefs)
    return Learnt(
        today=today,
        posterior=posterior,
        prior=prior,
        sizes=sizes,
        moves=moves,
        partials={number: place for place, number in enumerate(design.partials)},
        pairs={name: place for place, name in enumerate(design.pairs)},
        partials_of_pair=design.partials_of_pair,
        tally=_tally(design),
        hands=hands_of(laid, chances=chances, beliefs=beliefs.hands),
        chances=chances,
        beliefs=beliefs,
        attempts=sum(len(one.source) for one in laid),
        latest=_latest(laid, today),
        notices=notices,
    )


def risk_on(learnt: Learnt, horn: Horn, tried: Tried, *, days: Sequence[date]) -> tuple[RiskOnDay, ...]:
    """Say how the risk of one slur went, day by day; each day is told by the attempts before and after it.

    Args:
        learnt: the player.
        horn: the instrument; its id tells whose attempts are those of this very pair.
        tried: the slur.
        days: any; later than today counts as today.

    Raises:
        FingeringError: the horn has no such way.
    """
    ages = np.array([weeks_before(day, learnt.today) for day in days], dtype=np.float64)
    table, prior, columns, name = _laid_once(horn, tried, learnt.chances)
    drift = learnt.beliefs.drift
    common = with_knots(np.repeat(columns, len(ages), axis=0), ages, drift=drift)
    number = TECHNIQUES.index(tried.technique)
    own = own_columns(np.full(len(ages), number), ages, drift=drift)
    pair = learnt.pairs.get(name)
    partials = learnt.partials.get(int(partials_of(table, _FIRST, _SECOND)[0]))
    mean, variance = _outlook(learnt, common, own, pair=pair, partials=partials)
    mean += offset_of(np.full(len(ages), prior), spread_of(learnt.prior, common, own))
    reach = NINE_IN_TEN * np.sqrt(variance)
    mine = (learnt.tally.pair == pair) & (learnt.tally.technique == number) if pair is not None else None
    counts = [0.0 if mine is None else float(learnt.bearing(age_weeks=age)[mine].sum()) for age in ages.tolist()]
    risks, lows, highs = mean_chance(mean, variance), chance(mean - reach), chance(mean + reach)
    figures = zip(risks.tolist(), lows.tolist(), highs.tolist(), strict=True)
    return tuple(
        RiskOnDay(day, prior, risk if learnt.attempts else prior, low, high, count)
        for day, (risk, low, high), count in zip(days, figures, counts, strict=True)
    )


def _latest(laid: Sequence[LaidOut], today: date) -> date | None:
    """Day of the last attempt that counts; None for none."""
    if not laid:
        return None
    return today - timedelta(days=round(7.0 * min(float(one.age_weeks.min()) for one in laid)))


def _doubted(design: Design, ear: EarBeliefs) -> Design:
    """Let no verdict be surer than any can be."""
    return replace(design, spoke=ear.doubt + (1.0 - 2.0 * ear.doubt) * design.spoke)


def _settled(design: Design, beliefs: Beliefs) -> tuple[Posterior, Prior, float, float]:
    """Find the scales that the verdicts speak for, and the posterior under them."""
    scales = beliefs.scales
    some = thinned(design, rows=_ROWS_FOR_SCALES)
    start: Spot | None = None

    def evidence(sizes: float, moves: float) -> float:
        nonlocal start
        if not len(design.row):
            return 0.0
        here = prior_of(beliefs, sizes=sizes, moves=moves)
        found = fit(some, _offset(some, here), here, start=start)
        start = found.mean
        return found.evidence

    sizes = _weighed(scales.sizes, [evidence(factor, 1.0) for factor in scales.sizes], scales.sizes_spread)
    moves = _weighed(scales.moves, [evidence(sizes, factor) for factor in scales.moves], scales.moves_spread)
    prior = prior_of(beliefs, sizes=sizes, moves=moves)
    if not len(design.row):
        return untouched(prior), prior, sizes, moves
    offset = _offset(design, prior)
    return refined(design, offset, prior, fit(design, offset, prior)), prior, sizes, moves


def _weighed(factors: Sequence[float], evidence: Sequence[float], spread: float) -> float:
    """Root of the mean square of a factor, from what speaks for each and how far it is believed to stray.

    The mean is of squares, so that what is not known of the factor widens the intervals as it must.
    """
    squares = np.square(factors)
    merits = np.array(evidence) - 0.5 * (np.log(factors) / spread) ** 2
    weights = np.exp(merits - merits.max())
    return float(np.sqrt(weights @ squares / weights.sum()))


def _offset(design: Design, prior: Prior) -> Floats:
    return offset_of(design.prior, spread_of(prior, design.common, design.own))


def _tally(design: Design) -> Tally:
    sure = design.times * (1.0 - 2.0 * design.spoke) ** 2
    count = np.asarray(np.bincount(design.row, sure, minlength=len(design.prior)), np.float64)
    return Tally(design.pair, design.technique, design.age_weeks, count)


def _laid_once(horn: Horn, tried: Tried, chances: Chances) -> tuple[WayTable, float, Floats, PairName]:
    """Lay one slur out: its table, its prior, its columns, and the name of its pair of ways."""
    ways = [way_on(horn, taken) for taken in tried.ways]
    for taken, way in zip(tried.ways, ways, strict=True):
        if way is None:
            wanted = f"{taken.fingering} on partial {taken.partial}"
            raise FingeringError(f"{horn.name} has no such way", got=wanted, where=f"sounding {taken.sounding}")
    midis = [taken.sounding.midi for taken in tried.ways]
    table = table_of_ways([(midi, [way]) for midi, way in zip(midis, ways, strict=True) if way], horn)
    times = (np.array([tried.dynamic]), *(np.array([max(LEAST_S, time)]) for time in (tried.time_s, tried.hold_s)))
    around = Circumstances(*times)
    changes = changes_between(table, _FIRST, _SECOND, around=around, same_place_m=chances.slide.same_place_m)
    prior = float(break_risks(changes, tried.technique, chances=chances, slide=table.slide)[0])
    columns = columns_of(changes, tried.technique, chances=chances, slide=table.slide)
    first, second = ((midi, way.fingering, way.partial) for midi, way in zip(midis, ways, strict=True) if way)
    return table, prior, columns, (horn.id, first, second)


def _outlook(
    learnt: Learnt, common: Floats, own: Floats, *, pair: int | None, partials: int | None
) -> tuple[Floats, Floats]:
    """Mean, beside the offset, and variance of logits of one slur on several days."""
    posterior, size = learnt.posterior, len(learnt.prior.common)
    if partials is None:
        mean = common @ learnt.mean
        variance = np.einsum("na,na->n", common @ learnt.covariance, common) + learnt.prior.partials
    else:
        here = np.append(np.arange(size), size + partials)
        shared = np.concatenate([common, np.ones((len(common), 1))], axis=1)
        mean = shared @ posterior.mean.shared[here]
        variance = np.einsum("na,na->n", shared @ posterior.shared[np.ix_(here, here)], shared)
    if pair is None or partials is None:
        return mean, variance + np.einsum("nk,nk->n", own @ learnt.prior.own, own)
    mean = mean + own @ posterior.mean.own[pair]
    variance += 2.0 * np.einsum("nk,nk->n", shared @ posterior.cross[pair][here], own)
    return mean, variance + np.einsum("nk,nk->n", own @ posterior.own[pair], own)
