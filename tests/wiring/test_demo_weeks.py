"""The whole loop on the demo: planned, practised by a sheet, recorded, measured, learnt, planned anew."""

from datetime import date

import pytest

from slurwright.devices.packaged import demo_part, load_horn
from slurwright.plan import Technique
from slurwright.plan.values import Basis
from slurwright.wiring.demo_weeks import LivedWeeks, live_weeks

UNTIL = date(2026, 11, 28)


@pytest.fixture(scope="module")
def lived() -> LivedWeeks:
    name, data = demo_part()
    told: list[float] = []
    lived = live_weeks(data, name, load_horn("euphonium-4c"), weeks=1, until=UNTIL, tick=told.append)
    assert told == sorted(told)
    assert told[-1] == 1.0
    return lived


def test_every_slur_of_every_take_is_an_attempt(lived: LivedWeeks) -> None:
    slurs = sum(move.slurred * move.times for move in lived.before.study.line.moves)
    assert lived.takes == 3
    assert lived.measured == lived.takes * slurs
    assert len(lived.attempts) > lived.measured
    assert {one.tried.technique for one in lived.attempts} == set(Technique)
    assert all(one.played_on <= UNTIL for one in lived.attempts)


def test_what_is_learnt_lies_about_what_is_true(lived: LivedWeeks) -> None:
    held = [slur.low <= slur.true <= slur.high for slur in lived.slurs]
    assert len(held) >= 12
    assert sum(held) >= 0.75 * len(held)


def test_the_new_plan_rests_on_it(lived: LivedWeeks) -> None:
    assert lived.before.study.learnt_from is None
    source = lived.after.study.learnt_from
    assert source is not None
    assert source.attempts == len(lived.attempts)
    bases = {report.learnt.basis for report in lived.after.study.reports if report.learnt is not None}
    assert Basis.ATTEMPTS in bases
    weak = next(slur for slur in lived.slurs if slur.pair == ("F3", "Bb3") and slur.technique is Technique.PLAIN)
    assert weak.attempts >= 10
    assert weak.learnt > weak.prior, "it is her weak place"


def test_the_sheet_holds_the_weak_slurs(lived: LivedWeeks) -> None:
    (sheet,) = lived.sheets
    pairs = {(str(one.tried.ways[0].sounding), str(one.tried.ways[1].sounding)) for one in sheet.targets}
    assert ("F3", "Bb3") in pairs
    assert sheet.after > sheet.before
