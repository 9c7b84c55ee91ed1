"""The contract of `--json`: published schemas, and the fields that others build on."""

import json
from pathlib import Path
from typing import Any

import pytest
from jsonschema import Draft202012Validator

from .conftest import Run

SCHEMAS = Path(__file__).parents[2] / "docs" / "schemas"
HORNS_OTHERS_BUILD_ON = (
    "euphonium-4c",
    "euphonium-4",
    "euphonium-3",
    "baritone-3",
    "trumpet-b",
    "cornet-b",
    "horn-f",
    "horn-double",
    "tuba-f-6",
    "tuba-eb-4c",
    "tuba-c-5",
    "tuba-b-4",
    "trombone",
    "trombone-f",
    "trombone-bass",
)


def valid(answer: str, schema: str) -> dict[str, Any]:
    value: dict[str, Any] = json.loads(answer)
    Draft202012Validator(json.loads((SCHEMAS / f"{schema}.schema.json").read_text("utf-8"))).validate(value)
    return value


def test_a_note(run: Run) -> None:
    answer = valid(run("note", "F3", "--horn", "euphonium-4c", "--json").out, "note")
    assert answer["sounding"] == "F3"
    first = answer["ways"][0]
    assert (first["fingering"], first["partial"], first["normal"]) == ("0", 3, True)
    four = next(way for way in answer["ways"] if way["fingering"] == "4")
    assert four["partial"] == 4
    assert four["cents_tube"] == pytest.approx(0.0, abs=0.1)


@pytest.mark.parametrize("horn", HORNS_OTHERS_BUILD_ON)
def test_every_horn_answers(run: Run, horn: str) -> None:
    listed = valid(run("horns", "--json").out, "horns")
    own = next(entry for entry in listed["horns"] if entry["id"] == horn)
    valid(run("note", own["open_pitch"].rstrip("0123456789") + "3", "--horn", horn, "--json").out, "note")


def test_b_means_b_flat_in_the_listing(run: Run) -> None:
    listed = json.loads(run("horns", "--json").out)["horns"]
    for horn in listed:
        if horn["id"].startswith(("trumpet-b", "tuba-b-", "cornet-b")):
            assert "B♭" in horn["name"]
            assert horn["open_pitch"].startswith("Bb")


def test_a_part(run: Run, demo_file: Path) -> None:
    answer = valid(run("part", demo_file, "--horn", "euphonium-4c", "--json", "--trade-offs").out, "part")
    assert [note["index"] for note in answer["notes"]] == list(range(len(answer["notes"])))
    assert 0 < answer["chance_clean"] <= 1
    assert len(answer["plans"]) == 3
    assert answer["trade_offs"]
    costs = [plan["cost"] for plan in answer["plans"]]
    assert costs == sorted(costs)


def test_choices_that_keep_the_fingering_come_first(run: Run, demo_file: Path) -> None:
    answer = json.loads(run("part", demo_file, "--horn", "euphonium-4c", "--dynamic", "pp", "--json").out)
    weak = [slur for slur in answer["slurs"] if slur["weak"]]
    assert weak, "the demo has weak slurs at pp"
    for slur in weak:
        planned = slur["choices"][0]["fingerings"]
        changed = [choice["fingerings"] != planned for choice in slur["choices"]]
        assert changed == sorted(changed)


def test_tied_notes_carry_their_fingering(run: Run, demo_file: Path) -> None:
    notes = json.loads(run("part", demo_file, "--horn", "euphonium-4c", "--json").out)["notes"]
    tied = [note for note in notes if note["tied_from_previous"]]
    for note in tied:
        assert note["fingering"] == notes[note["index"] - 1]["fingering"]
