"""Learning from 100,000 attempts, beside scikit-learn's logistic regression on the same design.

The works are lines of ``python -m benchmarks``. Ten invented players' years on three horns stand for one player's; no
two attempts have the same dynamic, and tempos differ. Ours is timed from the attempts as they are kept: laid out,
joined, learnt under several scales, with all covariances. The other side is handed the finished columns, sparse, and
finds one set of weights under one penalty.
"""

import sys
import warnings
from collections.abc import Callable
from datetime import date, timedelta
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).parents[1] / "tests"))

from builders.players import CHANCES, HORNS, Habits, attempts_of, book_of, logit, play_through
from builders.players_worlds import TERRIBLE_PAIRS
from slurwright.devices.packaged import load_beliefs
from slurwright.evidence.attempts import Attempt
from slurwright.evidence.learning.design import design_of
from slurwright.evidence.learning.laid import lay_out
from slurwright.evidence.learning.learn import learn
from slurwright.horn import Horn

__all__ = ["prepare_learn", "prepare_regression"]

BOOKS = 10
HABITS = Habits(session=20, days_apart=3.5)
BELIEFS = load_beliefs()


def _many(count: int) -> tuple[tuple[Attempt, ...], dict[str, Horn], date]:
    """Attempts of one player at ten parts, the horns, and the day after."""
    found: list[Attempt] = []
    for number in range(BOOKS):
        book = book_of(HORNS[number % len(HORNS)], seed=1000 + number)
        rng = np.random.default_rng((number, 7))
        player = TERRIBLE_PAIRS.draw(book, rng)
        found += attempts_of(book, play_through(book, player, rng, attempts=count // BOOKS, habits=HABITS))
    horns = {horn_id: book_of(horn_id, seed=1000).horn for horn_id in HORNS}
    return tuple(found), horns, max(attempt.played_on for attempt in found) + timedelta(days=1)


def prepare_learn(count: str) -> Callable[[], object]:
    """Learn from attempts as they are kept."""
    attempts, horns, today = _many(int(count))
    return lambda: learn(attempts, horns, chances=CHANCES, beliefs=BELIEFS, today=today)


def prepare_regression(count: str) -> Callable[[], object]:
    """Fit scikit-learn's logistic regression to the columns of the same attempts."""
    from scipy.sparse import csr_matrix, hstack, vstack  # noqa: PLC0415 - ours is not charged with it
    from sklearn.linear_model import LogisticRegression  # noqa: PLC0415

    attempts, horns, today = _many(int(count))
    design = design_of(lay_out(attempts, horns, today=today)[0], chances=CHANCES, beliefs=BELIEFS)
    rows, own = np.arange(len(design.pair)), design.own.shape[1]
    places = design.pair[:, None] * own + np.arange(own)
    of_pairs = csr_matrix((design.own.ravel(), (np.repeat(rows, own), places.ravel())))
    of_partials = csr_matrix((np.ones(len(rows)), (rows, design.partials_of_pair[design.pair])))
    shared = csr_matrix(np.concatenate([logit(design.prior)[:, None], design.common], axis=1))
    columns = csr_matrix(hstack([shared, of_partials, of_pairs]))[design.row]
    both = csr_matrix(vstack([columns, columns]))
    broke = np.repeat([False, True], len(design.row))
    weight = np.concatenate([design.times * design.spoke, design.times * (1.0 - design.spoke)])

    def work() -> object:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            return LogisticRegression(max_iter=1000).fit(both, broke, sample_weight=weight)

    return work
