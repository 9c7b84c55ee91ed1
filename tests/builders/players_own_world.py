"""The first world: players drawn from what is believed of players, so that learning is right about them.

The columns and sizes of the effects are the learner's own; that is the point of this world. Change is drawn from week
to week as a memory that fades, of which the learner's knots are an approximation.
"""

import numpy as np

from builders.players import CHANCES, TECHNIQUES, Book, Player, Slurs, changes_of, priors_of
from builders.players_worlds import PlayersWorld
from slurwright.devices.packaged import load_beliefs
from slurwright.evidence.learning.effects import CROSSING, columns_of, partials_of, sizes_of
from slurwright.evidence.learning.logistic import offset_of
from slurwright.plan.transition import Floats, Ints

__all__ = ["AS_BELIEVED"]

_BELIEFS = load_beliefs()
_WEEKS = 120


def _fading(rng: np.random.Generator, count: int, size: float) -> Floats:
    """Draw changes, week by week, shape=(count, weeks)."""
    kept = np.exp(-1.0 / _BELIEFS.drift.memory_weeks)
    value = size * rng.normal(size=count)
    found = np.empty((count, _WEEKS))
    for week in range(_WEEKS):
        found[:, week] = value
        value = kept * value + size * np.sqrt(1.0 - kept**2) * rng.normal(size=count)
    return found


def _at(changes: Floats, which: Ints, week: Floats) -> Floats:
    """Read changes between the weeks."""
    before = np.minimum(week.astype(np.int64), _WEEKS - 2)
    part = week - before
    return np.asarray((1.0 - part) * changes[which, before] + part * changes[which, before + 1])


def _one_of(rng: np.random.Generator, factors: tuple[float, ...], spread: float) -> float:
    weights = np.exp(-0.5 * (np.log(factors) / spread) ** 2)
    return float(rng.choice(factors, p=weights / weights.sum()))


def _columns(book: Book, slurs: Slurs) -> Floats:
    changes = changes_of(book, slurs)
    found = np.empty((len(slurs.which), len(sizes_of(_BELIEFS.effects))))
    for place, technique in enumerate(TECHNIQUES):
        mine = slurs.technique == place
        found[mine] = columns_of(changes, technique, chances=CHANCES, slide=book.table.slide)[mine]
    return found


def _as_believed(book: Book, rng: np.random.Generator) -> Player:
    drift, scales = _BELIEFS.drift, _BELIEFS.scales
    size = _one_of(rng, scales.sizes, scales.sizes_spread)
    moves = _one_of(rng, scales.moves, scales.moves_spread)
    sizes = size * sizes_of(_BELIEFS.effects)
    effects = sizes * rng.normal(size=len(sizes))
    numbers, partials = np.unique(partials_of(book.table, book.source, book.target), return_inverse=True)
    pairs = int(book.pair_id.max()) + 1
    by_partials = size * drift.partials * rng.normal(size=len(numbers))
    by_ways = size * drift.ways * rng.normal(size=pairs)
    by_technique = size * drift.technique * rng.normal(size=(pairs, len(TECHNIQUES)))
    all_move = _fading(rng, 1, size * moves * drift.crossing_moves)
    ways_move = _fading(rng, pairs, size * moves * drift.ways_move)
    steady = size**2 * (drift.partials**2 + drift.ways**2 + drift.technique**2 + (moves * drift.ways_move) ** 2)

    def true_logit(slurs: Slurs) -> Floats:
        columns = _columns(book, slurs)
        pair = book.pair_id[slurs.which]
        crosses = columns[:, CROSSING]
        variance = columns**2 @ sizes**2 + steady + crosses * (size * moves * drift.crossing_moves) ** 2
        own: Floats = by_partials[partials[slurs.which]] + by_ways[pair] + by_technique[pair, slurs.technique]
        own = own + crosses * _at(all_move, np.zeros_like(pair), slurs.week) + _at(ways_move, pair, slurs.week)
        return offset_of(priors_of(book, slurs), variance) + columns @ effects + own

    return true_logit


AS_BELIEVED = PlayersWorld("as believed", _as_believed)
