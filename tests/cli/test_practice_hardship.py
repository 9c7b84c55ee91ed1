"""Practice when things go wrong: killed, taken up the next morning, with the clock set back, with a horn renamed.

Every test has a home of its own.
"""

import json
import os
import shutil
import signal
import subprocess
import sys
import time
from collections.abc import Callable
from datetime import UTC, datetime, timedelta, tzinfo
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from slurwright.formats.sound.wav import wav_bytes
from slurwright.jobs.demo.player import made_up_take
from slurwright.jobs.study import StudyRequest
from slurwright.wiring.horns import find_horn, opened_store
from slurwright.wiring.part import study_typed
from slurwright.wiring.trials import horn_of_trial, open_trial, page_of_round

from .conftest import Run
from .test_answers import valid
from .test_own_horn import done, home, refused

__all__ = ["home"]

NOON = datetime(2026, 3, 20, 12, tzinfo=UTC)
HORN = "old silver"
Clock = Callable[[datetime], None]


@pytest.fixture(autouse=True)
def clock(monkeypatch: pytest.MonkeyPatch) -> Clock:
    """The machine's clock, which a test may set; it goes on by a second each time it is read."""
    shown = [NOON]

    class Set(datetime):
        @classmethod
        def now(cls, tz: tzinfo | None = None) -> "datetime":  # type: ignore[override]
            shown[0] += timedelta(seconds=1)
            return shown[0].astimezone(tz)

    def be_at(at: datetime) -> None:
        shown[0] = at

    monkeypatch.setattr("slurwright.devices.clock.datetime", Set)
    return be_at


@pytest.fixture
def own(run: Run) -> str:
    done(run("horn", "add", HORN, "--model", "euphonium-4c"))
    return HORN


@pytest.fixture
def plan(run: Run, own: str, demo_file: Path) -> dict[str, Any]:
    words = ("today", "plan", demo_file, "--horn", own, "--minutes", "30", "--concert", "2026-03-27", "--json")
    return valid(done(run(*words)), "today")


def _sheet(run: Run, *words: str) -> dict[str, Any]:
    return valid(done(run("today", *words, "--json")), "today")


def _slurs(sheet: dict[str, Any]) -> list[int]:
    return [item["number"] for item in sheet["items"] if item["kind"] == "slur" and item["number"]]


def _of_kind(sheet: dict[str, Any], kind: str) -> list[int]:
    return [item["number"] for item in sheet["items"] if item["kind"] == kind]


def _tried(run: Run) -> list[dict[str, Any]]:
    return list(json.loads(done(run("tried", "list", "--json")))["attempts"])


def test_the_morning_after_a_sheet_that_was_broken_off(run: Run, plan: dict[str, Any], clock: Clock) -> None:
    first, second, *_ = _slurs(plan)
    done(run("today", "done", str(first), "good", "good"))
    clock(NOON + timedelta(hours=20))
    ran = run("today", "left")
    assert f" {second} " in done(ran)
    assert "this sheet is for 2026-03-20, and today is 2026-03-21" in ran.err
    ran = run("today", "done", str(second), "good", "missed")
    done(ran)
    assert "for 2026-03-20" in ran.err
    assert [one["played_on"] for one in _tried(run)] == ["2026-03-20"] * 2 + ["2026-03-21"] * 2


def test_what_was_done_this_morning_of_yesterdays_sheet_is_not_asked_for_again(
    run: Run, plan: dict[str, Any], clock: Clock
) -> None:
    (lips,) = _of_kind(plan, "daily lip slurs")
    clock(NOON + timedelta(hours=20))
    done(run("today", "done", str(lips)))
    again = _sheet(run, "plan", "--minutes", "20")
    assert again["day"] == "2026-03-21"
    assert not _of_kind(again, "daily lip slurs")


def test_what_was_done_yesterday_is_asked_for_again(run: Run, plan: dict[str, Any], clock: Clock) -> None:
    (lips,) = _of_kind(plan, "daily lip slurs")
    done(run("today", "done", str(lips)))
    clock(NOON + timedelta(hours=20))
    assert _of_kind(_sheet(run, "plan", "--minutes", "20"), "daily lip slurs")


def test_midnight_passes_over_a_sheet(run: Run, own: str, demo_file: Path, clock: Clock) -> None:
    clock(datetime(2026, 3, 20, 23, 58, tzinfo=UTC))
    sheet = _sheet(run, "plan", str(demo_file), "--horn", own, "--minutes", "20")
    first, second, *_ = _slurs(sheet)
    done(run("today", "done", str(first), "good"))
    clock(datetime(2026, 3, 21, 0, 3, tzinfo=UTC))
    done(run("today", "done", str(second), "good"))
    left = _sheet(run, "left")
    assert left["sheet"] == sheet["sheet"]
    assert [one["played_on"] for one in _tried(run)] == ["2026-03-20", "2026-03-21"]


