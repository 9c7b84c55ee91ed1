"""Fingers and techniques become known by being used, and fade."""

import numpy as np
import pytest

from builders.tried import BELIEFS, CHANCES, HORN, attempt, learnt_from, slur, taken
from slurwright.evidence.attempts import Attempt
from slurwright.evidence.learning.laid import LaidOut, lay_out
from slurwright.evidence.learning.learnt import Learnt
from slurwright.plan import Technique, ways_of
from slurwright.plan.fingers import chances_at_hand
from slurwright.plan.transition import Circumstances, Floats, changes_between, table_of_ways

MOST = CHANCES.fingers.normal
NEW = slur("Bb3", "F3", fingering="1-3")
"""Onto an alternate."""


def at_hand(learnt: Learnt, *, horn_id: str = "mine") -> dict[str, float]:
    """What the ways of F3 are at, by fingering."""
    pitch = taken("F3").sounding
    ways = ways_of(pitch, HORN)
    table = table_of_ways([(pitch.midi, ways)], HORN)
    rows = np.arange(len(ways))
    known = chances_at_hand(table, rows, fingers=CHANCES.fingers, known=learnt.on(horn_id))
    return {way.fingering: chance for way, chance in zip(ways, known.tolist(), strict=True)}


def attempts_at(times: int, *, weeks: float = 0.0, spoke: float = 0.98, wrong: bool = False) -> list[Attempt]:
    return [attempt(NEW, spoke, weeks=weeks, wrong=wrong)] * times


def test_an_alternate_that_is_practised_comes_to_hand() -> None:
    chances = [at_hand(learnt_from(attempts_at(times)))["1-3"] for times in (0, 4, 16, 64, 1000)]
    assert chances == sorted(chances)
    assert chances[0] < 0.85
    assert chances[2] > 0.9
    assert chances[-1] == pytest.approx(MOST, abs=0.005)
    weighs = BELIEFS.hands.way_weighs
    assert chances[1] == pytest.approx((weighs * chances[0] + 4 * MOST) / (weighs + 4))


def test_only_what_was_played_on_this_horn_comes_to_hand() -> None:
    before, after = at_hand(learnt_from([])), at_hand(learnt_from(attempts_at(20)))
    assert {name for name in before if before[name] != after[name]} == {"1-3"}
    assert at_hand(learnt_from(attempts_at(20)), horn_id="another") == before
    assert after["0"] == before["0"] == MOST


def test_a_slur_that_broke_still_trains_the_fingers_but_a_wrong_note_does_not() -> None:
    before = at_hand(learnt_from([]))["1-3"]
    assert at_hand(learnt_from(attempts_at(10, spoke=0.02)))["1-3"] > before
    assert at_hand(learnt_from(attempts_at(10, spoke=0.02, wrong=True)))["1-3"] == before


def test_what_is_not_played_fades() -> None:
    fresh, old = (at_hand(learnt_from(attempts_at(16, weeks=weeks)))["1-3"] for weeks in (0.0, 52.0))
    never = at_hand(learnt_from([]))["1-3"]
    assert never < old < fresh
    assert old - never < 0.3 * (fresh - never)


@pytest.mark.parametrize("technique", [Technique.LEGATO_TONGUE, Technique.HALF_VALVE])
def test_a_technique_that_comes_is_trusted(technique: Technique) -> None:
    tried = slur("F3", "Bb3", technique=technique)
    prior = 0.93
    good = learnt_from([attempt(tried, 0.98)] * 40).on("mine").comes_as_meant(prior, technique)
    bad = learnt_from([attempt(tried, 0.02)] * 40).on("mine").comes_as_meant(prior, technique)
    assert bad < prior < good < 1.0
    other = next(one for one in (Technique.LEGATO_TONGUE, Technique.HALF_VALVE) if one is not technique)
    assert learnt_from([attempt(tried, 0.02)] * 40).on("mine").comes_as_meant(prior, other) == prior


def misses(learnt: Learnt, prior: Floats) -> Floats:
    laid: LaidOut = lay_out([attempt(slur("C4", "D4"), 1.0)], {"mine": HORN}, today=learnt.today)[0][0]
    around = Circumstances(*(np.array([0.3]),) * 3)
    changes = changes_between(laid.table, laid.source, laid.target, around=around, same_place_m=0.02)
    return learnt.on("mine").finger_misses(prior, laid.table, changes)


def test_fingers_that_miss_more_than_was_expected_are_expected_to_miss() -> None:
    valves = slur("C4", "D4", seconds=0.15)
    prior = np.array([0.02, 0.0])
    clumsy = misses(learnt_from([attempt(valves, 0.02, wrong=True)] * 30 + [attempt(valves, 0.98)] * 30), prior)
    deft = misses(learnt_from([attempt(valves, 1.0)] * 3000), prior)
    assert deft[0] < prior[0] < clumsy[0]
    assert deft[1] == clumsy[1] == 0.0


def test_lip_slurs_say_nothing_of_the_fingers() -> None:
    prior = np.array([0.02])
    assert misses(learnt_from([attempt(slur("F3", "Bb3"), 0.02)] * 50), prior)[0] == pytest.approx(0.02, rel=1e-12)
