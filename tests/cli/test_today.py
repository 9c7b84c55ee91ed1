"""Today's sheet as it is typed: planned, ticked, taken up again; every test has a home of its own."""

import json
from datetime import date, timedelta
from pathlib import Path
from typing import Any

import pytest

from .conftest import Run
from .test_answers import valid
from .test_own_horn import done, home, refused

__all__ = ["home"]

DAY = date(2026, 3, 20)


@pytest.fixture(autouse=True)
def day(monkeypatch: pytest.MonkeyPatch) -> None:
    """It is always the same day."""
    _be_on(DAY, monkeypatch)


def _be_on(day: date, monkeypatch: pytest.MonkeyPatch) -> None:
    for name in ("slurwright.wiring.sheet", "slurwright.wiring.sheet_kept"):
        monkeypatch.setattr(f"{name}.today", lambda: day)


@pytest.fixture
def own(run: Run) -> str:
    done(run("horn", "add", "old silver", "--model", "euphonium-4c"))
    return "old silver"


@pytest.fixture
def plan(run: Run, own: str, demo_file: Path) -> dict[str, Any]:
    return valid(
        done(run("today", "plan", demo_file, "--horn", own, "--minutes", "30", "--concert", "2026-03-27", "--json")),
        "today",
    )


def _items(sheet: dict[str, Any], kind: str) -> list[dict[str, Any]]:
    return [item for item in sheet["items"] if item["kind"] == kind]


def _left(run: Run) -> list[int]:
    sheet = valid(done(run("today", "left", "--json")), "today")
    return [item["number"] for item in sheet["items"] if item["number"] and item["state"] is None]


def test_a_sheet_fits_into_its_minutes_and_rests_enough(plan: dict[str, Any]) -> None:
    assert plan["play_s"] + plan["rest_s"] <= 1800.0
    assert plan["rest_s"] >= plan["play_s"]
    assert [item["kind"] for item in plan["items"][:4]] == ["warm-up", "rest", "daily lip slurs", "rest"]
    assert plan["chance"]["with"] > plan["chance"]["without"] > 0.0
    assert plan["cautions"]


def test_weak_slurs_of_the_part_are_on_it_with_their_rescues(plan: dict[str, Any]) -> None:
    notes = [tuple(slur["notes"]) for slur in plan["slurs"]]
    assert ("F3", "D4") in notes
    assert all(slur["risk"]["words"].endswith("prior") for slur in plan["slurs"])
    (rescue, *_) = _items(plan, "rescue")
    assert rescue["tried"]["technique"] == "legato-tongue"


def test_the_report_says_the_same(run: Run, plan: dict[str, Any]) -> None:
    out = done(run("today", "show"))
    for words in (
        "Daily lip slurs",
        "F3 to D4, made easy",
        "28 % prior",
        "Concert on 2026-03-27",
        "stop if it hurts",
    ):
        assert words in out


def test_done_and_skipped_items_are_not_left(run: Run, plan: dict[str, Any]) -> None:
    whole = _left(run)
    said = done(run("today", "done", "3", "good", "rough", "missed", "good"))
    assert "4 tries logged" in said
    assert "Undo: slurwright tried withdraw 1-4" in said
    assert "skipped: items 4, 6" in done(run("today", "skip", "4", "6"))
    assert _left(run) == [number for number in whole if number not in (3, 4, 6)]
    assert "F3 to D4, made easy" not in done(run("today", "left"))


def test_what_is_logged_is_learnt_from(run: Run, plan: dict[str, Any], own: str) -> None:
    (first, *_) = [item for item in _items(plan, "slur") if item["slur"] == 0]
    done(run("today", "done", str(first["number"]), "missed=12"))
    again = valid(done(run("today", "plan", "--minutes", "60", "--json")), "today")
    (slur,) = [slur for slur in again["slurs"] if slur["notes"] == plan["slurs"][0]["notes"]]
    assert slur["risk"]["value"] > slur["risk"]["prior"]
    assert "learnt from" in slur["risk"]["words"]
    assert slur["tried_before"] == 12


