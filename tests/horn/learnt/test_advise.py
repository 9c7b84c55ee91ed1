"""Advice on what to measure: exact on a normal model, best by brute force, better than chance."""

from collections.abc import Iterable, Mapping
from dataclasses import replace

import numpy as np
import pytest

from builders.horn_trials import PRIORS
from builders.horn_worlds import useful_ways
from slurwright.devices.packaged import load_horn
from slurwright.errors import RequestError
from slurwright.horn.learnt import ToneReading, WayKey
from slurwright.horn.learnt.advise import next_notes, steady_ways
from slurwright.horn.learnt.learn import LearntHorn, learn
from slurwright.horn.learnt.predict import joint
from slurwright.pitch import SoundingPitch

HORN = load_horn("trumpet-b")
SURE = replace(PRIORS, trust=1e12, slip_chance=1e-9)
WANTED = {way[:2]: 1.0 + place % 3 for place, way in enumerate(useful_ways(HORN)[3:40:3])}


def _width(learnt: LearntHorn) -> float:
    weights = np.array(list(WANTED.values()))
    spread = np.sqrt(np.diag(joint(learnt, list(WANTED)).covariance))
    return float(2 * 1.6448536 * (weights @ spread) / weights.sum())


def _read(learnt: LearntHorn, ways: Iterable[tuple[WayKey, SoundingPitch]]) -> LearntHorn:
    readings = [ToneReading(note, *way, 0.0, "next") for way, note in ways]
    return learn(HORN, [*learnt.readings, *readings], SURE)


def test_first_note_is_the_best_of_all_and_widths_come_true() -> None:
    learnt = learn(HORN, (), SURE)
    advice = next_notes(learnt, WANTED, count=3)
    assert advice.width_now_cents == pytest.approx(_width(learnt), rel=1e-6)
    tried = {way: _width(_read(learnt, [(way, note)])) for way, note in steady_ways(HORN).items()}
    first = advice.notes[0]
    assert (first.fingering, first.partial) == min(tried, key=tried.__getitem__)
    taken = [((note.fingering, note.partial), note.sounding) for note in advice.notes]
    for count, note in enumerate(advice.notes, 1):
        assert note.width_after_cents == pytest.approx(_width(_read(learnt, taken[:count])), abs=0.05)


def test_advice_is_worth_more_than_as_many_notes_by_chance() -> None:
    learnt = learn(HORN, (), SURE)
    advised = next_notes(learnt, WANTED, count=8).width_then_cents
    rng = np.random.default_rng(1)
    steady = list(steady_ways(HORN).items())
    chance = [_width(_read(learnt, [steady[place] for place in rng.permutation(len(steady))[:8]])) for _ in range(30)]
    assert advised < min(chance), "no draw of eight is better than the advice"
    assert advised < 0.93 * np.mean(chance)


def test_only_steady_ways_are_advised_unless_others_are_given() -> None:
    learnt = learn(HORN, (), PRIORS)
    steady = steady_ways(HORN)
    assert all((note.fingering, note.partial) in steady for note in next_notes(learnt, WANTED, count=10).notes)
    mine = dict(list(steady.items())[:2])
    assert {(note.fingering, note.partial) for note in next_notes(learnt, WANTED, count=5, among=mine).notes} <= set(
        mine
    )


def test_nothing_to_learn_or_to_choose_is_refused() -> None:
    learnt = learn(HORN, (), PRIORS)
    cases: tuple[tuple[Mapping[WayKey, float], Mapping[WayKey, SoundingPitch] | None], ...] = (
        ({}, None),
        ({("0", 4): 0.0}, None),
        (WANTED, {}),
    )
    for wanted, among in cases:
        with pytest.raises(RequestError):
            next_notes(learnt, wanted, among=among)
