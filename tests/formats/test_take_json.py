"""A measured take as JSON: published shapes, nothing lost on the way back, no number that is none."""

import json
import math
import re
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from jsonschema import Draft202012Validator

from builders.measured_takes import faulty_take, good_take
from slurwright.errors import StoreError
from slurwright.formats.measure_json import KEPT_STEP_S
from slurwright.formats.svg import write_svg
from slurwright.formats.take_json_read import take_measure_from_answer
from slurwright.jobs.take.answers import answer_of_take
from slurwright.jobs.take.measured import MeasuredTake
from slurwright.jobs.take.picture import take_drawings
from slurwright.listen.figure import Hidden, Veil
from slurwright.listen.thinning import thinned

SCHEMAS = Path(__file__).parents[2] / "docs" / "schemas"
TAKES = {"good": good_take(), "faulty": faulty_take()}


def written(take: MeasuredTake) -> str:
    return json.dumps(answer_of_take(take), ensure_ascii=False, allow_nan=False)


def valid(text: str, schema: str) -> dict[str, Any]:
    def refuse(name: str) -> None:
        raise AssertionError(name)

    value: dict[str, Any] = json.loads(text, parse_constant=refuse)
    rules = json.loads((SCHEMAS / f"{schema}.schema.json").read_text("utf-8"))
    Draft202012Validator.check_schema(rules)
    Draft202012Validator(rules).validate(value)
    return value


@pytest.mark.parametrize("take", TAKES.values(), ids=TAKES)
def test_what_is_kept_comes_back(take: MeasuredTake) -> None:
    measure = take.measure
    text = written(take)
    valid(text, "take")
    back = take_measure_from_answer(text)
    first, second = json.loads(text), json.loads(written(replace(take, measure=back)))
    tuned = (first["summary"].pop("tuning_cents"), second["summary"].pop("tuning_cents"))
    assert tuned[0] == pytest.approx(tuned[1], abs=0.002)
    assert first == second
    assert back.following.missed == measure.following.missed
    assert back.following.restarts == measure.following.restarts
    assert [note.played_as for note in back.following.played] == [n.played_as for n in measure.following.played]
    assert [(s.outcome, s.path, s.reasons) for s in back.slurs] == [
        (s.outcome, s.path, s.reasons) for s in measure.slurs
    ]
    assert [type(note.cents) for note in back.notes] == [type(note.cents) for note in measure.notes]
    assert (back.level, back.room) == (measure.level, measure.room)
    assert back.passage.joined() == measure.passage.joined()
    for mine, own in zip(back.passage.notes, measure.passage.notes, strict=True):
        assert mine.hz == pytest.approx(own.hz, abs=1e-4)
        assert mine.series_hz == pytest.approx(own.series_hz, abs=1e-4)
        assert mine.partial == own.partial


@pytest.mark.parametrize("take", TAKES.values(), ids=TAKES)
def test_a_kept_take_is_drawn_alike(take: MeasuredTake) -> None:
    def drawn(taken: MeasuredTake) -> list[list[str]]:
        pictures = [write_svg(picture) for picture in take_drawings(taken)]
        return [re.findall(r"<text[^>]*>.*?</text>|<title>.*?</title>", svg) for svg in pictures]

    assert drawn(replace(take, measure=take_measure_from_answer(written(take)))) == drawn(take)


def test_the_track_that_is_kept_is_the_thinned_one() -> None:
    measure = TAKES["good"].measure
    kept = take_measure_from_answer(written(TAKES["good"])).track
    thin = thinned(measure.track, KEPT_STEP_S)
    assert (kept.start_s, kept.step_s) == (thin.start_s, KEPT_STEP_S)
    np.testing.assert_allclose(kept.hz, thin.hz, atol=6e-4)
    np.testing.assert_allclose(kept.level_db, thin.level_db, atol=0.06)