def test_the_normal_fingering_is_practised_whatever_the_plan_makes_of_it(
    run: Run, plan: dict[str, Any], own: str, demo_file: Path
) -> None:
    """After many misses the plan leaves the open F; the sheet goes on practising it, and has 4 as the rescue."""
    (first, *_) = [item for item in _items(plan, "slur") if item["slur"] == 0]
    done(run("today", "done", str(first["number"]), "missed=12"))
    assert "F3 4 (normal: 0)" in done(run("part", demo_file, "--horn", own))
    again = valid(done(run("today", "plan", "--minutes", "60", "--json")), "today")
    ways = [[way["fingering"] for way in item["tried"]["ways"]] for item in _items(again, "slur")]
    assert ["0", "0"] in ways
    assert all("4" not in pair for pair in ways)


def test_parts_horn_and_concert_are_remembered(
    run: Run, plan: dict[str, Any], monkeypatch: pytest.MonkeyPatch
) -> None:
    _be_on(DAY + timedelta(days=1), monkeypatch)
    again = valid(done(run("today", "plan", "--minutes", "20", "--json")), "today")
    assert (again["parts"], again["horn"], again["concert"]) == (plan["parts"], plan["horn"], "2026-03-27")
    assert again["day"] == "2026-03-21"
    without = valid(done(run("today", "plan", "--minutes", "20", "--no-concert", "--json")), "today")
    assert without["concert"] is None


def test_a_second_sheet_on_the_same_day_leaves_out_what_was_done(run: Run, plan: dict[str, Any]) -> None:
    done(run("today", "done", "1"))
    done(run("today", "done", "2"))
    again = valid(done(run("today", "plan", "--minutes", "20", "--json")), "today")
    assert not _items(again, "daily lip slurs")
    assert not _items(again, "warm-up")
    assert any("lip slurs are done" in words for words in again["notices"])


def test_the_same_day_makes_the_same_sheet_and_another_day_other_exercises(
    run: Run, plan: dict[str, Any], monkeypatch: pytest.MonkeyPatch
) -> None:
    def seeds() -> list[int]:
        answer = json.loads(done(run("today", "plan", "--minutes", "30", "--json")))
        return [item["seed"] for item in answer["items"]]

    first = seeds()
    assert first == seeds() == [item["seed"] for item in plan["items"]]
    _be_on(DAY + timedelta(days=1), monkeypatch)
    assert first != seeds()


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("done", "99"), "no such item on the sheet; got 99"),
        (("done", "3", "great", "good=0"), "not what an ear can say of a slur; got 'great'"),
        (("done", "1", "good"), "only slurs are logged"),
        (("skip", "2", "0"), "no such item on the sheet; got 0"),
        (("show", "zzzz"), "zzzz"),
        (("plan", "--minutes", "0.5"), "not a time to practise; got 0.5 min"),
        (("plan", "--minutes", "30", "--concert", "2026-05-01", "--no-concert"), "--no-concert"),
        (("plan", "--minutes", "30", "--horn", "the lost one"), "the lost one"),
        (("plan", "gone.musicxml", "--minutes", "30"), "gone.musicxml"),
        (("plan", "--minutes", "30", "--pages", "sheet.png"), "a name ending .pdf or .svg"),
        (("plan", "--minutes", "30", "--pages", "nowhere/sheet.pdf"), "no such folder"),
    ],
)
def test_what_makes_no_sense_changes_nothing(
    run: Run, plan: dict[str, Any], words: tuple[str, ...], said: str
) -> None:
    before = done(run("today", "show", "--json"))
    assert said in refused(run("today", *words))
    assert done(run("today", "show", "--json")) == before


def test_an_item_is_done_once_unless_more_is_said(run: Run, plan: dict[str, Any]) -> None:
    done(run("today", "done", "3", "good"))
    assert "done already" in refused(run("today", "done", "3", "good"))
    assert "done already" in refused(run("today", "skip", "3"))
    assert "1 try logged" in done(run("today", "done", "3", "good", "--more"))


def test_a_skipped_item_can_be_done_after_all(run: Run, plan: dict[str, Any]) -> None:
    done(run("today", "skip", "3"))
    done(run("today", "done", "3", "good"))
    assert 3 not in _left(run)


def test_without_a_player_a_sheet_is_planned_and_not_kept(run: Run, demo_file: Path, home: Path) -> None:
    ran = run("today", "plan", demo_file, "--horn", "euphonium-4c", "--minutes", "20", "--json")
    assert valid(done(ran), "today")["sheet"] is None
    assert "not kept" in ran.err
    assert not home.exists()