def test_the_second_sheet_of_a_day_is_the_one_that_is_meant(run: Run, plan: dict[str, Any], clock: Clock) -> None:
    clock(NOON + timedelta(hours=3))
    second = _sheet(run, "plan", "--minutes", "20")
    assert _sheet(run, "left")["sheet"] == second["sheet"] != plan["sheet"]
    assert _sheet(run, "left", "--sheet", plan["sheet"])["sheet"] == plan["sheet"]


@pytest.mark.parametrize("ahead", [timedelta(hours=3), timedelta(days=1), timedelta(days=2000)])
def test_a_clock_that_went_back_leaves_the_sheet_meant_that_was_made_last(
    run: Run, own: str, demo_file: Path, clock: Clock, ahead: timedelta
) -> None:
    """Also where the sheet before it is dated tomorrow: that one would be the last for as long as that takes."""
    clock(NOON + ahead)
    words = ("plan", str(demo_file), "--horn", own, "--minutes", "20")
    before = _sheet(run, *words)
    clock(NOON)
    done(run("today", "done", "3", "good", "--sheet", before["sheet"]))
    after = _sheet(run, "plan", "--minutes", "20")
    assert after["day"] == "2026-03-20"
    assert _sheet(run, "left")["sheet"] == after["sheet"]
    assert _sheet(run, "show", before["sheet"])["sheet"] == before["sheet"]


def test_a_sheet_that_is_dated_tomorrow_is_still_found(run: Run, plan: dict[str, Any], clock: Clock) -> None:
    clock(NOON - timedelta(days=1))
    ran = run("today", "left")
    done(ran)
    assert "this sheet is for 2026-03-20, and today is 2026-03-19: is the clock right?" in ran.err


def test_tries_keep_their_order_and_numbers_where_the_clock_goes_back(
    run: Run, own: str, demo_file: Path, clock: Clock
) -> None:
    log = ("tried", "log", demo_file, "0:3", "--horn", own)
    done(run(*log, "good=2"))
    clock(NOON - timedelta(days=3))
    assert "withdraw 3-4" in done(run(*log, "missed=2"))
    assert [one["heard"] for one in _tried(run)] == ["good"] * 2 + ["missed"] * 2
    assert [one["played_on"] for one in _tried(run)] == ["2026-03-20"] * 2 + ["2026-03-17"] * 2


def test_a_trial_that_began_tomorrow_goes_on(run: Run, own: str, demo_file: Path, clock: Clock) -> None:
    clock(NOON + timedelta(days=1))
    new = ("trial", "new", demo_file, "0:3", "--horn", own, "--seed", "4", "--json")
    trial = str(json.loads(done(run(*new)))["id"])
    ahead = json.loads(done(run("trial", "show", trial, "--json")))["next"]
    done(run("trial", "log", trial, "good", "missed"))
    clock(NOON)
    done(run("trial", "log", trial, "rough"))
    shown = valid(done(run("trial", "show", trial, "--json")), "trial")
    assert shown["next"] == ahead[3:]
    done(run("trial", "unlog", trial))
    assert json.loads(done(run("trial", "show", trial, "--json")))["next"] == ahead[2:]
    assert [(one["heard"], one["withdrawn"]) for one in _tried(run)] == [
        ("good", False),
        ("missed", False),
        ("rough", True),
    ]
    done(run("trial", "end", trial))
    done(run("trial", "reopen", trial))


def test_attempts_of_days_to_come_are_said_and_counted_once(
    run: Run, own: str, demo_file: Path, clock: Clock
) -> None:
    log = ("tried", "log", demo_file, "0:3", "--horn", own)
    done(run(*log, "good=9", "missed=9"))
    clock(NOON - timedelta(days=9))
    assert "still to come" in refused(run(*log, "good", "--on", "2026-03-20"))
    for words in (("part", demo_file, "--horn", own), ("progress",)):
        ran = run(*words)
        done(ran)
        assert "18 attempts dated after 2026-03-11" in ran.err + ran.out
    sheet = _sheet(run, "plan", str(demo_file), "--horn", own, "--minutes", "20")
    assert any("is the clock right?" in words for words in sheet["notices"])


def _rename(name: str) -> None:
    with opened_store() as store:
        (horn,) = store.horns(store.players()[0].id)
        store.rename_horn(horn.id, name, now=NOON)


def test_a_horn_that_was_renamed_is_the_same_horn(run: Run, plan: dict[str, Any], tmp_path: Path) -> None:
    _rename("the loud one")
    again = _sheet(run, "plan", "--minutes", "20")
    assert (again["horn"], again["parts"]) == ("the loud one", plan["parts"])
    done(run("today", "show", plan["sheet"], "--pages", tmp_path / "old.svg"))
    done(run("today", "done", "3", "good", "--sheet", plan["sheet"]))


