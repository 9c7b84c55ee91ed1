"""Simulated seasons: players who practise weak slurs day by day until a concert, in worlds of different learning.

A world knows the true chance of each slur, how tries change it and what a night takes away. The player's coach knows
none of that: it sees tries that speak or break, and holds for each slur a normal belief of its logit, moved by each
try, older tries counted less. Four ways to spend the same seconds are compared: as planned, alike on every slur, at
random, and on the worst slur first.

The worlds share no code with the planner. `OWN` has the planner's form and figures, with a pace that differs from
slur to slur; two have its form with other figures, three another form.
"""

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from datetime import date, timedelta

import numpy as np
from numpy.random import Generator

from slurwright.evidence.attempts import Tried
from slurwright.listen.kept import TakenWay
from slurwright.pitch import SoundingPitch, WrittenPitch
from slurwright.plan import Technique
from slurwright.practice.sheet.allotting import allot, set_s
from slurwright.practice.sheet.table import PracticeTable
from slurwright.practice.sheet.targets import Target, TriedDay

__all__ = ["OWN", "STRATEGIES", "WORLDS", "Season", "World", "Worn", "draw_season", "play_season", "target"]

START = date(2026, 3, 2)


def target(key: str = "slur", *, risk: float = 0.3, low: float = 0.1, high: float = 0.6, **changes: object) -> Target:
    """A slur that may be practised; F3 to B flat 3 on a B flat euphonium, read in bass clef."""
    ways = (
        TakenWay(WrittenPitch.named("F3"), SoundingPitch.named("F3"), "0", 3),
        TakenWay(WrittenPitch.named("Bb3"), SoundingPitch.named("Bb3"), "0", 4),
    )
    tried = Tried(ways, Technique.PLAIN, dynamic=-2.0, tempo_qpm=72.0, time_s=0.83, hold_s=1.67)
    one = Target(key=key, tried=tried, names=("F3", "Bb3"), risk=risk, low=low, high=high)
    return replace(one, **changes)  # type: ignore[arg-type]


@dataclass(frozen=True, slots=True)
class World:
    """How slurs are learnt in truth."""

    name: str
    gain: float = 0.08
    """Of the first try [logit]."""
    most: float = 3.0
    """All that practice gives [logit]."""
    again: float = 0.95
    """What a further try of the day is worth beside the one before."""
    kept: float = 0.6
    """Share of the day's gain that is there on the next."""
    half_life_days: float = 30.0
    differ: float = 0.7
    """SD of the log of a slur's own pace."""
    stuck: float = 0.0
    """Share of slurs that practice hardly moves."""
    doubling: float = 0.0
    """If above 0, gain is so much for each doubling of all tries instead [logit]."""
    tires: float = 0.0
    """What each try of the day adds to the logit of the tries after it, and takes from what they teach [1]."""
    disturbs: float = 0.0
    """Share of a try's gain that every other slur loses of today's."""
    spaced: float = 0.0
    """If above 0, a day's gain is less the sooner it comes after the last day of the same slur [d]."""


OWN = World("the planner's own")
WORLDS = (
    OWN,
    World("each doubling counts, nothing forgotten", doubling=0.45, kept=1.0, half_life_days=1e9),
    World("a third of the slurs do not move", stuck=0.34, most=4.0, differ=0.3),
    World("tiring, and slurs disturb each other", gain=0.1, tires=0.012, disturbs=0.04, kept=0.5, differ=0.3),
    World("spaced days teach more, quick forgetting", gain=0.12, spaced=1.5, half_life_days=10.0, differ=0.3),
    World("slow learner", gain=0.03, differ=0.5),
)


