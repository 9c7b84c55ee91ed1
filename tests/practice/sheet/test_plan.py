"""Today's sheet: what is on it, in which order, and that it fits."""

from dataclasses import replace
from datetime import date, timedelta
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as some

from builders.seasons import target
from slurwright.devices.packaged import load_practice
from slurwright.plan import Technique
from slurwright.practice.sheet.allotting import is_soft_high
from slurwright.practice.sheet.plan import plan_sheet
from slurwright.practice.sheet.targets import Rescue, SheetRequest, SpentToday, Target, TriedDay
from slurwright.practice.sheet.values import ItemKind, Sheet

TODAY = date(2026, 3, 20)
TABLE = load_practice()


def with_rescue(one: Target, risk: float = 0.05) -> Target:
    tried = replace(one.tried, technique=Technique.LEGATO_TONGUE)
    return replace(one, rescue=Rescue("legato tongue", tried, risk))


def sheet(
    targets: list[Target], *, minutes: float = 30.0, concert: date | None = None, spent: SpentToday | None = None
) -> Sheet:
    request = SheetRequest(minutes, TODAY, concert, spent or SpentToday())
    return plan_sheet(request, targets, table=TABLE, rng=np.random.default_rng(7))


def kinds(made: Sheet) -> list[ItemKind]:
    return [made.items[index].kind for index in made.work]


HARD = target("hard", risk=0.45, low=0.2, high=0.7, height=0.9, move=3)
EASY = target("easy", risk=0.12, low=0.05, high=0.2, height=0.2, move=9, times=2)
FAIR = target("fair", risk=0.2, low=0.1, high=0.4, height=0.9, move=1)


def _targets() -> some.SearchStrategy[list[Target]]:
    one = some.builds(
        lambda key, risk, times, height, dynamic, hold_s, passage_s, move: with_rescue(
            replace(
                target(
                    f"slur {key}", risk=risk, low=risk / 2, high=min(0.99, 1.5 * risk), height=height, times=times
                ),
                passage_s=passage_s,
                move=move,
                tried=replace(HARD.tried, dynamic=dynamic, hold_s=hold_s),
            )
        ),
        some.integers(0, 30),
        some.floats(0.01, 0.9),
        some.integers(1, 5),
        some.floats(0.0, 1.0),
        some.floats(-3.0, 2.0),
        some.floats(0.1, 6.0),
        some.floats(2.0, 20.0),
        some.integers(0, 100),
    )
    return some.lists(one, max_size=12, unique_by=lambda found: found.key)


@settings(max_examples=50, deadline=None)
@given(targets=_targets(), minutes=some.floats(1.0, 120.0), ahead=some.none() | some.integers(-3, 30))
def test_every_sheet_fits_rests_enough_and_has_lip_slurs(
    targets: list[Target], minutes: float, ahead: int | None
) -> None:
    concert = None if ahead is None else TODAY + timedelta(days=ahead)
    made = sheet(targets, minutes=minutes, concert=concert)
    assert made.play_s + made.rest_s + made.settle_s <= 60.0 * minutes + 1e-6
    assert made.rest_s >= made.play_s - 1e-6
    assert ItemKind.LIP_SLURS in kinds(made)
    for before, after in pairwise(made.items):
        assert ItemKind.REST in (before.kind, after.kind), "work is parted by rests"
    order = kinds(made)
    if ItemKind.PASSAGE in order:
        first = order.index(ItemKind.PASSAGE)
        assert set(order[first:]) == {ItemKind.PASSAGE}, "passages come last"
    assert made.after >= made.before
    assert {item.target for item in made.items if item.target is not None} <= set(range(len(made.targets)))


@settings(max_examples=30, deadline=None)
@given(targets=_targets())
def test_soft_high_work_rests_longer_than_it_plays(targets: list[Target]) -> None:
    made = sheet(targets, minutes=40.0)
    for item, rest in pairwise(made.items):
        if item.target is not None and is_soft_high(made.targets[item.target], TABLE):
            assert item.rest_s + rest.rest_s >= TABLE.time.soft_high_rest_each * item.play_s - 1e-6


@settings(max_examples=30, deadline=None)
@given(targets=_targets(), data=some.data())
def test_the_order_in_which_slurs_are_given_changes_nothing(targets: list[Target], data: some.DataObject) -> None:
    assert sheet(data.draw(some.permutations(targets))) == sheet(targets)


def test_warm_up_and_lip_slurs_come_first_and_the_hardest_next() -> None:
    made = sheet([EASY, HARD, FAIR])
    assert kinds(made)[:2] == [ItemKind.WARM_UP, ItemKind.LIP_SLURS]
    assert made.targets[0] is HARD
    assert [one.key for one in made.targets] == ["hard", "easy", "fair"], "easy work stands between soft high work"


def test_easy_comes_before_hard_and_alone_before_the_passage() -> None:
    made = sheet([HARD])
    own = [kind for kind in kinds(made) if kind not in (ItemKind.WARM_UP, ItemKind.LIP_SLURS)]
    assert own == [ItemKind.EASE, ItemKind.SLUR, ItemKind.PASSAGE]
    eased = next(item for item in made.items if item.kind is ItemKind.EASE)
    assert eased.tried is not None
    assert eased.tried.dynamic == 0.0
    assert eased.tried.tempo_qpm == pytest.approx(50.4)


