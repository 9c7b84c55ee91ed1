"""A trial from the first word to its answer, as it is typed; every test has a home of its own."""

import json
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from slurwright.devices.files import write_files
from slurwright.formats.sound.wav import wav_bytes
from slurwright.jobs.demo.player import made_up_take
from slurwright.wiring.horns import opened_store
from slurwright.wiring.trials import horn_of_trial, open_trial, page_of_round

from .conftest import Ran, Run
from .test_answers import valid

HORN = "old silver"


@pytest.fixture(autouse=True)
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    place = tmp_path / "home"
    monkeypatch.setenv("SLURWRIGHT_HOME", str(place))
    return place


def done(ran: Ran) -> str:
    assert ran.status == 0, ran.err
    return ran.out


def refused(ran: Ran) -> str:
    assert ran.status == 2
    assert ran.out == ""
    assert "Traceback" not in ran.err
    return ran.err


@pytest.fixture
def begun(run: Run, demo_file: Path) -> str:
    done(run("horn", "add", HORN, "--model", "euphonium-4c"))
    words = ("trial", "new", demo_file, "3:1", "--horn", HORN, "--dynamic", "pp", "--seed", "3", "--choose", "F3=4")
    return str(valid(done(run(*words, "--json")), "trial")["id"])


def shown(run: Run, trial: str) -> dict[str, Any]:
    return valid(done(run("trial", "show", trial, "--json")), "trial")


def log_round(run: Run, trial: str, *, b_speaks: bool) -> dict[str, Any]:
    """Log the round that is ahead: A misses every other time, B as the test says."""
    ahead = shown(run, trial)["next"]
    words = ["good" if one["arm"] == "A" or b_speaks else "missed" for one in ahead]
    words = ["missed" if one["arm"] == "A" and b_speaks else word for one, word in zip(ahead, words, strict=True)]
    return valid(done(run("trial", "log", trial, *words, "--json")), "trial")


def test_from_the_first_word_to_the_answer(run: Run, begun: str) -> None:
    said = done(run("trial", "next", begun[:6]))
    assert "Play blocks 1 to 4 now: 8 tries at pp" in said
    assert "4 on F3, 0 on Bb3" in said
    assert "stop if it hurts" in said
    answers = [log_round(run, begun, b_speaks=True)["answer"] for _ in range(3)]
    assert answers == ["not told yet", "better", "better"]
    report = done(run("trial", "show", begun))
    assert "4 on F3 speaks more often than 0 on F3" in report.replace("\n", " ")
    assert "(prior)" in report
    assert "This is enough" in done(run("trial", "next", begun))
    (row,) = valid(done(run("trial", "list", "--json")), "trials")["trials"]
    assert (row["id"], row["answer"], row["blocks"], row["horn"]) == (begun, "better", 12, HORN)
    assert row["state"] == "answered after 12 blocks: 4 on F3 is better"
    assert begun[:8] in done(run("trial", "list"))


def test_a_page_for_the_stand(run: Run, begun: str, tmp_path: Path) -> None:
    done(run("trial", "page", begun, tmp_path / "round.svg", "--block", "5"))
    drawn = (tmp_path / "round.svg").read_text("utf-8")
    assert "blocks 5 to 8" in drawn
    done(run("trial", "page", begun, tmp_path / "round.pdf", "--paper", "letter"))
    assert (tmp_path / "round.pdf").read_bytes().startswith(b"%PDF")


def test_where_nothing_is_gained_it_says_so(run: Run, begun: str) -> None:
    for _ in range(2):
        answer = log_round(run, begun, b_speaks=False)
    assert answer["answer"] in {"no gain worth having", "better"}
    assert answer["compared"][0]["first"] == "A"
    assert answer["compared"][0]["worth_changing"] < 0.18


def test_half_a_round_is_taken_up_again(run: Run, begun: str) -> None:
    ahead = shown(run, begun)["next"]
    done(run("trial", "log", begun, "good", "rough", "missed"))
    after = shown(run, begun)
    assert after["next"] == ahead[3:]
    assert sum(arm["tries"] for arm in after["arms"]) == 3
    assert after["blocks"] == 1
    done(run("trial", "unlog", begun, "2"))
    assert shown(run, begun)["next"] == ahead[1:]
    assert "not so many" in refused(run("trial", "unlog", begun, "2"))


def test_more_words_than_tries_and_other_slips(run: Run, begun: str) -> None:
    before = shown(run, begun)
    assert "more words than tries" in refused(run("trial", "log", begun, *["good"] * 9))
    assert "got 'fine'" in refused(run("trial", "log", begun, "good", "fine"))
    assert "still to come" in refused(run("trial", "log", begun, "good", "--on", "2199-01-01"))
    assert "no trial" in refused(run("trial", "log", "zzzz", "good"))
    assert "cannot be written as this" in refused(run("trial", "page", begun, "round.txt"))
    assert "no such block" in refused(run("trial", "page", begun, "round.pdf", "--block", "31"))
    assert shown(run, begun) == before


