"""Trials of learning on invented players: practise, learn, and foretell the next time through the part."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import timedelta

import numpy as np

from builders.players import (
    CHANCES,
    FIRST_DAY,
    HORNS,
    TECHNIQUES,
    Book,
    Practice,
    Slurs,
    attempts_of,
    book_of,
    changes_of,
    fresh_slurs,
    play_through,
    priors_of,
    risk_of_logit,
)
from builders.players_own_world import AS_BELIEVED
from builders.players_scores import Foretold
from builders.players_worlds import CHANGING, OTHER_PHYSICS, TERRIBLE_PAIRS, PlayersWorld
from slurwright.devices.packaged import load_beliefs
from slurwright.evidence.learning.learn import Learnt, learn
from slurwright.plan.transition import Floats

__all__ = ["WORLDS", "Forecast", "Forecaster", "Trial", "forecasts_of", "learnt_from", "ours", "prior_only", "trial"]

BELIEFS = load_beliefs()
WORLDS = (AS_BELIEVED, TERRIBLE_PAIRS, OTHER_PHYSICS, CHANGING)
Forecast = tuple[Floats, Floats, Floats]
"""Foretold risk and the ends of its interval."""
Forecaster = Callable[["Trial"], Forecast]


@dataclass(frozen=True, slots=True)
class Trial:
    """One player who practised, and the next time through the part."""

    number: int
    book: Book
    practice: Practice
    fresh: Slurs
    truth: Floats


def trial(world: PlayersWorld, number: int, *, attempts: int) -> Trial:
    """Let a player practise.

    Args:
        world: where the player is from.
        number: the same one gives the same player, horn and part.
        attempts: how many they make [1].

    """
    book = book_of(HORNS[number % len(HORNS)], seed=number)
    player = world.draw(book, np.random.default_rng((number, 1)))
    practice = play_through(book, player, np.random.default_rng((number, 2)), attempts=attempts, habits=world.habits)
    practised = np.bincount(book.pair_id[practice.slurs.which], minlength=int(book.pair_id.max()) + 1)
    rng = np.random.default_rng((number, 3))
    fresh = fresh_slurs(book, rng, week=practice.next_day / 7.0, practised=practised)
    return Trial(number, book, practice, fresh, risk_of_logit(player(fresh)))


def learnt_from(done: Trial) -> Learnt:
    """Learn from what was practised, on the day of the next session."""
    return learn(
        attempts_of(done.book, done.practice),
        {done.book.horn_id: done.book.horn},
        chances=CHANCES,
        beliefs=BELIEFS,
        today=FIRST_DAY + timedelta(days=done.practice.next_day),
    )


def ours(done: Trial) -> Forecast:
    """Foretell with what Slurwright learns."""
    known = learnt_from(done).on(done.book.horn_id)
    changes = changes_of(done.book, done.fresh)
    prior = priors_of(done.book, done.fresh)
    found = np.empty((3, len(prior)))
    for place, technique in enumerate(TECHNIQUES):
        mine = done.fresh.technique == place
        figures = known.risk_figures(prior, done.book.table, changes, technique)
        found[:, mine] = np.stack([figures.risk, figures.low, figures.high])[:, mine]
    return found[0], found[1], found[2]


def prior_only(done: Trial) -> Forecast:
    """Foretell with the plan's priors."""
    prior = priors_of(done.book, done.fresh)
    return prior, prior, prior


def forecasts_of(done: Trial, forecasters: Mapping[str, Forecaster]) -> dict[str, Foretold]:
    """Foretell the same slurs in several ways."""
    player = np.full(len(done.truth), done.number)
    found = {}
    for name, forecaster in forecasters.items():
        risk, low, high = forecaster(done)
        found[name] = Foretold(player, risk, done.truth, low, high)
    return found