def test_bars_that_hold_several_slurs_are_played_once() -> None:
    same = [replace(one, bars="bars 3 to 5") for one in (EASY, FAIR)]
    made = sheet([*same, replace(HARD, bars="bars 2 to 4")], minutes=60.0)
    passages = [item for item in made.items if item.kind is ItemKind.PASSAGE]
    bars = [made.targets[item.target].bars for item in passages if item.target is not None]
    assert bars == ["bars 2 to 4", "bars 3 to 5"]
    apart = sheet([EASY, FAIR, HARD], minutes=60.0)
    assert [item.kind for item in apart.items].count(ItemKind.PASSAGE) == 3


def test_time_that_these_slurs_cannot_use_is_said() -> None:
    assert not any("is yours" in words for words in sheet([EASY, HARD, FAIR], minutes=15.0).notices)
    assert not any("is yours" in words for words in sheet([EASY], minutes=90.0, concert=TODAY).notices)
    made = sheet([EASY], minutes=90.0)
    assert any("the rest of the 90 min is yours" in words for words in made.notices)


def test_a_loud_slur_is_not_made_louder() -> None:
    loud = replace(HARD, tried=replace(HARD.tried, dynamic=1.0))
    eased = next(item for item in sheet([loud]).items if item.kind is ItemKind.EASE)
    assert eased.tried is not None
    assert eased.tried.dynamic == 1.0


def test_a_slur_that_breaks_mostly_is_not_played_in_its_passage_yet() -> None:
    assert ItemKind.PASSAGE not in kinds(sheet([replace(HARD, risk=0.8, low=0.6, high=0.9)]))


def test_the_rescue_comes_after_the_normal_way_and_only_near_the_day() -> None:
    one = with_rescue(HARD)
    far = kinds(sheet([one], concert=TODAY + timedelta(days=30)))
    near = kinds(sheet([one], concert=TODAY + timedelta(days=5)))
    assert ItemKind.RESCUE not in far
    assert near.index(ItemKind.RESCUE) > near.index(ItemKind.SLUR)
    worse = kinds(sheet([with_rescue(HARD, risk=0.6)], concert=TODAY + timedelta(days=5)))
    assert ItemKind.RESCUE not in worse


def test_few_minutes_all_go_to_the_lip_slurs() -> None:
    made = sheet([HARD], minutes=2.0)
    assert kinds(made) == [ItemKind.LIP_SLURS]
    assert any("daily lip slurs" in words for words in made.notices)


def test_no_weak_slur_makes_a_sheet_all_the_same() -> None:
    made = sheet([])
    assert kinds(made) == [ItemKind.WARM_UP, ItemKind.LIP_SLURS]
    assert made.before == made.after == 1.0
    assert any("no weak slur" in words for words in made.notices)


def test_a_second_sheet_leaves_out_what_was_done() -> None:
    spent = SpentToday(play_s=600.0, warmed_up=True, lip_slurs=True)
    again = replace(HARD, days=(TriedDay(TODAY, good=12, missed=12),))
    made = sheet([again, EASY], spent=spent)
    assert kinds(made)[0] not in (ItemKind.WARM_UP, ItemKind.LIP_SLURS)
    assert [one.key for one in made.targets] == ["easy"], "the other has had its most for the day"


def test_a_concert_that_is_over_is_said() -> None:
    made = sheet([HARD], concert=TODAY - timedelta(days=1))
    assert made.concert is None
    assert any("the concert was on 2026-03-19" in words for words in made.notices)


def test_on_the_day_itself_each_slur_has_one_set() -> None:
    made = sheet([HARD, EASY], minutes=60.0, concert=TODAY)
    size = int(TABLE.shape.set_tries)
    tries = [sum(item.tries for item in made.items if item.target == slur) for slur in range(len(made.targets))]
    assert tries == [size, size]


def test_a_stuck_slur_is_said_and_its_rescue_practised_at_any_time() -> None:
    days = tuple(TriedDay(TODAY - timedelta(days=n), good=5, missed=5) for n in range(1, 9))
    stuck = with_rescue(replace(HARD, risk=0.5, low=0.4, high=0.6, days=days))
    made = sheet([stuck])
    assert any("hardly moved in 80 tries" in words for words in made.notices)
    assert ItemKind.RESCUE in kinds(made)


def test_what_holds_comes_back_for_one_set_when_it_is_due() -> None:
    held = target("held", risk=0.02, low=0.01, high=0.04, days=(TriedDay(TODAY - timedelta(days=1), good=4),))
    due = sheet([held, HARD])
    assert sum(item.tries for item in due.items if item.target == 1) == TABLE.shape.set_tries
    longer = replace(held, days=(*held.days, TriedDay(TODAY - timedelta(days=2), good=4)))
    waiting = sheet([longer, HARD])
    assert [one.key for one in waiting.targets] == ["hard"]
    assert waiting.coming[0].due == TODAY + timedelta(days=1)


def test_the_time_is_used() -> None:
    """Nothing of note is left over while slurs still want tries."""
    many = [replace(HARD, key=f"slur {number}", move=number) for number in range(12)]
    for minutes in (10.0, 17.0, 30.0):
        made = sheet(many, minutes=minutes)
        assert 60.0 * minutes - made.play_s - made.rest_s - made.settle_s < 120.0, "less than two sets of this work"


def test_the_same_seed_makes_the_same_sheet() -> None:
    assert sheet([HARD, EASY]) == sheet([HARD, EASY])
