"""Exercises that make a weak slur safe, and the lip slurs of every day.

Made by rule and never from a list: the rungs come from the slur, the fingerings from the horn's own lengths, rhythm,
metre, contour, grouping and order from `rng`. The same seed gives the same exercises. The order is from easy to hard,
the normal fingerings come first, and what helps when they do not hold comes last.
"""

from collections.abc import Iterator, Sequence
from dataclasses import replace

from numpy.random import Generator, default_rng

from slurwright.pitch import SoundingPitch
from slurwright.plan.study import Study
from slurwright.practice.exercise.aim import Aim, aim_of, same_partial_stations
from slurwright.practice.exercise.daily import daily_lip_slurs
from slurwright.practice.exercise.dress import dressed
from slurwright.practice.exercise.lips import Drill, Stations, drill, in_some_order, ladders, stations_on
from slurwright.practice.exercise.passage import bars_around, bars_text, passage
from slurwright.practice.exercise.rescue import Rescue, rescues_of
from slurwright.practice.exercise.rhythm import Grain
from slurwright.practice.exercise.rules import ExerciseRules
from slurwright.practice.exercise.rungs import usual_partials
from slurwright.practice.exercise.two import Pair, two_notes
from slurwright.practice.exercise.values import Exercise, ExerciseKind
from slurwright.practice.exercise.words import (
    around_words,
    at_tempo_words,
    passage_words,
    rung_title,
    rung_words,
    soft_words,
    two_words,
)
from slurwright.score.dynamics import mark_of_level

__all__ = ["daily_lip_slurs", "exercises_for"]

_WANTED_FIRST = (
    ExerciseKind.RUNG,
    ExerciseKind.TWO_NOTES,
    ExerciseKind.PASSAGE,
    ExerciseKind.RESCUE,
    ExerciseKind.SOFT,
    ExerciseKind.NEIGHBOURS,
)
"""Which kinds come first where only a few exercises are wanted (ours)."""


def exercises_for(
    study: Study,
    move: int,
    *,
    rng: Generator,
    most: int | None = None,
    range_: tuple[SoundingPitch, SoundingPitch] | None = None,
    rules: ExerciseRules | None = None,
) -> tuple[Exercise, ...]:
    """Make the exercises for one slur, from easy to hard.

    Args:
        study: the studied part.
        move: which move of its line; it must be slurred.
        rng: makes them different from day to day.
        most: at most so many: one of each sort before a second of any; None for all.
        range_: the notes that the player owns; None for the horn's comfortable range.
        rules: figures; None for the built-in ones.

    Raises:
        RequestError: the move is no slur.

    """
    rules = rules or ExerciseRules()
    aim = aim_of(study, move, range_=range_, rules=rules)
    made = [*_on_rungs(aim, rng, rules), *_on_the_slur(aim, rng, rules)]
    made = [replace(one, move=move, level=level) for level, one in enumerate(made, start=1)]
    return tuple(made if most is None else _few(made, most))


def _few(made: Sequence[Exercise], most: int) -> list[Exercise]:
    """Choose some exercises: one of each kind before a second of any, in their own order."""
    kinds = [one.kind for one in made]
    rank = {
        one.level: (kinds[:place].count(one.kind), _WANTED_FIRST.index(one.kind)) for place, one in enumerate(made)
    }
    chosen = sorted(rank, key=lambda level: rank[level])[:most]
    return [one for one in made if one.level in chosen]


def _on_rungs(aim: Aim, rng: Generator, rules: ExerciseRules) -> Iterator[Exercise]:
    """Practise the partials of a slur over the chain: slowly, with the neighbours, soft and quick."""
    stations, wide = _stations(aim, rules)
    if not stations:
        return
    step = (0, 1) if aim.up else (1, 0)
    plain = drill(
        stations,
        aim.rungs,
        rng,
        step=step,
        grain=Grain.WIDE,
        tempo_qpm=rules.easy_qpm,
        dynamic="mf",
        title=rung_title(aim),
        technique=aim.technique,
    )
    yield dressed(ExerciseKind.RUNG, plain, rung_words(aim, stations), rules=rules, rungs=aim.rungs)
    if wide is not None:
        partials, around = wide
        place = partials.index(aim.partials[0])
        between = drill(
            in_some_order(around, rng),
            aim.rungs,
            rng,
            step=(place, place + 1) if aim.up else (place + 1, place),
            grain=Grain.MIDDLE,
            tempo_qpm=rules.usual_qpm,
            dynamic="mf",
            title=f"{rung_title(aim)}, with the neighbours",
            technique=aim.technique,
        )
        words = around_words(partials)
        yield dressed(ExerciseKind.NEIGHBOURS, between, words, rules=rules, rungs=aim.rungs)
    soft = drill(
        in_some_order(stations, rng),
        aim.rungs,
        rng,
        step=step,
        grain=Grain.QUICK,
        tempo_qpm=rules.quickest_qpm,
        dynamic=mark_of_level(min(rules.soft_steps, aim.dynamic)),
        title=f"{rung_title(aim)}, soft",
        swelling=True,
        whole=True,
        technique=aim.technique,
        step_s=aim.time_s,
        slowest_qpm=rules.easy_qpm,
    )
    yield dressed(ExerciseKind.SOFT, soft, soft_words(aim), rules=rules, rungs=aim.rungs)


