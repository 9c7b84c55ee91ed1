from datetime import UTC, datetime, timedelta, timezone

import pytest
from hypothesis import given
from hypothesis import strategies as st

from slurwright.errors import StoreError
from slurwright.formats.times import from_text, in_names, to_text

MOMENTS = st.datetimes(
    min_value=datetime(1000, 1, 2), max_value=datetime(9999, 12, 30), timezones=st.timezones() | st.just(UTC)
)


def test_a_time_is_written_in_utc() -> None:
    evening = datetime(2026, 1, 9, 19, 30, tzinfo=timezone(timedelta(hours=1)))
    assert to_text(evening) == "2026-01-09T18:30:00.000000Z"
    assert in_names(evening) == "20260109T183000.000000Z"
    with pytest.raises(StoreError, match="without its zone"):
        to_text(datetime(2026, 1, 9))


@given(MOMENTS, MOMENTS)
def test_order_as_text_is_order_in_time(one: datetime, other: datetime) -> None:
    assert (to_text(one) < to_text(other)) == (one.astimezone(UTC) < other.astimezone(UTC))
    assert from_text(to_text(one)) == one.astimezone(UTC)