def test_an_ended_trial_takes_no_more(run: Run, begun: str) -> None:
    done(run("trial", "log", begun, "good", "good"))
    done(run("trial", "end", begun))
    assert "was ended" in refused(run("trial", "log", begun, "good"))
    assert "Ended on" in done(run("trial", "show", begun))
    assert shown(run, begun)["ended_at"] is not None
    done(run("trial", "reopen", begun))
    assert sum(arm["tries"] for arm in shown(run, begun)["arms"]) == 2
    done(run("trial", "log", begun, "good"))


def test_put_away_and_brought_back(run: Run, begun: str) -> None:
    done(run("trial", "log", begun, "good", "rough"))
    before = shown(run, begun)
    done(run("trial", "remove", begun, "--yes"))
    assert "No trial is kept" in done(run("trial", "list"))
    assert begun[:8] in done(run("trial", "list", "--removed"))
    refused(run("trial", "show", begun))
    done(run("trial", "restore", begun))
    assert shown(run, begun) == before


def test_what_cannot_be_laid_down(run: Run, begun: str, demo_file: Path) -> None:
    new = ("trial", "new", demo_file)
    own = ("--horn", HORN)
    assert "no slur leads from there" in refused(run(*new, "1:1", *own))
    assert "this is a model" in refused(run(*new, "3:1", "--horn", "euphonium-4c"))
    assert "no such choice" in refused(run(*new, "3:1", *own, "--choose", "growl"))
    assert "cannot sound F3" in refused(run(*new, "3:1", *own, "--choose", "F3=2"))
    assert "say FILE and WHERE" in refused(run("trial", "new", "3:1", *own))
    assert len(json.loads(done(run("trial", "list", "--json")))["trials"]) == 1


def test_a_slur_that_is_not_weak_is_allowed_and_said(run: Run, begun: str, demo_file: Path) -> None:
    ran = run("trial", "new", demo_file, "1:3", "--horn", HORN, "--choose", "legato-tongue")
    done(ran)
    assert "not weak" in ran.err


def test_a_typed_passage(run: Run, begun: str) -> None:
    typed = "M:4/4\nL:1/4\nK:Bb clef=bass\n(F,2 B,2) | (B,2 F,2) |"
    ran = run("trial", "new", "1:1", "--typed", typed, "--horn", HORN, "--dynamic", "p")
    assert "F3 to Bb3" in done(ran)


def test_the_horn_was_put_away(run: Run, begun: str, tmp_path: Path) -> None:
    done(run("horn", "remove", HORN, "--yes"))
    out = tmp_path / "round.musicxml"
    err = refused(run("trial", "page", begun, out))
    assert "horn" in err or "trial" in err
    assert not out.exists()


@pytest.fixture
def recording(begun: str, tmp_path: Path) -> Path:
    """The first round as an invented player might play it: A breaks now and then, B hardly ever."""
    with opened_store() as store:
        trial = open_trial(store, begun)
        page = page_of_round(trial, horn_of_trial(store, trial), 0)
    moves = [index for index, move in enumerate(page.study.line.moves) if move.slurred]
    risks = {move: (0.6, 0.02)[slot.arm] for move, slot in zip(moves, page.slots, strict=True)}
    take = made_up_take(page.study, risks, tried={}, rng=np.random.default_rng(6))
    path = tmp_path / "round.wav"
    write_files({path: wav_bytes(take.samples, take.rate_hz)})
    return path


def test_a_take_of_the_page_counts(run: Run, begun: str, recording: Path, tmp_path: Path) -> None:
    out = tmp_path / "round.musicxml"
    done(run("trial", "page", begun, out))
    assert b"score-partwise" in out.read_bytes()
    ran = run("trial", "take", begun, recording, "--json")
    answer = valid(done(ran), "trial")
    assert "8 of 8 on the page" in ran.err
    assert [one["aspect"] for one in answer["compared"]] == ["speaking", "smoothness", "tuning"]
    assert [arm["tries"] for arm in answer["arms"]] == [4, 4]
    assert answer["arms"][0]["spoke"] < answer["arms"][1]["spoke"]
    (take,) = json.loads(done(run("take", "list", "--json")))["takes"]
    assert "a take holds this round already" in refused(run("trial", "take", begun, recording, "--block", "2"))
    done(run("take", "remove", take["id"], "--yes"))
    assert [arm["tries"] for arm in shown(run, begun)["arms"]] == [0, 0]
    done(run("take", "restore", take["id"]))
    assert shown(run, begun) == answer


def test_a_kept_take_is_counted_if_it_is_of_the_page(run: Run, begun: str, recording: Path, tmp_path: Path) -> None:
    out = tmp_path / "round.musicxml"
    done(run("trial", "page", begun, out))
    done(run("take", "measure", recording, out, "--horn", HORN, "--pin", "F3=0"))
    other = tmp_path / "other.abc"
    other.write_text("X:1\nT:Other\nM:4/4\nL:1/4\nK:Bb clef=bass\n(F,2 B,) z | z4 | (F,2 B,) z | z4 |\n")
    done(run("take", "measure", recording, other, "--horn", HORN))
    takes = [take["id"] for take in json.loads(done(run("take", "list", "--json")))["takes"]]
    assert "holds other blocks" in refused(run("trial", "take", begun, "--kept", takes[0]))
    assert "another part" in refused(run("trial", "take", begun, "--kept", takes[1]))
    assert [arm["tries"] for arm in shown(run, begun)["arms"]] == [0, 0]
