"""Slurs of a part as they come onto a sheet, and a sheet that is ticked."""

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta

import numpy as np
import pytest

from slurwright.devices.packaged import demo_part, load_chances, load_horn, load_practice
from slurwright.errors import RequestError
from slurwright.evidence.attempts import Attempt, Became, Ear, Source
from slurwright.evidence.kept import KeptSheet, SheetTick, TickState
from slurwright.jobs.sheet.made import (
    OpenSheet,
    Owner,
    about_sheet,
    ear_attempts_of,
    item_numbered,
    latest_sheet,
    made_plan,
    open_sheet,
    sheet_part,
    spent_on,
)
from slurwright.jobs.sheet.targets import histories_of, targets_of
from slurwright.jobs.sheet.words import item_how, place_words, played_how, sheet_aim
from slurwright.jobs.study import StudyRequest
from slurwright.jobs.words import clock_text
from slurwright.plan.study import Study
from slurwright.practice.sheet.targets import SheetRequest, Target
from slurwright.practice.sheet.values import ItemKind, KeptPlan, Sheet
from slurwright.wiring.part import study_score

DAY = date(2026, 3, 20)
NOW = datetime(2026, 3, 20, 18, tzinfo=UTC)
HORN = load_horn("euphonium-4c")
TABLE = load_practice()
OWNER = Owner("ida", "silver", HORN.id, frozenset({"silver"}))


@pytest.fixture(scope="module")
def study() -> Study:
    name, data = demo_part()
    return study_score(data, name, HORN, StudyRequest(most_changes=0, best=1)).study


def slurs(study: Study, *attempts: Attempt) -> dict[str, Target]:
    found = targets_of([study], histories_of(attempts, {"silver"}), chances=load_chances(), table=TABLE)
    return {f"{one.names[0]} {one.names[1]}": one for one in found}


def attempt(
    one: Target, *, day: date = DAY, spoke: float = 0.95, horn: str = "silver", louder: float = 0.0
) -> Attempt:
    tried = replace(one.tried, dynamic=one.tried.dynamic + louder)
    return Attempt(horn, day, tried, Became.SPOKE if spoke > 0.5 else Became.BROKE, spoke, None, Source.EAR)


def opened(study: Study, *ticks: tuple[int, TickState]) -> OpenSheet:
    empty = Sheet(DAY, 30.0, None, (), (), 0, 1.0, 1.0)
    about = KeptPlan(empty, (sheet_part(study, path="music/lanterns.musicxml"),), "silver", study.reading)
    plan = made_plan(
        [study],
        SheetRequest(30.0, DAY, DAY + timedelta(days=5)),
        about=about,
        attempts=(),
        horns={"silver"},
        chances=load_chances(),
        table=TABLE,
        rng=np.random.default_rng(1),
    )
    kept = KeptSheet("aabbccdd00112233", about_sheet(plan, OWNER), NOW, NOW)
    return open_sheet(kept, [SheetTick(kept.id, item, state, NOW) for item, state in ticks])


def test_a_slur_that_comes_often_is_one_target_where_it_is_hardest(study: Study) -> None:
    one = slurs(study)["F3 Bb3"]
    alike = [
        report
        for report in study.reports
        if [str(study.line.sounds[end].sounding) for end in _ends(study, report.move)] == ["F3", "Bb3"]
    ]
    assert len(alike) > 1
    assert one.risk == max(report.break_risk for report in alike)
    assert one.times == round(sum(report.break_risk for report in alike) / one.risk)


def _ends(study: Study, move: int) -> tuple[int, int]:
    return study.line.moves[move].source, study.line.moves[move].target


def test_weak_slurs_are_all_there_and_safe_ones_are_not(study: Study) -> None:
    found = slurs(study)
    weak = {
        tuple(str(study.part.notes[study.line.sounds[end].notes[0]].written) for end in _ends(study, report.move))
        for report in study.weak
    }
    assert weak <= {one.names for one in found.values()}
    assert all(one.risk >= TABLE.shape.least_risk for one in found.values())


def test_the_prior_has_an_interval_and_a_rescue_that_is_better(study: Study) -> None:
    one = slurs(study)["F3 D4"]
    assert one.low < one.risk < one.high
    assert one.rescue is not None
    assert one.rescue.risk < one.risk
    assert one.rescue.tried.ways != one.tried.ways or one.rescue.tried.technique is not one.tried.technique


