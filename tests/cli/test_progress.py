"""Logging by ear and what is told of it, as it is typed; every test has a home of its own."""

import json
from pathlib import Path

import pytest

from .conftest import Run
from .test_answers import valid
from .test_own_horn import done, home, refused

__all__ = ["home"]

HORN = "old silver"


@pytest.fixture
def horn(run: Run) -> str:
    done(run("horn", "add", HORN, "--model", "euphonium-4c"))
    return HORN


@pytest.fixture
def practised(run: Run, horn: str, demo_file: Path) -> str:
    pins = ("--pin", "12:1=1-2", "--pin", "12:3=1-2")
    for day, words in (("2026-10-05", "missed=4"), ("2026-10-26", "rough=2"), ("2026-11-16", "good=6")):
        done(run("tried", "log", demo_file, "12:1", "good", words, "--horn", horn, "--on", day, *pins))
    return horn


def test_attempts_are_logged_listed_withdrawn_and_restored(run: Run, practised: str) -> None:
    listed = valid(done(run("tried", "list", "--json")), "tried")["attempts"]
    assert [one["number"] for one in listed] == list(range(1, 16))
    assert {one["place"] for one in listed} == {"12:1"}
    assert {one["horn"] for one in listed} == {practised}
    assert "Undo: slurwright tried restore 1-2 15" in done(run("tried", "withdraw", "1-2", "15"))
    listed = json.loads(done(run("tried", "list", "--json")))["attempts"]
    assert [one["number"] for one in listed if one["withdrawn"]] == [1, 2, 15]
    assert "withdrawn" in done(run("tried", "list"))
    done(run("tried", "restore", "1-2", "15"))
    assert "withdrawn" not in done(run("tried", "list"))
    assert done(run("tried", "list", "--since", "2026-11-01")).count("2026-11-16") == 1


def test_the_log_answers_with_what_it_kept(run: Run, horn: str, demo_file: Path) -> None:
    words = ("tried", "log", demo_file, "12:1", "good", "missed", "--horn", horn, "--as", "legato-tongue", "--json")
    done(run(*words))
    answer = valid(done(run(*words, "--dynamic", "pp", "--tempo", "60")), "tried")["attempts"]
    assert [(one["number"], one["heard"]) for one in answer] == [(3, "good"), (4, "missed")]
    assert {(one["technique"], one["tempo_qpm"]) for one in answer} == {("legato-tongue", 60.0)}
    assert answer[0]["dynamic"] < -1.0


def test_a_typed_passage_needs_no_file(run: Run, horn: str) -> None:
    out = done(run("tried", "log", "F3", "good=2", "--typed", "(F,B,)z2", "--horn", horn))
    assert "logged: 2 attempts" in out
    assert "say WHERE HEARD" in run("tried", "log", "good", "--typed", "(F,B,)z2", "--horn", horn).err


def test_a_plan_that_leaves_the_normal_fingerings_is_said(run: Run, horn: str, demo_file: Path) -> None:
    ran = run(
        "tried", "log", demo_file, "12:1", "missed=30", "--horn", horn, "--pin", "12:1=1-2", "--pin", "12:3=1-2"
    )
    assert "the plan plays" not in ran.err
    ran = run("tried", "log", demo_file, "12:1", "good", "--horn", horn)
    assert "not on the normal 1-2 to 1-2; if you played that, say --pin 12:1=1-2 --pin 12:3=1-2" in ran.err


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("99:1", "good"), "no note stands there"),
        (("1:1", "good"), "slurs lead from"),
        (("12:1", "fine"), "not what an ear can say"),
        (("12:1", "good=0"), "not what an ear can say"),
        (("12:1", "good=501"), "too many attempts"),
        (("12:1", "good", "--on", "2999-01-01"), "still to come"),
        (("12:1", "good", "--as", "half-valve", "--pin", "12:1=1-2", "--pin", "12:3=3"), "helps a lip slur"),
        (("12:1", "good", "--pin", "12:1=9"), "9"),
        (("12:1",), "say FILE WHERE HEARD"),
        (("12:1", "good", "--player", "Ida"), "Ida"),
    ],
)
def test_what_cannot_be_logged_is_refused_and_nothing_is_kept(
    run: Run, horn: str, demo_file: Path, words: tuple[str, ...], said: str
) -> None:
    assert said in refused(run("tried", "log", demo_file, *words, "--horn", horn))
    assert json.loads(done(run("tried", "list", "--json"))) == {"attempts": []}


