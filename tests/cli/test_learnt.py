"""What a player tried, in the reports of plan and note: each figure says what it rests on."""

import json
import re
from datetime import date
from pathlib import Path

import pytest
from jsonschema import Draft202012Validator

from builders.tried_slurs import tries_at
from slurwright.devices.clock import now
from slurwright.devices.packaged import load_horn
from slurwright.errors import PlanError
from slurwright.evidence.attempts import Ear
from slurwright.jobs import known_player
from slurwright.jobs.study import StudyRequest
from slurwright.wiring.horns import opened_store
from slurwright.wiring.part import study_typed

from .conftest import Run

TYPED = "K:Bb clef=bass\n(F,2 B,2) | (B,2 F,2) | (F,2 B,2)"
SCHEMAS = Path(__file__).parents[2] / "docs" / "schemas"
PART = ("part", "--typed", TYPED, "--dynamic", "pp", "--horn")
DAY = date(2026, 1, 9)


@pytest.fixture
def tried(run: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> str:
    """A horn on which the first slur of a passage failed a dozen times; its name."""
    monkeypatch.setenv("SLURWRIGHT_HOME", str(tmp_path / "kept"))
    assert run("horn", "add", "old silver", "--model", "euphonium-4c").status == 0
    study = study_typed(TYPED, load_horn("euphonium-4c"), StudyRequest(dynamic="pp")).study
    with opened_store() as store:
        owned = store.horns(store.players()[0].id)[0]
        heard = [Ear.MISSED] * 10 + [Ear.GOOD] * 2
        store.log_attempts(tries_at(study, owned, 0, heard, day=DAY), now=now())
    return "old silver"


def said(words: str) -> str:
    """The words of a report without its line breaks."""
    return " ".join(words.split())


def test_the_report_says_what_is_learnt_and_from_what(run: Run, tried: str) -> None:
    out = run(*PART, tried, "--weak-above", "0").out
    assert "Slurs and fingers: learnt from your attempts" in said(out)
    assert "Learnt from your attempts" in out
    assert re.search(r"12 attempts until 2026-01-09; \d of the 3 slurs", said(out))
    assert re.search(r"breaks +between +prior +tried +cents +choice", out)


def test_the_priors_alone_stand_beside_what_is_learnt(run: Run, tried: str) -> None:
    alone = run(*PART, "euphonium-4c", "--json")
    beside = run(*PART, tried, "--priors-only", "--json")
    ours, theirs = json.loads(beside.out), json.loads(alone.out)
    assert [slur["break_risk"] for slur in ours["slurs"]] == [slur["break_risk"] for slur in theirs["slurs"]]
    assert ours["plans"] == theirs["plans"]
    assert ours["slurs"][0]["learnt"]["basis"] == "learnt"
    assert ours["slurs"][0]["learnt"]["risk"] > ours["slurs"][0]["break_risk"]
    out = run(*PART, tried, "--priors-only").out
    assert "What your attempts say" in out
    assert re.search(r"\d+ % prior \(\d+ %, \d+ to \d+ %, learnt from \d+ attempts\)", said(out))
    assert re.search(r"prior +yours +between +tried +cents +choice", out)


def test_the_answer_keeps_its_schema(run: Run, tried: str) -> None:
    schema = Draft202012Validator(json.loads((SCHEMAS / "part.schema.json").read_text("utf-8")))
    asked: list[tuple[str, ...]] = [(), ("--priors-only",), ("--trade-offs",)]
    for words in asked:
        answer = json.loads(run(*PART, tried, *words, "--json").out)
        assert [str(error.message) for error in schema.iter_errors(answer)] == []
        wanted = {"attempts": 12, "until": "2026-01-09", "priors_only": words == ("--priors-only",)}
        assert answer["learnt_from"] == wanted
        assert answer["otherwise"]["fingerings"]
        for slur in answer["slurs"]:
            learnt = slur["learnt"]
            assert 0.0 <= learnt["low"] <= learnt["risk"] <= learnt["high"] <= 1.0


def test_a_model_has_no_player(run: Run, tried: str) -> None:
    answer = json.loads(run(*PART, "euphonium-4c", "--json").out)
    assert "learnt_from" not in answer
    assert all("learnt" not in slur for slur in answer["slurs"])
    ran = run(*PART, "euphonium-4c", "--priors-only")
    assert ran.status == 0
    assert "--priors-only changes nothing" in ran.err


def test_a_horn_on_which_nothing_was_tried_has_priors(
    run: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("SLURWRIGHT_HOME", str(tmp_path / "kept"))
    assert run("horn", "add", "new", "--model", "euphonium-4c").status == 0
    out = run(*PART, "new").out
    assert "Prior: not yet learnt from your playing." in said(out)
    assert "Learnt from your attempts" not in out


def test_where_nothing_can_be_learnt_there_is_still_a_plan(
    run: Run, tried: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    def failing(*_: object, **__: object) -> None:
        raise PlanError("no figures come of this")

    monkeypatch.setattr(known_player, "attempts_of", failing)
    ran = run(*PART, tried)
    assert ran.status == 0
    assert "so the priors stand: no figures come of this" in ran.err
    assert "Prior: not yet learnt from your playing." in said(ran.out)


def test_a_note_says_what_the_fingers_know(run: Run, tried: str) -> None:
    study = study_typed(TYPED, load_horn("euphonium-4c"), StudyRequest(dynamic="pp", pins=("F3=4",))).study
    with opened_store() as store:
        owned = store.horns(store.players()[0].id)[0]
        store.log_attempts(tries_at(study, owned, 1, [Ear.GOOD] * 30, day=DAY), now=now())
    ran = run("note", "F3", "--horn", tried)
    assert re.search(r"known +yours +why", ran.out)
    answer = json.loads(run("note", "F3", "--horn", tried, "--json").out)
    schema = Draft202012Validator(json.loads((SCHEMAS / "note.schema.json").read_text("utf-8")))
    assert [str(error.message) for error in schema.iter_errors(answer)] == []
    hands = {way["fingering"]: way["at_hand"] for way in answer["ways"]}
    assert hands["4"]["learnt"] > hands["4"]["prior"]
    assert hands["1-3"]["learnt"] == hands["1-3"]["prior"]
    assert "yours" not in run("note", "F3", "--horn", "euphonium-4c").out


def test_pages_mark_what_is_learnt(run: Run, tried: str, tmp_path: Path) -> None:
    from slurwright.jobs.pages import page_request  # noqa: PLC0415
    from slurwright.wiring.horns import find_horn  # noqa: PLC0415
    from slurwright.wiring.known_player import find_player  # noqa: PLC0415

    found = find_horn(tried)
    player = find_player(found.owned).player
    wanted = StudyRequest(dynamic="pp", pins=("F3=0", "Bb3=0"))
    asked = page_request(study_typed(TYPED, found.horn, wanted, player=player).study)
    assert asked.table[0].as_it_stands.endswith("†")
    assert "learnt from" in asked.table[0].why
    assert "your own attempts at this very slur" in asked.table_note
    alone = page_request(study_typed(TYPED, found.horn, wanted).study)
    assert alone.table_note == ""
    assert "†" not in alone.table[0].as_it_stands
