"""Sheets as documents: what is written is read again, and what is no sheet is refused with every fault."""

import json

import pytest
from hypothesis import given, settings
from hypothesis import strategies as some

from builders.sheets import made_sheet as made
from slurwright.errors import StoreError
from slurwright.formats.sheet_json import plan_from_json, plan_to_json


@settings(max_examples=30, deadline=None)
@given(
    risks=some.lists(some.floats(0.001, 1.0), max_size=6),
    minutes=some.floats(1.0, 60.0),
    name=some.text(some.characters(exclude_categories=["Cs"]), max_size=8),
)
def test_what_is_written_is_read_again(risks: list[float], minutes: float, name: str) -> None:
    plan = made(risks, minutes=minutes, name=name)
    text = plan_to_json(plan)
    assert plan_from_json(text) == plan
    assert plan_to_json(plan_from_json(text)) == text


def _spoiled(path: str, value: object) -> str:
    document = json.loads(plan_to_json(made([0.3, 0.2])))
    inner = document
    *above, last = path.split(".")
    for step in above:
        inner = inner[int(step)] if isinstance(inner, list) else inner[step]
    inner[last] = value
    return json.dumps(document)


@pytest.mark.parametrize(
    ("path", "value", "where"),
    [
        ("schema", 99, "sheet.schema"),
        ("format", "a shopping list", "sheet.format"),
        ("sheet.day", "yesterday", "sheet.day"),
        ("sheet.items.0.kind", "dance", "sheet.items.kind"),
        ("sheet.items.0.tries", -1, "sheet.items.tries"),
        ("sheet.items.4.target", 7, "a slur that is not on the sheet"),
        ("sheet.targets.0.tried.ways", [], "sheet.tried.ways"),
        ("sheet.targets.0.risk", "high", "sheet.targets.risk"),
        ("reading.clef", "soprano sax", "sheet.reading.clef"),
        ("sheet.surprise", 1, "a field that is not known"),
    ],
)
def test_what_is_no_sheet_is_refused(path: str, value: object, where: str) -> None:
    with pytest.raises(StoreError) as caught:
        plan_from_json(_spoiled(path, value))
    assert where in str(caught.value)


@pytest.mark.parametrize("text", ["", "[]", "null", "{", '{"sheet": {}}'])
def test_other_texts_are_refused(text: str) -> None:
    with pytest.raises(StoreError):
        plan_from_json(text)