def _stations(aim: Aim, rules: ExerciseRules) -> tuple[Stations, tuple[tuple[int, ...], Stations] | None]:
    """Give the stations of a slur, and those of a longer ladder of partials; None where there is none."""
    usual = usual_partials(rules.stray_cents)
    if aim.partials[0] == aim.partials[1]:
        return same_partial_stations(aim, usual), None
    partials, wide = ladders(aim.rungs, aim.chain, aim.partials, usual)
    stations = stations_on(aim.rungs, aim.chain, aim.partials)
    return stations, (partials, wide) if len(partials) > len(aim.partials) else None


def _on_the_slur(aim: Aim, rng: Generator, rules: ExerciseRules) -> Iterator[Exercise]:
    """Practise the slur itself: its two notes, then the bars around it, then what helps."""
    slow_qpm = min(aim.tempo_qpm, max(rules.slowest_qpm, rules.slow_share * aim.tempo_qpm))
    seed = int(rng.integers(2**32))
    slow = _alone(aim, aim.pair, seed, rules, tempo_qpm=slow_qpm, title=f"{aim.names} alone, slowly")
    yield dressed(ExerciseKind.TWO_NOTES, slow, two_words(aim), rules=rules, rungs=aim.rungs)
    full = _alone(
        aim, aim.pair, seed, rules, tempo_qpm=aim.tempo_qpm, title=f"{aim.names} alone, at tempo", soft=True
    )
    yield dressed(ExerciseKind.TWO_NOTES, full, at_tempo_words(), rules=rules, rungs=aim.rungs)
    rescues = rescues_of(aim)
    for rescue in rescues:
        if rescue.marked:
            yield _rescue(aim, rescue, rng, rules, tempo_qpm=slow_qpm)
    if bars := bars_around(aim.study, aim.move):
        said = bars_text(aim.study, bars)
        for tempo_qpm, pace in ((slow_qpm, "slowly"), (aim.tempo_qpm, "at tempo")):
            title = f"{said[0].upper()}{said[1:]}, {pace}"
            cut = passage(aim.study, aim.move, tempo_qpm=tempo_qpm, title=title)
            words = passage_words(said, slowly=pace == "slowly")
            times = round(rules.passage_times)
            yield dressed(ExerciseKind.PASSAGE, cut, words, rules=rules, rungs=aim.rungs, times=times)
    for rescue in rescues:
        if not rescue.marked:
            yield _rescue(aim, rescue, rng, rules, tempo_qpm=slow_qpm)


def _rescue(aim: Aim, rescue: Rescue, rng: Generator, rules: ExerciseRules, *, tempo_qpm: float) -> Exercise:
    made = _alone(
        aim, rescue.pair, int(rng.integers(2**32)), rules, tempo_qpm=tempo_qpm, title=rescue.title, soft=True
    )
    return dressed(ExerciseKind.RESCUE, made, rescue.words, rules=rules, rungs=aim.rungs)


def _alone(
    aim: Aim, pair: Pair, seed: int, rules: ExerciseRules, *, tempo_qpm: float, title: str, soft: bool = False
) -> Drill:
    """Write the slur alone, at mf or as soft as the part asks; the same seed gives the same rhythm."""
    return two_notes(
        pair,
        aim.study.reading,
        default_rng(seed),
        times=round(rules.two_notes_times),
        tempo_qpm=tempo_qpm,
        dynamic=mark_of_level(aim.dynamic) if soft else "mf",
        name=aim.study.horn.name,
        title=title,
    )
