"""When slurs that hold come back."""

from dataclasses import replace
from datetime import date, timedelta

from hypothesis import given, settings
from hypothesis import strategies as some

from slurwright.devices.packaged import load_practice
from slurwright.practice.sheet.spacing import days_of, next_return
from slurwright.practice.sheet.targets import TriedDay

TODAY = date(2026, 3, 20)
RETURNS = load_practice().returns


def _days(*well: bool, last: date = TODAY) -> list[TriedDay]:
    """A day of tries each, the last of them on a given day."""
    return [
        TriedDay(last - timedelta(days=back), good=4 if one else 1, missed=0 if one else 3)
        for back, one in zip(range(len(well) - 1, -1, -1), well, strict=True)
    ]


def _wait(*well: bool) -> int:
    return (next_return(_days(*well), today=TODAY, concert=None, table=RETURNS).due - TODAY).days


def test_it_waits_twice_as_long_each_time_it_went_well() -> None:
    assert [_wait(*[True] * count) for count in range(1, 7)] == [1, 2, 4, 8, 14, 14]


def test_a_bad_day_begins_anew() -> None:
    assert _wait(True, True, True, False) == 1
    assert _wait(True, True, False, True, True) == 2


def test_what_was_never_tried_is_due_at_once() -> None:
    assert next_return([], today=TODAY, concert=None, table=RETURNS).due == TODAY
    assert next_return([TriedDay(TODAY)], today=TODAY, concert=None, table=RETURNS).due == TODAY


def test_it_comes_back_on_the_day_before_the_concert_at_the_latest() -> None:
    concert = TODAY + timedelta(days=4)
    found = next_return(_days(*[True] * 5), today=TODAY, concert=concert, table=RETURNS)
    assert found.due == TODAY + timedelta(days=3)
    over = next_return(_days(*[True] * 5), today=TODAY, concert=TODAY, table=RETURNS)
    assert over.due == TODAY + timedelta(days=14)


def test_rough_tries_count_half() -> None:
    rough = [TriedDay(TODAY, good=2, rough=2)]
    assert not next_return(rough, today=TODAY, concert=None, table=RETURNS).went_well
    assert next_return(rough, today=TODAY, concert=None, table=replace(RETURNS, rough_counts=1.0)).went_well


_DAY = some.builds(
    TriedDay,
    played_on=some.integers(-40, 5).map(lambda day: TODAY + timedelta(days=day)),
    good=some.integers(0, 5),
    rough=some.integers(0, 2),
    missed=some.integers(0, 5),
)


@settings(max_examples=50, deadline=None)
@given(days=some.lists(_DAY, max_size=8), ahead=some.none() | some.integers(0, 20))
def test_order_does_not_matter_and_bounds_hold(days: list[TriedDay], ahead: int | None) -> None:
    concert = None if ahead is None else TODAY + timedelta(days=ahead)
    found = next_return(days, today=TODAY, concert=concert, table=RETURNS)
    assert next_return(days[::-1], today=TODAY, concert=concert, table=RETURNS) == found
    assert found.due <= TODAY + timedelta(days=round(RETURNS.longest_days))
    if concert is not None and concert > TODAY:
        assert found.due < concert or found.due == TODAY
    joined = days_of(days, today=TODAY)
    assert sum(one.tries for one in joined) == sum(one.tries for one in days)
    assert all(one.played_on <= TODAY for one in joined)
