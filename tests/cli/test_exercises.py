"""`slurwright exercises`: answers, files, and what is refused."""

import json
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from jsonschema import Draft202012Validator

from builders.tried_slurs import tries_at
from slurwright.devices.clock import now
from slurwright.devices.packaged import load_horn
from slurwright.evidence.attempts import Ear
from slurwright.jobs.study import StudyRequest
from slurwright.wiring.horns import opened_store
from slurwright.wiring.part import study_typed

from .conftest import Run

SCHEMA = Path(__file__).parents[2] / "docs" / "schemas" / "exercises.schema.json"
HORN = ("--horn", "euphonium-4c")
SOFT = (*HORN, "--dynamic", "pp", "--seed", "1000")


def _answer(out: str) -> dict[str, Any]:
    value: dict[str, Any] = json.loads(out)
    Draft202012Validator(json.loads(SCHEMA.read_text("utf-8"))).validate(value)
    return value


def test_each_weak_slur_gets_its_first_exercises(run: Run, demo_file: Path) -> None:
    answer = _answer(run("exercises", demo_file, *SOFT, "--json").out)
    kinds = {exercise["kind"] for exercise in answer["exercises"]}
    assert kinds == {"rung", "two notes"}
    slurs = [exercise["slur"]["number"] for exercise in answer["exercises"]]
    assert [number for number in slurs if number] == sorted(number for number in slurs if number)
    assert answer["cautions"]
    rungs = [exercise for exercise in answer["exercises"] if exercise["kind"] == "rung"]
    assert len(rungs) < len(answer["exercises"]) / 2


def test_a_slur_that_is_named_gets_all_of_them(run: Run, demo_file: Path) -> None:
    answer = _answer(run("exercises", demo_file, *SOFT, "--at", "2:1", "--at", "0:3", "--most", "3", "--json").out)
    assert [exercise["level"] for exercise in answer["exercises"]][:3] == [1, 4, 6]
    every = _answer(run("exercises", demo_file, *SOFT, "--at", "0:3", "--json").out)["exercises"]
    assert [exercise["level"] for exercise in every] == list(range(1, len(every) + 1))
    assert {exercise["slur"]["from"] for exercise in every} == {"bar 0, beat 3: F3"}
    assert every[0]["notes"][0]["written"] == "F3"


def test_the_seed_brings_exercises_back(run: Run, demo_file: Path) -> None:
    first = run("exercises", demo_file, *SOFT, "--json").out
    assert run("exercises", demo_file, *SOFT, "--json").out == first
    other = run("exercises", demo_file, *HORN, "--dynamic", "pp", "--seed", "1001", "--json").out
    assert json.loads(other)["exercises"] != json.loads(first)["exercises"]


def test_the_report_names_slurs_times_and_cautions(run: Run, demo_file: Path) -> None:
    out = run("exercises", demo_file, *SOFT, "--at", "0:3").out
    assert "Slur 1: bar 0, beat 3: F3 to bar 1, beat 1: Bb3" in " ".join(out.split())
    assert "In all: play" in out
    assert "stop if it hurts" in " ".join(out.split())


def test_files_are_written_the_same_for_the_same_seed(run: Run, demo_file: Path, tmp_path: Path) -> None:
    written: list[list[bytes]] = []
    for turn in ("a", "b"):
        folder = tmp_path / turn
        folder.mkdir()
        names = ("x.svg", "x.musicxml", "x.mid", "x.wav")
        ran = run(
            *("exercises", demo_file, *SOFT, "--at", "0:3", "--most", "2", "--line"),
            *("--pages", folder / names[0], "--marked", folder / names[1]),
            *("--midi", folder / names[2], "--sound", folder / names[3]),
        )
        assert ran.status == 0
        assert "drone" in ran.out
        assert "headphones" in ran.out
        written.append([(folder / name).read_bytes() for name in names])
    assert written[0] == written[1]
    assert [data[:4] for data in written[0]] == [b"<svg", b"<?xm", b"MThd", b"RIFF"]


def test_the_lip_slurs_of_a_day_need_no_part(run: Run, tmp_path: Path) -> None:
    out = tmp_path / "daily.pdf"
    ran = run("exercises", "--daily", "--horn", "trombone-f", "--minutes", "6", "--pages", out, "--json")
    answer = _answer(ran.out)
    assert {exercise["kind"] for exercise in answer["exercises"]} == {"daily"}
    assert all(exercise["slur"] is None for exercise in answer["exercises"])
    assert out.read_bytes()[:5] == b"%PDF-"
    own = run("exercises", "--daily", *HORN, "--reading", "treble-b9", "--range", "C4..C5", "--json")
    names = {note["written"] for exercise in _answer(own.out)["exercises"] for note in exercise["notes"]}
    assert {name[-1] for name in names} <= {"4", "5"}


