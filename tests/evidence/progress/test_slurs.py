"""Curves of slurs over weeks, against players whose chances are known."""

from dataclasses import replace
from datetime import date, timedelta
from importlib import resources

import numpy as np
import pytest

from builders.practised import HORN, MONDAY, Practised, attempts_at, horn, slur, tracked
from slurwright.devices.packaged import load_horn
from slurwright.evidence.attempts import Attempt, Became, Source, Tried
from slurwright.evidence.learning.learn import risk_on
from slurwright.evidence.progress.slurs import slur_progress
from slurwright.evidence.progress.values import SlurProgress, Verdict
from slurwright.formats.progress_toml import parse_progress
from slurwright.listen.kept import TakenWay
from slurwright.pitch import SoundingPitch, WrittenPitch
from slurwright.plan import Technique

RULES = parse_progress((resources.files("slurwright") / "data" / "progress.toml").read_text("utf-8")).slurs
TODAY = MONDAY + timedelta(weeks=12)
LIP = slur("F3", "Bb3")


def told(
    attempts: tuple[Attempt, ...], *, since: date | None = None, today: date = TODAY
) -> tuple[SlurProgress, ...]:
    tracker = tracked(attempts, today=today)
    return slur_progress(attempts, {HORN: horn()}, tracker, rules=RULES, today=today, since=since)


def practised(
    start: float, end: float, *, times: int = 60, seed: int = 1001, slur_tried: object = LIP, weeks: int = 12
) -> tuple[Attempt, ...]:
    days = np.linspace(0, 7 * weeks - 1, times).astype(int)
    made = Practised(slur_tried, days, np.linspace(start, end, times))  # type: ignore[arg-type]
    return attempts_at(made, np.random.default_rng(seed))


def test_nothing_tried_is_nothing_told() -> None:
    assert told(()) == ()


def test_the_curve_is_what_is_learnt_of_the_slur() -> None:
    attempts = practised(0.4, 0.9)
    tracker = tracked(attempts, today=TODAY)
    curve = slur_progress(attempts, {HORN: horn()}, tracker, rules=RULES, today=TODAY)[0].curves[0]
    days = [point.day for point in curve.curve]
    assert days == sorted(set(days))
    assert (days[0], days[-1]) == (MONDAY, attempts[-1].played_on)
    risks = risk_on(tracker.learnt, horn(), curve.at, days=days)
    for point, risk in zip(curve.curve, risks, strict=True):
        assert point.value.value == pytest.approx(1.0 - risk.risk, abs=1e-9)
        assert (point.value.low, point.value.high) == pytest.approx((1.0 - risk.high, 1.0 - risk.low), abs=1e-9)
    assert curve.prior == pytest.approx(1.0 - risks[0].prior)


def test_raw_counts_stand_beside_the_curve() -> None:
    attempts = practised(0.5, 0.5, times=40)
    curve = told(attempts)[0].curves[0]
    assert curve.tried == sum(week.tried for week in curve.weeks) == 40
    assert curve.spoke == sum(week.spoke for week in curve.weeks)
    assert curve.spoke == sum(attempt.became is Became.SPOKE for attempt in attempts)
    assert all(week.monday.weekday() == 0 for week in curve.weeks)


def test_the_place_is_that_of_the_part_and_not_of_the_page_of_a_trial() -> None:
    taken = practised(0.5, 0.5, times=12)
    by_ear = replace(taken[0], source=Source.EAR, label="9:1", take_id="")
    assert told(taken)[0].label == "12:3"
    assert told((by_ear, *taken[1:]))[0].label == "9:1"


def test_a_slur_that_was_learnt_is_told_as_better() -> None:
    curve = told(practised(0.2, 0.98, times=80))[0].curves[0]
    assert curve.verdict is Verdict.BETTER
    assert curve.change.better > 0.95
    assert 0.2 < curve.change.size.low < curve.change.size.value < curve.change.size.high


def test_a_slur_that_was_lost_is_told_as_worse() -> None:
    curve = told(practised(0.98, 0.1, times=160))[0].curves[0]
    assert curve.verdict is Verdict.WORSE
    assert curve.change.better < 0.05


def test_good_attempts_raise_the_curve_and_bad_ones_lower_it() -> None:
    base = practised(0.6, 0.6, times=30)
    last = replace(base[-1], played_on=TODAY)
    better = (*base, *[replace(last, became=Became.SPOKE, spoke=0.95)] * 6)
    worse = (*base, *[replace(last, became=Became.BROKE, spoke=0.05)] * 6)
    ends = [
        told(each)[0].curves[0].curve[-1].value.value for each in (worse, (*base, replace(last, spoke=0.5)), better)
    ]
    assert ends[0] < ends[1] < ends[2]


def test_a_player_who_stays_is_known_better_with_time_and_not_said_to_change() -> None:
    widths = []
    for times in (10, 40, 160):
        curve = told(practised(0.7, 0.7, times=times, seed=1003))[0].curves[0]
        assert curve.verdict not in {Verdict.BETTER, Verdict.WORSE}
        widths.append(curve.curve[-1].value.high - curve.curve[-1].value.low)
    assert widths[0] > widths[1] > widths[2]