def test_digital_silence_is_a_number() -> None:
    take = TAKES["good"]
    track = take.measure.track
    silent = replace(track, level_db=np.full_like(track.level_db, -np.inf))
    level = replace(take.measure.level, noise_db=-math.inf)
    text = written(replace(take, measure=replace(take.measure, track=silent, level=level)))
    assert valid(text, "take")["level"]["noise_db"] == -120.0
    assert set(valid(text, "take")["track"]["level_db"]) == {-120.0}


def spoilt(**changes: object) -> str:
    document = json.loads(written(TAKES["good"]))
    return json.dumps(document | changes)


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("{", "not JSON"),
        ("[]", "not the measures of a take"),
        (spoilt(missed=[27]), r"points to nothing.*27.*0 to 26"),
        (spoilt(restarts=[-1]), "points to nothing"),
        (
            spoilt(track={"start_s": 0, "step_s": 0.01, "hz": [1], "strength": [], "level_db": [1]}),
            "differ in length",
        ),
        (spoilt(track={"start_s": 0, "step_s": 0, "hz": [], "strength": [], "level_db": []}), "does not go on"),
        (spoilt(room={"decay_s": {"hidden": "fog"}, "direct_db": {"hidden": "room"}}), "fog"),
        (spoilt(room={"decay_s": {"value": 1, "low": 2, "high": 3}, "direct_db": {"hidden": "room"}}), "this order"),
        (spoilt(length_s="long"), "a number"),
        (spoilt(notes=[{"played": 0}]), "a field is missing"),
    ],
)
def test_what_is_not_whole_is_refused(text: str, words: str) -> None:
    with pytest.raises(StoreError, match=f"(?s){words}"):
        take_measure_from_answer(text)


@settings(max_examples=60)
@given(st.integers(0, 10_000), st.sampled_from(list('{}[]",:0a')))
def test_a_damaged_document_is_refused_or_read(place: int, letter: str) -> None:
    text = SHORT[: place % len(SHORT)] + letter + SHORT[place % len(SHORT) + 1 :]
    try:
        take_measure_from_answer(text)
    except StoreError:
        return


def short(take: MeasuredTake) -> str:
    return written(replace(take, measure=replace(take.measure, track=thinned(take.measure.track, 2.0))))


SHORT = short(TAKES["faulty"])


def test_fields_may_be_added() -> None:
    read = take_measure_from_answer(spoilt(colour="red"))
    assert len(read.notes) == len(TAKES["good"].measure.notes)


@pytest.mark.parametrize("name", TAKES)
def test_the_answer_has_the_published_shape(name: str) -> None:
    take = TAKES[name]
    answer = valid(json.dumps(answer_of_take(take, notices=("something",)), allow_nan=False), "take")
    assert answer["notices"] == ["something"]
    assert len(answer["asked"]) == len(take.sounds)
    assert answer["summary"]["said"]
    for note in answer["notes"]:
        assert note["said"].endswith(".")
        assert answer["asked"][note["asked"]]["written"] == note["written"]
        assert answer["played"][note["played"]]["asked"] == note["asked"]
    for slur in answer["slurs"]:
        assert answer["played"][slur["first"]]["asked"] == slur["from"]
        assert slur["to"] == slur["from"] + 1
        assert slur["said"]


def test_every_figure_names_its_unit() -> None:
    answer = answer_of_take(TAKES["faulty"])
    named = {name for kind in ("notes", "slurs") for row in answer[kind] for name in row}
    figures = {name for kind in ("notes", "slurs") for row in answer[kind] for name in row if is_figure(row[name])}
    assert figures <= set(answer["units"]), figures - set(answer["units"])
    assert named


def is_figure(value: object) -> bool:
    return isinstance(value, dict) and ("hidden" in value or "low" in value)


def test_a_hidden_figure_says_why() -> None:
    answer = answer_of_take(TAKES["faulty"])
    hidden = [note["cents"] for note in answer["notes"] if "hidden" in note["cents"]]
    assert hidden == [{"hidden": "short"}]
    measure = TAKES["faulty"].measure
    assert [note.cents for note in measure.notes if isinstance(note.cents, Hidden)] == [Hidden(Veil.SHORT)]