def test_another_horn_that_took_the_old_name_is_not_meant(run: Run, plan: dict[str, Any]) -> None:
    _rename("the loud one")
    done(run("horn", "add", HORN, "--model", "trumpet-b"))
    assert _sheet(run, "plan", "--minutes", "20")["horn"] == "the loud one"


def test_a_horn_that_was_put_away_takes_its_practice_along(run: Run, plan: dict[str, Any], demo_file: Path) -> None:
    trial = json.loads(done(run("trial", "new", demo_file, "0:3", "--horn", HORN, "--seed", "4", "--json")))["id"]
    done(run("trial", "log", trial, "good"))
    done(run("horn", "remove", HORN, "--yes"))
    for words in (("today", "left"), ("today", "plan", "--minutes", "20"), ("today", "done", "3", "good")):
        assert "there is no sheet" in refused(run(*words)) or "no horn is said" in refused(run(*words))
    assert "this horn is deleted" in refused(run("trial", "log", trial, "good"))
    done(run("horn", "restore", HORN))
    assert _sheet(run, "left")["sheet"] == plan["sheet"]
    assert sum(arm["tries"] for arm in json.loads(done(run("trial", "show", trial, "--json")))["arms"]) == 1


def test_a_model_that_is_gone_from_the_catalogue(run: Run, plan: dict[str, Any], demo_file: Path) -> None:
    """What was tried on it is left out in words; nothing is lost and nothing else stops."""
    done(run("today", "done", "3", "good=4"))
    with opened_store() as store:
        store._writer.execute("UPDATE horns SET model = 'phantom-horn'")
        store._writer.execute("UPDATE sheets SET model = 'phantom-horn'")
    assert "phantom-horn" in refused(run("today", "plan", "--minutes", "20"))
    assert "phantom-horn" in refused(run("part", demo_file, "--horn", HORN))
    done(run("today", "show"))
    done(run("today", "done", "4", "good"))
    assert len(_tried(run)) == 5
    ran = run("progress")
    assert "not known here" in done(ran) + ran.err


def test_a_sheet_that_cannot_be_read_any_more(run: Run, plan: dict[str, Any], demo_file: Path) -> None:
    again = _sheet(run, "plan", "--minutes", "20")
    with opened_store() as store:
        from slurwright.store.documents import packed  # noqa: PLC0415

        store._writer.execute(
            "UPDATE sheets SET document = ? WHERE id = ?", (packed('{"schema": 99}'), again["sheet"])
        )
    assert "Traceback" not in refused(run("today", "left"))
    assert _sheet(run, "left", "--sheet", plan["sheet"])["sheet"] == plan["sheet"]
    done(run("today", "plan", demo_file, "--horn", HORN, "--minutes", "20"))


def _environment(home: Path) -> dict[str, str]:
    return {**os.environ, "SLURWRIGHT_HOME": str(home), "OPENBLAS_NUM_THREADS": "1", "NO_COLOR": "1"}


def _command(*words: str | Path) -> list[str]:
    return [sys.executable, "-c", "from slurwright.cli import main; main()", *map(str, words)]