@dataclass(slots=True)
class Worn:
    """One player's state in a world."""

    world: World
    start: np.ndarray
    pace: np.ndarray
    lasting: np.ndarray = field(init=False)
    fresh: np.ndarray = field(init=False)
    today: np.ndarray = field(init=False)
    tries: np.ndarray = field(init=False)
    rested: np.ndarray = field(init=False)

    def __post_init__(self) -> None:
        count = len(self.start)
        self.lasting, self.fresh = np.zeros(count), np.zeros(count)
        self.today, self.tries, self.rested = np.zeros(count), np.zeros(count), np.full(count, 99.0)

    def logits(self) -> np.ndarray:
        return np.asarray(self.start - self.lasting - self.fresh)

    def try_slur(self, slur: int, rng: Generator) -> bool:
        """Try a slur once; True if it spoke."""
        world = self.world
        tired = world.tires * self.today.sum()
        spoke = bool(rng.random() >= 1.0 / (1.0 + math.exp(-(self.logits()[slur] + tired))))
        if world.doubling:
            gain = (
                self.pace[slur] * world.doubling * math.log2((self.tries[slur] + 9.0) / (self.tries[slur] + 8.0)) * 2
            )
        else:
            left = max(0.0, 1.0 - (self.lasting[slur] + self.fresh[slur]) / world.most)
            gain = self.pace[slur] * world.gain * world.again ** self.today[slur] * left
        if world.spaced:
            gain *= 1.0 - math.exp(-self.rested[slur] / world.spaced)
        gain *= max(0.0, 1.0 - tired)
        if world.disturbs:
            others = np.arange(len(self.start)) != slur
            self.fresh[others] = np.maximum(0.0, self.fresh[others] - world.disturbs * gain)
        self.fresh[slur] += gain
        self.today[slur] += 1
        self.tries[slur] += 1
        return spoke

    def sleep(self) -> None:
        world = self.world
        self.rested = np.where(self.today > 0, 1.0, self.rested + 1.0)
        self.lasting = (self.lasting + world.kept * self.fresh) * 0.5 ** (1.0 / world.half_life_days)
        self.fresh = np.zeros_like(self.fresh)
        self.today = np.zeros_like(self.today)


@dataclass(frozen=True, slots=True)
class Season:
    """What a season starts from, the same for every way to spend it."""

    targets: tuple[Target, ...]
    """As the plan sees them on the first day: priors with their intervals."""
    start: np.ndarray
    """True logits of a break."""
    pace: np.ndarray
    days: tuple[date, ...]
    """On which the player practises."""
    concert: date
    seconds: float
    """For weak slurs, each day."""


PRIOR_SD = 0.9
"""How far a slur of this player lies from the plan's prior [logit]."""


def draw_season(world: World, rng: Generator, *, slurs: int = 9, days: int = 14) -> Season:
    """Draw a part's weak slurs, a player and a diary."""
    prior = np.clip(rng.normal(-1.3, 0.9, slurs), -3.3, 1.0)
    start = prior + rng.normal(0.0, PRIOR_SD, slurs)
    pace = np.exp(world.differ * rng.standard_normal(slurs))
    pace = np.where(rng.random(slurs) < world.stuck, 0.05, pace)
    times = 1 + rng.poisson(0.8, slurs)
    targets = []
    for index in range(slurs):
        risk, low, high = _interval(prior[index], PRIOR_SD)
        one = target(
            f"slur {index}", risk=risk, low=low, high=high, times=int(times[index]), height=float(rng.random())
        )
        hold_s = float(rng.uniform(0.4, 3.5))
        targets.append(replace(one, tried=replace(one.tried, hold_s=hold_s, dynamic=float(rng.integers(-3, 1)))))
    played = [START + timedelta(days=day) for day in range(days) if rng.random() < 0.8] or [START]
    return Season(
        tuple(targets), start, pace, tuple(played), START + timedelta(days=days), float(rng.uniform(300, 900))
    )


def _interval(mean: float, spread: float) -> tuple[float, float, float]:
    """Predictive risk of a normal belief, and its nine in ten."""
    nodes, weights = np.polynomial.hermite_e.hermegauss(15)
    risk = float((weights / weights.sum()) @ (1.0 / (1.0 + np.exp(-(mean + spread * nodes)))))
    low, high = (1.0 / (1.0 + math.exp(-(mean + side * 1.645 * spread))) for side in (-1.0, 1.0))
    return risk, low, high


Strategy = Callable[[Sequence[Target], "Season", date, PracticeTable, Generator], list[int]]
"""Slurs, beliefs, the season, the day: the tries of the day as target numbers, in order."""


def planned(
    targets: Sequence[Target], season: Season, today: date, table: PracticeTable, rng: Generator
) -> list[int]:
    shared = allot(targets, seconds=season.seconds, today=today, concert=season.concert, table=table)
    numbers = {one.key: index for index, one in enumerate(targets)}
    return [numbers[one.target.key] for one in shared.slurs for _ in range(one.tries)]


