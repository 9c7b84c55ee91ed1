"""What tries buy: laws of the model, and its figures by hand."""

import math
from dataclasses import replace
from datetime import date, timedelta

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as some

from builders.seasons import target
from slurwright.devices.packaged import load_practice
from slurwright.practice.sheet.gains import concert_losses, outlook_of, tried_more, worth_of
from slurwright.practice.sheet.targets import Target, TriedDay

TODAY = date(2026, 3, 20)
GAIN = load_practice().gain
SURE = replace(GAIN, differ=1e-9)
"""Every slur learns at the usual pace."""


def known(risk: float, **changes: object) -> Target:
    return target("known", risk=risk, low=risk, high=risk, **changes)


def test_a_try_on_the_day_itself_takes_off_what_the_table_says() -> None:
    outlook = outlook_of([known(0.3)], today=TODAY, concert=TODAY, table=SURE)
    logit = math.log(0.3 / 0.7)
    saved = math.log1p(math.exp(logit)) - math.log1p(math.exp(logit - GAIN.each))
    assert worth_of(outlook, 1)[0] == pytest.approx(saved, rel=1e-6)


def test_a_night_takes_its_share_and_a_month_half_of_the_rest() -> None:
    away = timedelta(days=round(GAIN.half_life_days))
    outlook = tried_more(outlook_of([known(0.3)], today=TODAY, concert=TODAY + away, table=SURE), 0, 5)
    gained = float(outlook.fresh[0, 0])
    left = GAIN.kept * 0.5 * gained
    logit = math.log(0.3 / 0.7) - left
    assert concert_losses(outlook)[0] == pytest.approx(math.log1p(math.exp(logit)), rel=1e-6)


def test_gains_of_before_today_fade_too() -> None:
    yesterday = (TriedDay(TODAY - timedelta(days=1), good=5, missed=5),)
    away = timedelta(days=round(GAIN.half_life_days))
    outlook = outlook_of([known(0.3, days=yesterday)], today=TODAY, concert=TODAY + away, table=SURE)
    lasting = float(outlook.lasting[0, 0])
    assert lasting > 0.1
    assert concert_losses(outlook)[0] == pytest.approx(
        math.log1p(math.exp(math.log(0.3 / 0.7) + 0.5 * lasting)), rel=1e-6
    )


def test_what_is_asked_for_three_times_is_worth_three_times_as_much() -> None:
    outlook = outlook_of([known(0.2), known(0.2, times=3)], today=TODAY, concert=None, table=GAIN)
    once, thrice = worth_of(outlook, 4)
    assert thrice == pytest.approx(3.0 * once)


@settings(max_examples=50, deadline=None)
@given(risk=some.floats(0.01, 0.9), tries=some.integers(1, 20), days=some.integers(0, 60))
def test_more_tries_are_worth_more_but_each_less(risk: float, tries: int, days: int) -> None:
    outlook = outlook_of([known(risk)], today=TODAY, concert=TODAY + timedelta(days=days), table=GAIN)
    first = worth_of(outlook, tries)[0]
    both = worth_of(outlook, 2 * tries)[0]
    assert 0.0 < first < both <= 2.0 * first + 1e-12


@settings(max_examples=50, deadline=None)
@given(risk=some.floats(0.02, 0.6), tries=some.integers(1, 12))
def test_tries_one_after_the_other_gain_what_they_gain_together(risk: float, tries: int) -> None:
    outlook = outlook_of([known(risk)], today=TODAY, concert=None, table=GAIN)
    together = tried_more(outlook, 0, 2 * tries)
    parted = tried_more(tried_more(outlook, 0, tries), 0, tries)
    assert np.allclose(together.fresh, parted.fresh)


def test_the_chance_now_is_the_chance_that_was_told() -> None:
    """Without any history and on the day itself the expected loss is near that of the risk that was told."""
    one = target("wide", risk=0.3, low=0.08, high=0.65)
    expected = outlook_of([one], today=TODAY, concert=TODAY, table=GAIN)
    risks = 1.0 / (1.0 + np.exp(-expected.levels[0]))
    assert float(expected.level_weights @ risks) == pytest.approx(0.3, abs=0.01)


def _diary(good: tuple[int, ...], of: int = 10) -> tuple[TriedDay, ...]:
    first = TODAY - timedelta(days=len(good))
    return tuple(TriedDay(first + timedelta(days=n), good=k, missed=of - k) for n, k in enumerate(good))


def test_a_slur_that_does_not_move_is_expected_to_move_less() -> None:
    stuck = target("stuck", risk=0.5, low=0.35, high=0.65, days=_diary((5, 5, 5, 5, 5, 5)))
    moving = target("moving", risk=0.5, low=0.35, high=0.65, days=_diary((1, 1, 2, 3, 4, 5)))
    outlook = outlook_of([stuck, moving], today=TODAY, concert=None, table=GAIN)
    assert outlook.pace[0] < 0.8 < outlook.pace[1]
    assert worth_of(outlook, 4)[0] < worth_of(outlook, 4)[1]


def test_tries_of_today_make_further_ones_worth_less() -> None:
    fresh = known(0.3)
    tired = replace(fresh, days=(TriedDay(TODAY, good=6, missed=6),))
    outlook = outlook_of([fresh, tired], today=TODAY, concert=None, table=GAIN)
    assert outlook.today.tolist() == [0, 12]
    assert worth_of(outlook, 4)[1] < worth_of(outlook, 4)[0]


def test_tries_that_are_dated_in_the_future_count_as_todays() -> None:
    early = known(0.3, days=(TriedDay(TODAY + timedelta(days=3), good=6, missed=6),))
    now = known(0.3, days=(TriedDay(TODAY, good=6, missed=6),))
    outlook = outlook_of([early, now], today=TODAY, concert=None, table=GAIN)
    assert outlook.fresh[0] == pytest.approx(outlook.fresh[1])


@pytest.mark.parametrize("risk", [0.0, 1.0])
def test_certain_slurs_have_figures_too(risk: float) -> None:
    outlook = outlook_of([known(risk)], today=TODAY, concert=None, table=GAIN)
    assert np.isfinite(worth_of(outlook, 4)).all()


def test_nothing_to_practise_is_no_fault() -> None:
    assert worth_of(outlook_of([], today=TODAY, concert=None, table=GAIN), 4).shape == (0,)
