"""Worlds that invented players come from: how their true chances lie about the plan's priors.

The first is drawn from the very model that learns, so that its intervals must hold nine times in ten. The others are
not what the model was made for: a few slurs are terrible and the rest is as the plan says; the physics of the priors
is wrong and measurements are surer than they should be; the player changes from week to week and tires.
"""

from collections.abc import Callable
from dataclasses import dataclass, field, replace

import numpy as np

from builders.players import CHANCES, TECHNIQUES, Book, Habits, Player, Slurs, logit, priors_of
from slurwright.plan.transition import Floats

__all__ = ["CHANGING", "OTHER_PHYSICS", "TERRIBLE_PAIRS", "PlayersWorld"]


@dataclass(frozen=True, slots=True)
class PlayersWorld:
    """A kind of player."""

    name: str
    draw: Callable[[Book, np.random.Generator], Player]
    habits: Habits = field(default_factory=Habits)


def _terrible_pairs(book: Book, rng: np.random.Generator) -> Player:
    """One pair of ways in ten is terrible, one technique in three is not worth much; nothing else differs."""
    pairs = int(book.pair_id.max()) + 1
    terrible = np.where(rng.random(pairs) < 0.1, rng.normal(3.0, 0.7, size=pairs), 0.0)
    worthless = np.where(rng.random(len(TECHNIQUES)) < 0.33, 0.8, 0.0) * (np.arange(len(TECHNIQUES)) > 0)

    def true_logit(slurs: Slurs) -> Floats:
        shift: Floats = terrible[book.pair_id[slurs.which]] + worthless[slurs.technique]
        return logit(priors_of(book, slurs)) + shift

    return true_logit


_WRONG = replace(
    CHANCES,
    slur=replace(
        CHANCES.slur,
        down=-CHANCES.slur.down,
        hurry=2.0 * CHANCES.slur.hurry,
        each_closer=2.0 * CHANCES.slur.each_closer,
    ),
    technique=replace(CHANCES.technique, tongue_up=0.0, tongue_down=0.0),
)
"""Up is harder than down, hurry twice as bad, partials up high twice as close, the tongue useless."""


def _other_physics(book: Book, rng: np.random.Generator) -> Player:
    level = 0.4 * rng.normal()
    own = 0.3 * rng.normal(size=int(book.pair_id.max()) + 1)

    def true_logit(slurs: Slurs) -> Floats:
        return logit(priors_of(book, slurs, chances=_WRONG)) + level + own[book.pair_id[slurs.which]]

    return true_logit


def _changing(book: Book, rng: np.random.Generator) -> Player:
    """Half learn fast, half lose much in a break of five weeks; all tire, and each pair gets better by practice."""
    end = rng.normal(-0.2, 0.7)
    start = end + rng.uniform(1.0, 2.4)
    weeks = rng.uniform(2.0, 4.0)
    learner = rng.random() < 0.5
    own = 0.4 * rng.normal(size=int(book.pair_id.max()) + 1)
    tired = rng.uniform(0.3, 1.0)

    def true_logit(slurs: Slurs) -> Floats:
        if learner:
            level = end + (start - end) * np.exp(-slurs.week / weeks)
        else:
            back = 0.15 * np.clip(slurs.week - 8.0, 0.0, 8.0)
            level = np.where(slurs.week < 3.0, end, start - back)
        fatigue = tired * np.clip((slurs.late - 0.5) / 0.5, 0.0, 1.0)
        gained = 0.6 * (1.0 - np.exp(-slurs.practised / 8.0))
        return logit(priors_of(book, slurs)) + level + fatigue - gained + own[book.pair_id[slurs.which]]

    return true_logit


TERRIBLE_PAIRS = PlayersWorld("a few terrible pairs", _terrible_pairs)
OTHER_PHYSICS = PlayersWorld(
    "other physics, over-sure measurements", _other_physics, Habits(by_ear=0.0, sure=(0.99,), slipped=0.04)
)
CHANGING = PlayersWorld("a player who changes", _changing, Habits(pause=(3.0, 5.0)))
