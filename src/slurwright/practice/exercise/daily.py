"""The lip slurs of a day: for no slur in particular, over the range, from slow and wide to quick and long."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from numpy.random import Generator, default_rng

from slurwright.horn import Horn, HornKind
from slurwright.pitch import Reading, SoundingPitch
from slurwright.practice.exercise.dress import dressed
from slurwright.practice.exercise.lips import Stations, drill, in_some_order, stations_on
from slurwright.practice.exercise.rhythm import Grain
from slurwright.practice.exercise.rules import ExerciseRules
from slurwright.practice.exercise.rungs import Link, Rungs, chain_of, usual_partials
from slurwright.practice.exercise.values import Exercise, ExerciseKind
from slurwright.practice.exercise.words import chain_words, daily_words

__all__ = ["daily_lip_slurs"]

_LEAST_LINKS = 4
"""A later one over fewer fingerings is left out (ours)."""
_LONGEST_LADDER = 4
_TURNS_A_SIZE = 3
"""How many ladders of one length are played before a longer one."""
_START_SHARE = 0.35
"""How far up the range a day begins (ours) [1]."""
_MOST = 60


def daily_lip_slurs(
    horn: Horn,
    reading: Reading,
    *,
    rng: Generator,
    minutes: float,
    range_: tuple[SoundingPitch, SoundingPitch] | None = None,
    rules: ExerciseRules | None = None,
) -> tuple[Exercise, ...]:
    """Make the lip slurs of a day, from the middle of the range outwards, from slow and wide to quicker and longer.

    Args:
        horn: the instrument.
        reading: how its player reads.
        rng: makes them different from day to day.
        minutes: for playing and resting together; one short exercise is made even where they are too few [min].
        range_: the notes that the player owns; None for the horn's comfortable range.
        rules: figures; None for the built-in ones.

    """
    rules = rules or ExerciseRules()
    low, high = (pitch.midi for pitch in range_ or horn.comfortable)
    rungs = Rungs.on(horn, reading, low_midi=low, high_midi=high)
    left_s = 60.0 * minutes
    made: list[Exercise] = []
    for shape in _shapes(rungs, rng, rules):
        one = _fitting(shape, rungs, rng, left_s, level=len(made) + 1, rules=rules)
        if made and (one.play_s + one.rest_s > left_s or len(one.part.measures) < 2 * _LEAST_LINKS):
            break
        made.append(one)
        left_s -= one.play_s + one.rest_s
        if left_s <= 0.0:
            break
    return tuple(made)


@dataclass(frozen=True, slots=True)
class _Shape:
    """What one of them is to move over."""

    ladder: tuple[int, ...]
    """Partials, lowest first."""
    stations: Stations
    grain: Grain


def _shapes(rungs: Rungs, rng: Generator, rules: ExerciseRules) -> Iterator[_Shape]:
    """Choose ladders of partials: two rungs in the middle first, then to either side of it, then longer ones."""
    sides = list(dict.fromkeys(setting.side for setting in rungs.horn.settings))
    if rungs.horn.kind is HornKind.SLIDE:
        sides = sides[:1]
    chains = [chain_of(rungs.horn, side=side, most=round(rules.links)) for side in sides]
    usual = [partial for partial in usual_partials(rules.stray_cents) if partial > 1]
    places = [(chain, _partials_in_range(rungs, chain, usual)) for chain in chains]
    places = [(chain, partials) for chain, partials in places if len(partials) > 1]
    orders: dict[tuple[int, int], list[int]] = {}
    for count in range(_MOST if places else 0):
        chain, partials = places[count % len(places)]
        turn = count // len(places)
        size = min(2 + turn // _TURNS_A_SIZE, _LONGEST_LADDER, len(partials))
        windows = [partials[start : start + size] for start in range(len(partials) - size + 1)]
        order = orders.setdefault((count % len(places), size), _in_order(windows, rng))
        ladder = windows[order[turn % _TURNS_A_SIZE % len(windows)]]
        grain = Grain.WIDE if turn == 0 else (Grain.MIDDLE, Grain.QUICK)[int(rng.integers(2)) if turn > 2 else 0]
        yield _Shape(tuple(ladder), stations_on(rungs, chain, ladder), grain)


def _in_order(windows: Sequence[Sequence[int]], rng: Generator) -> list[int]:
    """Places of ladders: from a little below the middle outwards, about, those that pass over a partial last."""
    start = _START_SHARE * (len(windows) - 1)
    gaps = [ladder[-1] - ladder[0] - len(ladder) + 1 for ladder in windows]
    return sorted(range(len(windows)), key=lambda at: (gaps[at] > 0, abs(at - start) + float(rng.random())))


def _partials_in_range(rungs: Rungs, chain: Sequence[Link], usual: Sequence[int]) -> list[int]:
    """Partials that can be played on most links of a chain."""
    return [partial for partial in usual if len(stations_on(rungs, chain, (partial,))) > len(chain) / 2]


def _fitting(
    shape: _Shape, rungs: Rungs, rng: Generator, left_s: float, *, level: int, rules: ExerciseRules
) -> Exercise:
    """Make one exercise over as many links as there is time for; over the fewest where there is too little."""
    seed = int(rng.integers(2**32))
    fewest = min(len(shape.stations), _LEAST_LINKS if level > 1 else 1)
    one = _written(shape, rungs, default_rng(seed), len(shape.stations), level=level, rules=rules)
    each_s = one.play_s * (1.0 + rules.rest_share) / len(shape.stations)
    count = max(fewest, min(len(shape.stations), int(left_s / each_s) + 1))
    while True:
        one = _written(shape, rungs, default_rng(seed), count, level=level, rules=rules)
        if count <= fewest or one.play_s + one.rest_s <= left_s:
            return one
        count -= 1


def _written(
    shape: _Shape, rungs: Rungs, rng: Generator, count: int, *, level: int, rules: ExerciseRules
) -> Exercise:
    stations = shape.stations[:count]
    low, high = stations[0][0].written, stations[0][-1].written
    size = len(shape.ladder)
    ordered = stations if level == 1 else in_some_order(stations, rng)
    step = int(rng.integers(len(shape.ladder) - 1))
    wide = shape.grain is Grain.WIDE
    made = drill(
        ordered,
        rungs,
        rng,
        step=(step, step + 1) if rng.random() < 0.5 else (step + 1, step),
        grain=shape.grain,
        tempo_qpm=rules.easy_qpm if wide else rules.usual_qpm,
        dynamic="mf" if shape.grain is not Grain.QUICK else "mp",
        title=f"Lip slurs {low} to {high}{f', {size} rungs' if size > 2 else ''}",
        swelling=not wide and bool(rng.random() < 0.5),
    )
    words = daily_words(shape.ladder, chain_words(stations))
    return dressed(ExerciseKind.DAILY, made, words, rungs=rungs, rules=rules, level=level)