def test_without_a_horn_it_is_said_how_to_add_one(run: Run, demo_file: Path) -> None:
    said = refused(run("tried", "log", demo_file, "12:1", "good", "--horn", "euphonium-4c"))
    assert "slurwright horn add NAME --model ID" in said
    assert "slurwright horn add" in refused(run("progress"))


def test_a_model_can_be_logged_on_beside_a_horn_of_ones_own(run: Run, horn: str, demo_file: Path) -> None:
    ran = run("tried", "log", demo_file, "12:1", "good", "--horn", "euphonium-4c")
    assert "kept for the model euphonium-4c" in ran.err
    assert json.loads(done(run("tried", "list", "--json")))["attempts"][0]["horn"] is None
    assert done(run("progress", "--horn", "euphonium-4c")).count("Fewer than 8 attempts: too few to say") == 1


def test_progress_without_anything_says_how_to_begin(run: Run, horn: str) -> None:
    assert "Nothing was tried yet" in done(run("progress", "--horn", horn))
    assert valid(done(run("progress", "--json")), "progress")["slurs"] == []


def test_progress_of_a_slur_in_words_and_in_json(run: Run, practised: str, demo_file: Path) -> None:
    out = done(run("progress"))
    assert "G3 to D3 (12:1)" in out
    assert "9 of 15" in out
    assert "prior" in out
    answer = valid(done(run("progress", demo_file, "--slur", "12:1", "--horn", practised, "--json")), "progress")
    (slur,) = answer["slurs"]
    (way,) = slur["ways"]
    assert (slur["notes"], way["tried"], way["spoke"], way["normal"]) == (["G3", "D3"], 15, 9, True)
    assert [week["tried"] for week in way["weeks"]] == [5, 3, 7]


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("--slur", "A3 C4"), "never tried"),
        (("--slur", "12:1"), "together with the part's FILE"),
        (("--since", "2999-01-01"), "still to come"),
        (("--horn", "brass band"), "old silver"),
        (("--player", "Ida"), "Ida"),
        (("--pages", "curves.doc"), ".pdf or .svg"),
        (("--pages", "no-such-folder/curves.pdf"), "no such folder"),
        (("no-such-file.musicxml",), "no-such-file"),
    ],
)
def test_what_cannot_be_told_is_refused(run: Run, practised: str, words: tuple[str, ...], said: str) -> None:
    assert practised
    assert said in refused(run("progress", *words))


def test_pages_are_written(run: Run, practised: str, tmp_path: Path) -> None:
    svg, pdf = tmp_path / "curves.svg", tmp_path / "curves.pdf"
    assert practised
    assert f"written: {svg}" in run("progress", "--pages", svg).err
    assert svg.read_text("utf-8").startswith("<svg")
    done(run("progress", "--pages", pdf, "--paper", "letter"))
    assert pdf.read_bytes().startswith(b"%PDF")


def test_a_part_is_read_on_one_of_several_horns(run: Run, practised: str, demo_file: Path) -> None:
    done(run("horn", "add", "second", "--model", "euphonium-3"))
    assert f"--horn with one of: {practised}, second" in refused(run("progress", demo_file))
    assert "Nothing was tried yet" in done(run("progress", demo_file, "--horn", "second"))


def test_what_was_played_on_a_horn_that_is_put_away_comes_back_with_it(run: Run, practised: str) -> None:
    done(run("horn", "remove", practised, "--yes"))
    assert "Nothing was tried yet" in done(run("progress"))
    done(run("horn", "restore", practised))
    assert "9 of 15" in done(run("progress"))


def test_without_a_horn_a_part_is_read_on_a_model(run: Run, horn: str, demo_file: Path) -> None:
    done(run("horn", "remove", horn, "--yes"))
    assert "--horn with a model of slurwright horns" in refused(run("progress", demo_file))
