"""Laid out piece by piece a document is what the standard library would write, rows aside."""

import json
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from slurwright.formats.json_layout import Row, laid_out

VALUES: st.SearchStrategy[Any] = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats(allow_nan=False, allow_infinity=False) | st.text(),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(), inner, max_size=3),
    max_leaves=12,
)


def text_of(value: object) -> str:
    return "".join(laid_out(value))


@settings(max_examples=60, deadline=None)
@given(VALUES)
def test_it_is_what_the_library_writes(value: Any) -> None:
    assert text_of(value) == json.dumps(value, ensure_ascii=False, indent=1)


def test_rows_stand_on_one_line_each_and_are_made_when_they_are_written() -> None:
    made: list[int] = []

    def row(number: int) -> Row:
        made.append(number)
        return Row(number=number, inner={"deep": [1, 2]})

    pieces = laid_out({"rows": map(row, range(2)), "none": iter(())})
    assert made == []
    text = "".join(pieces)
    assert text.splitlines() == [
        "{",
        ' "rows": [',
        '  {"number": 0, "inner": {"deep": [1, 2]}},',
        '  {"number": 1, "inner": {"deep": [1, 2]}}',
        " ],",
        ' "none": []',
        "}",
    ]
    assert json.loads(text)["rows"][1] == {"number": 1, "inner": {"deep": [1, 2]}}


@pytest.mark.parametrize("value", [float("nan"), [float("inf")], Row(a=float("-inf"))])
def test_what_json_cannot_say_is_refused(value: object) -> None:
    with pytest.raises(ValueError, match="not JSON compliant"):
        text_of(value)