def test_few_attempts_and_one_day_are_too_little_to_say() -> None:
    assert told(practised(0.2, 1.0, times=3))[0].curves[0].verdict is Verdict.UNKNOWN
    one_day = tuple(replace(one, played_on=MONDAY) for one in practised(0.2, 1.0, times=40))
    curve = told(one_day)[0].curves[0]
    assert curve.verdict is Verdict.UNKNOWN
    assert curve.change.better == 0.5
    assert len(curve.curve) == 1


def test_a_slur_that_speaks_is_held_not_neglected() -> None:
    assert told(practised(0.99, 0.99, times=60))[0].curves[0].verdict is Verdict.HOLDS


def test_one_that_was_practised_without_a_change_is_told_so() -> None:
    assert told(practised(0.5, 0.5, times=60))[0].curves[0].verdict is Verdict.SAME


def test_the_normal_way_comes_first_and_the_others_are_measured_by_it() -> None:
    tongued = slur("F3", "Bb3", technique=Technique.LEGATO_TONGUE)
    fourth = slur("F3", "Bb3", fingerings=("4", None))
    attempts = (
        *practised(0.9, 0.9, times=60),
        *practised(0.9, 0.9, times=70, slur_tried=tongued),
        *practised(0.4, 0.4, times=40, slur_tried=fourth),
    )
    normal, second, third = told(attempts)[0].curves
    assert (normal.normal, normal.versus) == (True, None)
    assert second.technique == "legato-tongue"
    assert third.ways[0].fingering == "4"
    assert second.versus is not None
    assert third.versus is not None
    assert third.versus.drop
    assert third.versus.size.high < 0.0
    assert not (second.versus.drop and second.versus.better > 0.5)


def test_a_way_that_helps_is_not_dropped_and_few_attempts_drop_nothing() -> None:
    fourth = slur("F3", "Bb3", fingerings=("4", None))
    helps = (*practised(0.4, 0.4, times=40), *practised(0.95, 0.95, times=40, slur_tried=fourth))
    versus = told(helps)[0].curves[1].versus
    assert versus is not None
    assert not versus.drop
    assert versus.better > 0.9
    few = (*practised(0.9, 0.9, times=60), *practised(0.0, 0.0, times=5, slur_tried=fourth))
    versus = told(few)[0].curves[1].versus
    assert versus is not None
    assert not versus.drop


def test_another_way_without_the_normal_one_is_compared_with_nothing() -> None:
    curve = told(practised(0.6, 0.6, slur_tried=slur("F3", "Bb3", fingerings=("4", None))))[0].curves[0]
    assert not curve.normal
    assert curve.versus is None


def test_only_what_came_since_a_day_is_told() -> None:
    attempts = practised(0.4, 0.9)
    since = MONDAY + timedelta(weeks=6)
    curve = told(attempts, since=since)[0].curves[0]
    assert curve.curve[0].day >= since
    assert curve.tried == sum(attempt.played_on >= since for attempt in attempts)
    assert told(attempts, since=TODAY + timedelta(days=1)) == ()


def test_a_horn_that_is_gone_and_days_to_come_do_no_harm() -> None:
    gone = tuple(replace(one, horn="gone") for one in practised(0.5, 0.5, times=10))
    late = tuple(replace(one, played_on=TODAY + timedelta(days=9)) for one in practised(0.5, 0.5, times=10))
    found = told((*gone, *late))
    assert [slur.horn for slur in found] == [HORN]
    assert found[0].curves[0].curve[-1].day == TODAY


def test_softer_playing_alone_is_no_change_for_the_worse() -> None:
    """Who goes from mf to pp and breaks as much more often as anyone does has not become worse."""
    chances = {0.0: 0.95, -3.0: 0.83}
    attempts: tuple[Attempt, ...] = ()
    for dynamic, first in ((0.0, 0), (-3.0, 42)):
        tried = slur("F3", "Bb3", dynamic=dynamic)
        days = (first + np.linspace(0, 41, 60)).astype(int).tolist()
        made = Practised(tried, days, np.full(60, chances[dynamic]))
        attempts += attempts_at(made, np.random.default_rng(1005))
    assert told(attempts)[0].curves[0].verdict not in {Verdict.WORSE, Verdict.BETTER}


def test_a_slide_slurs_on_one_partial_with_the_tongue_as_a_matter_of_course() -> None:
    trombone = load_horn("trombone")
    ways = []
    for name in ("Bb3", "A3"):
        sounding = SoundingPitch.named(name)
        ways.append(TakenWay(WrittenPitch.named(name), sounding, *trombone.normal[sounding.midi]))
    tried = Tried((ways[0], ways[1]), Technique.LEGATO_TONGUE, 0.0, 90.0, 0.67, 0.67)
    attempts = attempts_at(Practised(tried, range(20), np.full(20, 0.9)), np.random.default_rng(1006), on="slide")
    plain = tuple(replace(one, tried=replace(tried, technique=Technique.PLAIN)) for one in attempts)
    horns = {"slide": replace(trombone, id="slide")}
    tracker = tracked((*attempts, *plain), today=TODAY, horns=horns)
    curves = slur_progress((*attempts, *plain), horns, tracker, rules=RULES, today=TODAY)[0].curves
    assert [(curve.technique, curve.normal) for curve in curves] == [("legato-tongue", True), ("plain", False)]