def test_tries_count_by_day_on_this_horn_at_this_dynamic(study: Study) -> None:
    one = slurs(study)["F3 D4"]
    before = DAY - timedelta(days=1)
    tries = [
        attempt(one, day=before),
        attempt(one, day=before, spoke=0.25),
        attempt(one, spoke=0.03),
        attempt(one),
        attempt(one, horn="the other horn"),
        attempt(one, louder=3.0),
    ]
    first, second = slurs(study, *tries)["F3 D4"].days
    assert (first.played_on, first.good, first.rough, first.missed) == (before, 1, 1, 0)
    assert (second.played_on, second.good, second.rough, second.missed) == (DAY, 1, 0, 1)


def test_a_sheet_is_opened_as_it_was_kept(study: Study) -> None:
    sheet = opened(study, (2, TickState.SKIPPED))
    assert sheet.plan.sheet.day == sheet.kept.about.day == DAY
    assert sheet.left == tuple(index for index in sheet.plan.sheet.work if index != 2)


def test_words_become_attempts_at_the_slur_as_the_item_has_it(study: Study) -> None:
    sheet = opened(study)
    index = next(i for i, item in enumerate(sheet.plan.sheet.items) if item.kind is ItemKind.EASE)
    item = sheet.plan.sheet.items[index]
    found = ear_attempts_of(sheet, index, ["good", "missed=2"], today=DAY)
    assert [one.heard for one in found] == [Ear.GOOD, Ear.MISSED, Ear.MISSED]
    assert {one.tried for one in found} == {item.tried}
    assert {(one.sheet_id, one.horn_id) for one in found} == {(sheet.kept.id, "silver")}
    assert found[0].part is not None
    assert found[0].part.file == "lanterns.musicxml"
    with pytest.raises(RequestError, match=f"far more tries.*up to {3 * item.tries}"):
        ear_attempts_of(sheet, index, [f"good={3 * item.tries + 1}"], today=DAY)


def test_a_warm_up_has_nothing_to_log(study: Study) -> None:
    sheet = opened(study)
    assert ear_attempts_of(sheet, 0, [], today=DAY) == ()
    with pytest.raises(RequestError, match="only slurs are logged"):
        ear_attempts_of(sheet, 0, ["good"], today=DAY)


def test_numbers_leave_rests_out(study: Study) -> None:
    sheet = opened(study)
    assert [item_numbered(sheet, number) for number in (1, 2, 3)] == [0, 2, 4]
    with pytest.raises(RequestError, match="no such item"):
        item_numbered(sheet, len(sheet.plan.sheet.work) + 1)


def test_what_was_spent_is_what_was_done_that_day(study: Study) -> None:
    sheet = opened(study, (0, TickState.DONE), (2, TickState.DONE), (4, TickState.SKIPPED))
    items = sheet.plan.sheet.items
    spent = spent_on(DAY, [sheet])
    assert (spent.warmed_up, spent.lip_slurs) == (True, True)
    assert spent.play_s == pytest.approx(items[0].play_s + items[2].play_s)
    assert spent_on(DAY + timedelta(days=1), [sheet]).play_s == 0.0


def test_the_last_sheet_of_a_horn(study: Study) -> None:
    kept = opened(study).kept
    later = replace(kept, id="later", about=replace(kept.about, day=DAY + timedelta(days=1), horn_id="lent"))
    assert latest_sheet([later, kept]) is later
    assert latest_sheet([later, kept], horn_id="silver") is kept
    assert latest_sheet([]) is None


def test_words(study: Study) -> None:
    sheet = opened(study)
    items = sheet.plan.sheet.items
    assert place_words("19:5/2") == "bar 19, beat 2.5"
    assert [clock_text(length_s) for length_s in (1.0, 44.0, 60.0, 95.0, 629.0, 631.0)] == [
        "5 s",
        "45 s",
        "1 min",
        "1 min 35 s",
        "10 min",
        "11 min",
    ]
    longest = max(items, key=lambda item: item.tries)
    assert f"{longest.tries} tries, a rest after every 4" in item_how(sheet.plan, longest)
    assert "at the concert" in sheet_aim(sheet.plan.sheet)
    assert "provisional" in sheet_aim(sheet.plan.sheet)


def test_a_part_in_six_eight_is_counted_in_dotted_quarters(study: Study) -> None:
    tune = b"X:1\nT:Six\nM:6/8\nL:1/8\nQ:3/8=52\nK:Bb clef=bass\n(F,3 B,3)|(D3 F,3)|]\n"
    part = study_score(tune, "six.abc", HORN, StudyRequest(most_changes=0, best=1, dynamic="pp")).study
    found = targets_of([part], {}, chances=load_chances(), table=TABLE)
    assert found
    for target in found:
        assert target.dotted
        assert played_how(target.tried, target) == "pp, dotted quarter = 52"
    assert not any(target.dotted for target in slurs(study).values())