def test_nothing_to_take_a_sheet_from(run: Run, own: str) -> None:
    words = refused(run("today", "plan", "--minutes", "20"))
    assert "no horn is said" in words
    assert "no part is said" in words
    assert "there is no sheet yet" in refused(run("today", "left"))


def test_a_concert_that_is_over_and_few_minutes(run: Run, own: str, demo_file: Path) -> None:
    words = ("today", "plan", demo_file, "--horn", own, "--json")
    over = valid(done(run(*words, "--minutes", "30", "--concert", "2026-03-01")), "today")
    assert over["concert"] is None
    assert any("the concert was on 2026-03-01" in words for words in over["notices"])
    few = valid(done(run(*words, "--minutes", "2")), "today")
    assert {item["kind"] for item in few["items"]} == {"daily lip slurs", "rest"}


def test_a_clock_that_was_set_back(run: Run, plan: dict[str, Any], monkeypatch: pytest.MonkeyPatch) -> None:
    done(run("today", "done", "4", "good=8"))
    _be_on(DAY - timedelta(days=5), monkeypatch)
    again = valid(done(run("today", "plan", "--minutes", "30", "--json")), "today")
    assert any("is the clock right?" in words for words in again["notices"])


def test_a_part_without_weak_slurs(run: Run, own: str, tmp_path: Path) -> None:
    plain = tmp_path / "scale.abc"
    plain.write_text("X:1\nT:Plain\nM:4/4\nL:1/4\nK:Bb clef=bass\nB,, C, D, E, | F,4 |\n")
    sheet = valid(done(run("today", "plan", plain, "--horn", own, "--minutes", "20", "--json")), "today")
    assert sheet["slurs"] == []
    assert _items(sheet, "daily lip slurs")
    assert any("no weak slur" in words for words in sheet["notices"])


def test_a_part_that_was_changed_or_lost(run: Run, plan: dict[str, Any], demo_file: Path) -> None:
    demo_file.write_text(demo_file.read_text("utf-8").replace("<octave>3</octave>", "<octave>2</octave>", 1), "utf-8")
    ran = run("today", "plan", "--minutes", "30", "--json")
    done(ran)
    assert "the part has changed" in ran.err
    demo_file.unlink()
    assert "there is no such file" in refused(run("today", "plan", "--minutes", "30"))
    assert "F3 to D4" in done(run("today", "show")), "the sheet itself is still there"


def test_pages_of_the_sheet(run: Run, plan: dict[str, Any], tmp_path: Path) -> None:
    done(run("today", "show", "--pages", tmp_path / "today.svg", "--paper", "letter"))
    pages = sorted(tmp_path.glob("today*.svg"))
    text = "".join(page.read_text("utf-8") for page in pages)
    for number in (item["number"] for item in plan["items"] if item["number"]):
        assert f">{number}. " in text
    assert text.count("italic") >= len(_items(plan, "rest")), "each rest has its band"
    assert "stop if it hurts" in text
    done(run("today", "show", "--pages", tmp_path / "today.pdf"))
    assert (tmp_path / "today.pdf").read_bytes().startswith(b"%PDF")


def test_a_trial_that_is_going_on_is_remembered(run: Run, plan: dict[str, Any], own: str, demo_file: Path) -> None:
    done(run("trial", "new", demo_file, "21:3", "--horn", own))
    again = valid(done(run("today", "plan", "--minutes", "20", "--json")), "today")
    assert any("a trial of F3 to D4 is going on" in words for words in again["notices"])
    ran = run("today", "plan", "--minutes", "20", "--concert", again["day"], "--json")
    assert not any("a trial" in words for words in valid(done(ran), "today")["notices"]), "lips are spared"


def test_the_owner_of_a_horn_need_not_be_named(run: Run, own: str, demo_file: Path) -> None:
    done(run("horn", "add", "silver cornet", "--model", "cornet-b", "--player", "Tómas"))
    words = ("today", "plan", demo_file, "--minutes", "20", "--json")
    assert valid(done(run(*words, "--horn", own)), "today")["sheet"]
    assert "several players" in refused(run("today", "left"))
    assert "old silver" in done(run("today", "show", "--player", "me", "--json"))
    model = run(*words, "--horn", "euphonium-4c")
    assert valid(done(model), "today")["sheet"] is None
    assert "say --player" in model.err