@pytest.mark.parametrize("after_s", [0.15, 0.35, 0.5, 0.65])
def test_killed_at_any_moment_a_tick_and_its_tries_are_both_there_or_neither(
    run: Run, plan: dict[str, Any], home: Path, after_s: float
) -> None:
    number = _slurs(plan)[0]
    words = _command("today", "done", str(number), "good=7")
    child = subprocess.Popen(words, env=_environment(home), stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
    time.sleep(after_s)
    child.send_signal(signal.SIGKILL)
    child.wait()
    (item,) = [item for item in _sheet(run, "show")["items"] if item["number"] == number]
    assert (item["state"], len(_tried(run))) in {(None, 0), ("done", 7)}
    if item["state"] is None:
        done(run("today", "done", str(number), "good=7"))
    assert len(_tried(run)) == 7
    assert done(run("book", "check")).strip() == "sound"


def test_one_program_logs_while_another_plans(run: Run, plan: dict[str, Any], home: Path, demo_file: Path) -> None:
    log = _command("tried", "log", demo_file, "0:3", "good", "missed", "--horn", HORN, "--on", "2026-03-20")
    sheet = _command("today", "plan", "--minutes", "20", "--json")
    children = [
        subprocess.Popen(words, env=_environment(home), stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True)
        for words in (log, sheet, log, sheet)
    ]
    for child in children:
        out, err = child.communicate(timeout=60)
        assert child.returncode == 0, out + err
    assert len(_tried(run)) == 4
    with opened_store() as store:
        assert len(store.sheets_of(store.players()[0].id)) == 3


def test_two_programs_that_tick_the_same_item_log_its_tries_once(run: Run, plan: dict[str, Any], home: Path) -> None:
    number = _slurs(plan)[0]
    words = _command("today", "done", str(number), "good=3")
    children = [
        subprocess.Popen(words, env=_environment(home), stdout=subprocess.DEVNULL, stderr=subprocess.PIPE, text=True)
        for _ in range(3)
    ]
    ended = [(child.communicate(timeout=60)[1], child.returncode) for child in children]
    assert sorted(status for _, status in ended) == [0, 2, 2], ended
    assert len(_tried(run)) == 3


@pytest.mark.parametrize("schema", [1, 2, 3])
def test_a_store_of_an_older_version_is_brought_up_to_date(
    run: Run, home: Path, demo_file: Path, schema: int
) -> None:
    home.mkdir()
    old = Path(__file__).parents[1] / "store" / "fixtures" / f"schema-{schema:04d}.sqlite3"
    shutil.copy(old, home / "slurwright.sqlite3")
    horns = json.loads(done(run("horn", "list", "--json")))["horns"]
    mine = next(horn for horn in horns if horn["model"] == "euphonium-4c")
    own = ("--horn", mine["name"], "--player", mine["player"])
    done(run("tried", "log", demo_file, "0:3", "good", "missed", *own))
    assert _sheet(run, "plan", str(demo_file), *own, "--minutes", "20")["sheet"]
    done(run("trial", "new", demo_file, "0:3", *own))
    done(run("progress", "--player", mine["player"]))


def test_a_part_that_changed_or_vanished_since_its_sheet(run: Run, plan: dict[str, Any], demo_file: Path) -> None:
    """What is on the sheet can be played, ticked and drawn; only a new one needs the file."""
    demo_file.write_text("no part any more", encoding="utf-8")
    assert demo_file.name in refused(run("today", "plan", "--minutes", "20"))
    demo_file.unlink()
    demo_file.mkdir()
    assert "this is a folder" in refused(run("today", "plan", "--minutes", "20"))
    demo_file.rmdir()
    assert "no such file" in refused(run("today", "plan", "--minutes", "20"))
    done(run("today", "done", str(_slurs(plan)[0]), "good", "rough"))
    done(run("today", "show", "--pages", demo_file.with_name("sheet.svg")))
    with opened_store() as store:
        assert len(store.sheets_of(store.players()[0].id)) == 1


def test_a_round_that_was_played_from_another_page_can_be_taken_back(
    run: Run, own: str, demo_file: Path, tmp_path: Path
) -> None:
    """Whose block it was cannot be heard where fingerings alone differ; so it can be said anew."""
    new = ("trial", "new", demo_file, "0:3", "--horn", own, "--choose", "F3=4", "--seed", "4", "--json")
    trial = str(json.loads(done(run(*new)))["id"])
    with opened_store() as store:
        opened = open_trial(store, trial)
        page = page_of_round(opened, horn_of_trial(store, opened), 4)
    take = made_up_take(page.study, {}, tried={}, rng=np.random.default_rng(1000))
    recording = tmp_path / "later.wav"
    recording.write_bytes(wav_bytes(take.samples, take.rate_hz))
    ran = run("trial", "take", trial, recording)
    done(ran)
    kept = ran.err.split("kept: take ")[1].split()[0]
    done(run("take", "remove", kept, "--yes"))
    assert sum(arm["tries"] for arm in json.loads(done(run("trial", "show", trial, "--json")))["arms"]) == 0
    ran = run("trial", "take", trial, recording, "--block", "5")
    done(ran)
    assert "tries counted: 8 of 8" in ran.err


def test_a_recording_of_another_tune_counts_no_tries(run: Run, own: str, demo_file: Path, tmp_path: Path) -> None:
    new = ("trial", "new", demo_file, "0:3", "--horn", own, "--choose", "F3=4", "--seed", "4", "--json")
    trial = str(json.loads(done(run(*new)))["id"])
    found = find_horn(own)
    tune = "X:1\nT:Other\nM:4/4\nL:1/4\nK:Bb clef=bass\n C,2 E,2 | G,2 C,2 | E,2 D,2 | C,4 | D,2 E,2 | F,4 |\n"
    other = study_typed(tune, found.horn, StudyRequest()).study
    take = made_up_take(other, {}, tried={}, rng=np.random.default_rng(1001))
    recording = tmp_path / "other.wav"
    recording.write_bytes(wav_bytes(take.samples, take.rate_hz))
    ran = run("trial", "take", trial, recording)
    assert "nothing of the passage is heard" in refused(ran)
    assert sum(arm["tries"] for arm in json.loads(done(run("trial", "show", trial, "--json")))["arms"]) == 0
    assert json.loads(done(run("take", "list", "--json")))["takes"] == []