def test_a_part_without_weak_slurs_says_so(run: Run) -> None:
    ran = run("exercises", "--typed", "K:Bb clef=bass\nB,4 | C4 | B,4 |", *HORN)
    assert ran.status == 0
    assert "No slur of this part is weak" in ran.out


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("--at", "1:1"), "no slur leads from this note"),
        (("--at", "999:1"), "no note stands there"),
        (("--at", "here"), "not a place in a part"),
        (("--pages", "x.txt"), "a name ending .pdf or .svg"),
        (("--marked", "x.mid"), "a name ending .musicxml"),
        (("--midi", "x.wav"), "a name ending .mid"),
        (("--sound", "x.mp3"), "a name ending .wav"),
        (("--sound", "nowhere/x.wav"), "no such folder"),
        (("--sound", "x.wav", "--drone", "H2"), "not a pitch name"),
        (("--sound", "x.wav", "--a4", "1000"), "nobody tunes so"),
        (("--drone", "Bb2"), "--drone does nothing without --sound"),
        (("--line",), "--line does nothing without --sound"),
        (("--paper", "letter"), "--paper does nothing without --pages"),
        (("--minutes", "5"), "--minutes does nothing without --daily"),
        (("--daily",), "--daily needs no part"),
        (("--range", "F2"), "not a range"),
        (("--range", "F3..F2"), "too narrow a range"),
        (("--range", "C8..C9"), "no notes of"),
    ],
)
def test_what_is_refused(
    run: Run, demo_file: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, words: tuple[str, ...], said: str
) -> None:
    monkeypatch.chdir(tmp_path)
    ran = run("exercises", demo_file, *SOFT, *words)
    assert ran.status == 2
    assert said in ran.err
    assert [path.name for path in tmp_path.iterdir()] == [demo_file.name]


def test_something_to_practise_must_be_said(run: Run) -> None:
    ran = run("exercises", *HORN)
    assert ran.status == 2
    assert "FILE, --typed or --daily" in ran.err


def test_nothing_is_written_where_there_is_nothing_to_write(run: Run, tmp_path: Path) -> None:
    out = tmp_path / "x.pdf"
    ran = run("exercises", "--typed", "K:Bb clef=bass\nB,4 | C4 |", *HORN, "--pages", out)
    assert ran.status == 2
    assert "no exercises to write" in ran.err
    assert not out.exists()


def test_what_was_tried_counts_for_which_slurs_are_weak(
    run: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("SLURWRIGHT_HOME", str(tmp_path / "kept"))
    assert run("horn", "add", "old silver", "--model", "euphonium-4c").status == 0
    typed = "K:Bb clef=bass\n(F,2 B,2) | (B,2 F,2) |"
    study = study_typed(typed, load_horn("euphonium-4c"), StudyRequest(dynamic="pp")).study
    with opened_store() as store:
        owned = store.horns(store.players()[0].id)[0]
        heard = [Ear.MISSED] * 10 + [Ear.GOOD] * 2
        store.log_attempts(tries_at(study, owned, 0, heard, day=date(2026, 1, 9)), now=now())
    asked = ("exercises", "--typed", typed, "--dynamic", "pp", "--at", "F3", "--seed", "1000", "--json", "--horn")
    model = _answer(run(*asked, "euphonium-4c").out)["exercises"]
    own = _answer(run(*asked, "old silver").out)["exercises"]
    assert not any("as marked" in exercise["title"] for exercise in model)
    # The plan leaves the fingering that failed; it is practised all the same, and first.
    kinds = [exercise["kind"] for exercise in own]
    marked = next(place for place, exercise in enumerate(own) if "as marked" in exercise["title"])
    assert kinds.index("two notes") < marked < kinds.index("passage")
    alone = next(exercise for exercise in own if exercise["kind"] == "two notes")
    assert {note["fingering"] for note in alone["notes"]} == {"0"}
    assert own[marked]["notes"][0]["fingering"] != "0"
    assert own[marked]["slur"]["break_risk"] < model[0]["slur"]["break_risk"]
    learnt = own[marked]["slur"]["learnt"]
    assert "learnt" not in model[0]["slur"]
    assert learnt["low"] < learnt["risk"] < learnt["high"]