def _in_sets(
    targets: Sequence[Target], season: Season, table: PracticeTable, choose: Callable[[Sequence[int]], int]
) -> list[int]:
    """Sets of tries until the time is over; the place is found anew whenever the slur changes."""
    tries: list[int] = []
    counts = [0] * len(targets)
    left, size = season.seconds, int(table.shape.set_tries)
    while True:
        fits = [
            index
            for index, one in enumerate(targets)
            if set_s(one, table) + (0.0 if counts[index] else table.time.settle_s) <= left
            and counts[index] + size <= table.shape.most_tries
        ]
        if not fits:
            return tries
        best = choose(fits)
        left -= set_s(targets[best], table) + (0.0 if counts[best] else table.time.settle_s)
        counts[best] += size
        tries += [best] * size


def alike(targets: Sequence[Target], season: Season, today: date, table: PracticeTable, rng: Generator) -> list[int]:
    """Equal time: always the slur that had the fewest seconds so far this season."""
    spent = {
        index: set_s(one, table) * sum(day.tries for day in one.days) / table.shape.set_tries
        for index, one in enumerate(targets)
    }

    def choose(fits: Sequence[int]) -> int:
        best = min(fits, key=lambda index: (spent[index], index))
        spent[best] += set_s(targets[best], table)
        return best

    return _in_sets(targets, season, table, choose)


def by_lot(targets: Sequence[Target], season: Season, today: date, table: PracticeTable, rng: Generator) -> list[int]:
    return _in_sets(targets, season, table, lambda fits: int(rng.choice(fits)))


def worst_first(
    targets: Sequence[Target], season: Season, today: date, table: PracticeTable, rng: Generator
) -> list[int]:
    """The slur that breaks most until it has had its most for the day, then the next."""
    return _in_sets(targets, season, table, lambda fits: max(fits, key=lambda index: (targets[index].risk, -index)))


def nothing(
    targets: Sequence[Target], season: Season, today: date, table: PracticeTable, rng: Generator
) -> list[int]:
    return []


STRATEGIES: dict[str, Strategy] = {
    "planned": planned,
    "alike": alike,
    "by lot": by_lot,
    "worst first": worst_first,
    "nothing": nothing,
}


def play_season(world: World, season: Season, strategy: Strategy, *, table: PracticeTable, rng: Generator) -> float:
    """Play a season, and say how likely every slur speaks at the concert."""
    player = Worn(world, season.start.copy(), season.pace)
    targets = list(season.targets)
    priors = [math.log(one.low / (1 - one.low)) / 2 + math.log(one.high / (1 - one.high)) / 2 for one in targets]
    seen: list[list[tuple[date, bool]]] = [[] for _ in targets]
    day = START
    while day < season.concert:
        if day in season.days:
            done: dict[int, TriedDay] = {}
            for slur in strategy(targets, season, day, table, rng):
                spoke = player.try_slur(slur, rng)
                seen[slur].append((day, spoke))
                had = done.get(slur, TriedDay(day))
                done[slur] = replace(had, good=had.good + spoke, missed=had.missed + (not spoke))
            for slur, tried in done.items():
                targets[slur] = replace(targets[slur], days=(*targets[slur].days, tried))
        player.sleep()
        day += timedelta(days=1)
        if day in season.days:
            targets = [
                _believed(one, prior, past, day) for one, prior, past in zip(targets, priors, seen, strict=True)
            ]
    speaks = -np.logaddexp(0.0, player.logits())
    return float(np.exp((np.array([one.times for one in targets]) * speaks).sum()))


_FORGET_DAYS = 4.0


def _believed(one: Target, prior: float, seen: Sequence[tuple[date, bool]], day: date) -> Target:
    """The coach's belief: a normal prior, tries weighed by their age, the peak and curvature of the two together."""
    if not seen:
        return one
    weights = np.array([0.5 ** ((day - then).days / _FORGET_DAYS) for then, _ in seen])
    broke = np.array([not spoke for _, spoke in seen], dtype=np.float64)
    logit = prior
    for _ in range(30):
        risk = 1.0 / (1.0 + math.exp(-logit))
        slope = (weights * (broke - risk)).sum() - (logit - prior) / PRIOR_SD**2
        curve = weights.sum() * risk * (1.0 - risk) + 1.0 / PRIOR_SD**2
        logit += max(-1.0, min(1.0, slope / curve))
    risk, low, high = _interval(logit, 1.0 / math.sqrt(curve))
    return replace(one, risk=risk, low=low, high=high)
