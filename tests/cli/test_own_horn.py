"""A player's own horn from the first word to the plan, as it is typed; every test has a home of its own."""

import json
import sqlite3
from pathlib import Path
from typing import Any

import pytest

from .conftest import Ran, Run
from .test_answers import valid

TONES = ("Bb2 0 -1", "F3 0 -9", "Bb3 0 +3", "D4 0 -17", "F4 0 +9", "Bb4 0 +14", "F3 4 -21", "C3 4 -15", "G3 1-2 +12")


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
def measured(run: Run) -> str:
    done(run("horn", "add", "old silver", "--model", "euphonium-4c"))
    done(run("tone", "add", "old silver", *TONES, "--celsius", "20", "--on", "2026-01-09"))
    return "old silver"


def test_the_first_horn_makes_the_first_player(run: Run) -> None:
    out = done(run("horn", "add", "  old   silver ", "--model", "euphonium-4c", "--tuning", "minimax"))
    assert "player added: me" in out
    (horn,) = json.loads(done(run("horn", "list", "--json")))["horns"]
    assert horn == {
        "name": "old silver",
        "model": "euphonium-4c",
        "tuning": "minimax",
        "player": "me",
        "tones": 0,
        "tones_withdrawn": 0,
    }


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("--model", "euphonium-5"), "nearest: euphonium-4"),
        (("--model", "trumpet-b", "--tuning", "even"), "exact, third-long-23"),
        (("--model", "trombone", "--tuning", "minimax"), "allowed: exact"),
    ],
)
def test_a_horn_that_there_is_not(run: Run, home: Path, words: tuple[str, ...], said: str) -> None:
    assert said in refused(run("horn", "add", "mine", *words))
    assert json.loads(done(run("horn", "list", "--json")))["horns"] == []


def test_a_name_is_taken_once(run: Run, measured: str) -> None:
    assert "already" in refused(run("horn", "add", "Old Silver", "--model", "trumpet-b"))


def test_nothing_is_made_by_looking(run: Run, home: Path) -> None:
    done(run("note", "F3", "--horn", "euphonium-4c"))
    assert not home.exists()


def test_several_players_must_say_who(run: Run, measured: str) -> None:
    out = done(run("horn", "add", "old silver", "--model", "trumpet-b", "--player", "Ida Moor"))
    assert "player added: Ida Moor" in out
    assert "--player with one of: Ida Moor, me" in refused(run("horn", "show", measured))
    assert "--player with one of: Ida Moor, me" in refused(run("note", "F4", "--horn", measured))
    assert "trumpet" in done(run("note", "F4", "--horn", measured, "--player", "ida moor"))
    assert "there is no player of that name" in refused(run("horn", "show", measured, "--player", "Idda"))


def test_a_part_is_planned_on_what_was_measured(run: Run, measured: str, demo_file: Path) -> None:
    model = json.loads(done(run("part", demo_file, "--horn", "euphonium-4c", "--json")))
    own = json.loads(done(run("part", demo_file, "--horn", "OLD silver", "--json")))
    assert own["horn"] == "euphonium-4c"
    assert "not measured" in model["provenance"]["cents"]
    assert own["provenance"]["cents"].startswith("learnt from 9 tones")
    assert own["provenance"]["break_risk"] == model["provenance"]["break_risk"]
    first = next(note for note in own["notes"] if note["sounding"] == "D4" and note["fingering"] == "0")
    same = next(note for note in model["notes"] if note["index"] == first["index"])
    told = {way["fingering"]: way for way in (same, *same["alternatives"])}["0"]
    assert first["spread_cents"] < told["spread_cents"]
    assert first["cents"] < -12


def test_the_report_says_where_the_cents_are_from(run: Run, measured: str, demo_file: Path) -> None:
    own = " ".join(done(run("part", demo_file, "--horn", measured)).split())
    assert "old silver, Euphonium" in own
    assert "Cents are learnt from 9 tones measured on this horn" in own
    assert "Chances are priors" in own
    model = " ".join(done(run("part", demo_file, "--horn", "euphonium-4c")).split())
    assert "learnt from 9" not in model


def test_a_horn_without_tones_is_its_model(run: Run, demo_file: Path) -> None:
    done(run("horn", "add", "new", "--model", "euphonium-4c"))
    own = json.loads(done(run("part", demo_file, "--horn", "new", "--json")))
    assert own == json.loads(done(run("part", demo_file, "--horn", "euphonium-4c", "--json")))


def test_another_tuning_is_another_horn(run: Run, measured: str) -> None:
    assert "another setting is another horn" in refused(run("note", "F3", "--horn", measured, "--tuning", "minimax"))
    done(run("note", "F3", "--horn", measured, "--tuning", "exact"))


def test_an_unknown_horn_names_those_that_are_kept(run: Run, measured: str) -> None:
    err = refused(run("note", "F3", "--horn", "old gold"))
    assert "no such instrument" in err
    assert "old silver" in err


def test_the_chart_in_the_terminal(run: Run, measured: str) -> None:
    out = done(run("horn", "show", measured, "--reading", "treble-b9"))
    row = next(line for line in out.splitlines() if line.startswith("G4"))
    assert "0 on 3 normal" in row
    assert "measured, 1" in row
    assert "4 on 4" not in row
    beside = out.splitlines()[out.splitlines().index(row) + 1]
    assert "4 on 4" in beside
    assert "1-2-3-4 on 7" not in out
    assert len(done(run("horn", "show", measured, "--ways", "every")).splitlines()) > 2 * len(out.splitlines())


def test_the_chart_as_json(run: Run, measured: str) -> None:
    answer = json.loads(done(run("horn", "show", measured, "--json")))
    assert answer["measured_tones"] == 9
    notes = {note["sounding"]: note for note in answer["notes"]}
    way = next(way for way in notes["D4"]["ways"] if way["fingering"] == "0")
    assert (way["known_from"], way["tones"], way["normal"]) == ("measured", 1, True)
    assert way["low_cents"] < way["cents"] < way["high_cents"]
    assert sum(way["shares"].values()) == pytest.approx(1.0, abs=0.01)
    assert {way["known_from"] for note in answer["notes"] for way in note["ways"]} == {
        "measured",
        "inferred",
        "prior",
    }


def test_a_slip_is_set_aside_and_said(run: Run, measured: str) -> None:
    done(run("tone", "add", measured, "A3 2 +95", "--on", "2026-01-09"))
    assert "A3 on 2" in done(run("horn", "show", measured))
    told = json.loads(done(run("tone", "list", measured, "--json")))["tones"]
    assert [one["used"] for one in told] == [True] * 9 + [False]
    assert "cents above" in told[-1]["reason"]


def test_tones_are_withdrawn_and_come_back(run: Run, measured: str) -> None:
    def numbers() -> list[bool]:
        return [one["withdrawn"] for one in json.loads(done(run("tone", "list", measured, "--json")))["tones"]]

    assert "slurwright tone restore 'old silver' 2 4" in done(run("tone", "withdraw", measured, "2", "4"))
    assert [at for at, gone in enumerate(numbers(), start=1) if gone] == [2, 4]
    assert "withdrawn already" in refused(run("tone", "withdraw", measured, "2"))
    assert "allowed: 1 to 9" in refused(run("tone", "withdraw", measured, "1", "77"))
    assert "learnt from 7 tones" in run("note", "F3", "--horn", measured, "--json").out
    done(run("tone", "restore", measured, "2", "4"))
    assert not any(numbers())


def test_a_table_is_kept_whole_or_not_at_all(run: Run, measured: str, tmp_path: Path) -> None:
    table = tmp_path / "monday.csv"
    table.write_text("pitch,fingering,cents,temperature\nF3,4,-12,9\nF3,9,-12,9\nF3,4,130,9\n")
    err = refused(run("tone", "add", measured, "--csv", table))
    assert "row 3: euphonium-4c has no such fingering; got 9" in err
    assert "row 4: so far out it is another note" in err
    assert len(json.loads(done(run("tone", "list", measured, "--json")))["tones"]) == 9
    table.write_text("pitch,fingering,cents,temperature\nF3,4,-12,9\n")
    assert "1 tone; old silver now has 10" in done(run("tone", "add", measured, "--csv", table))
    again = run("tone", "add", measured, "--csv", table)
    assert "1 of them stood there already" in again.err


def test_a_written_note(run: Run, measured: str) -> None:
    done(run("tone", "add", measured, "C5", "0", "3", "--reading", "treble-b9"))
    assert json.loads(done(run("tone", "list", measured, "--json")))["tones"][-1]["sounding"] == "Bb3"
    assert "no such reading" in refused(run("tone", "add", measured, "C5 0 3", "--reading", "treble"))


@pytest.mark.parametrize("words", [(), ("F3 4 -12", "--csv", "a.csv")])
def test_words_or_a_table(run: Run, measured: str, words: tuple[str, ...]) -> None:
    assert "one of the two" in refused(run("tone", "add", measured, *words))


def test_a_misspelt_option_is_no_tone(run: Run, measured: str) -> None:
    assert "--celsus" in refused(run("tone", "add", measured, "F3 4 -12", "--celsus", "9"))


def test_what_to_measure_next(run: Run, measured: str, demo_file: Path) -> None:
    answer = json.loads(done(run("horn", "next", measured, "--count", "3", "--json")))
    widths = [answer["width_now_cents"], *(note["width_after_cents"] for note in answer["notes"])]
    assert widths == sorted(widths, reverse=True)
    assert len(answer["notes"]) == 3
    for_part = json.loads(done(run("horn", "next", measured, "--for", demo_file, "--json")))
    assert for_part["width_now_cents"] != answer["width_now_cents"]
    assert "narrower" in done(run("horn", "next", measured, "--reading", "treble-b9"))


def test_a_horn_is_put_away_and_brought_back(run: Run, measured: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("click.termui.visible_prompt_func", lambda prompt: "n")
    assert run("horn", "remove", measured).status == 1
    assert done(run("horn", "list")).count("old silver") == 1
    assert "slurwright horn restore 'old silver'" in done(run("horn", "remove", measured, "--yes"))
    assert json.loads(done(run("horn", "list", "--json")))["horns"] == []
    assert "there is no horn of that name" in refused(run("horn", "show", measured))
    assert "with 9 tones" in done(run("horn", "restore", measured))
    assert "learnt from 9" in run("note", "F3", "--horn", measured, "--json").out


def test_everything_goes_out_and_comes_in(run: Run, measured: str, tmp_path: Path, monkeypatch: Any) -> None:
    book = tmp_path / "book.json"
    done(run("book", "export", book))
    listed = done(run("tone", "list", measured, "--json"))
    monkeypatch.setenv("SLURWRIGHT_HOME", str(tmp_path / "elsewhere"))
    assert (
        "new: 1 players, 1 horns, 9 tones, 0 takes, 0 recordings, 0 tries by ear, 0 trials, 0 sheets; changed: 0"
        in done(run("book", "import", book))
    )
    assert (
        "new: 0 players, 0 horns, 0 tones, 0 takes, 0 recordings, 0 tries by ear, 0 trials, 0 sheets; changed: 0"
        in done(run("book", "import", book))
    )
    assert done(run("tone", "list", measured, "--json")) == listed
    book.write_text("{")
    assert "not JSON" in refused(run("book", "import", book))


def test_a_lost_book_is_not_begun_anew_in_silence(run: Run, measured: str, home: Path) -> None:
    kept = done(run("book", "backup"))
    assert kept.removeprefix("backup: ").strip() in done(run("book", "where"))
    for file in home.glob("slurwright.sqlite3*"):
        file.unlink()
    err = refused(run("horn", "list"))
    assert "slurwright book restore" in err
    model = run("note", "F3", "--horn", "euphonium-4c")
    assert model.status == 0
    assert "euphonium-4c is taken from the catalogue" in model.err
    done(run("book", "restore", "--yes"))
    assert "learnt from 9" in run("note", "F3", "--horn", measured, "--json").out


def test_a_book_can_be_begun_anew(run: Run, measured: str, home: Path) -> None:
    done(run("book", "backup"))
    for file in home.glob("slurwright.sqlite3*"):
        file.unlink()
    done(run("book", "restore", "--empty"))
    assert json.loads(done(run("horn", "list", "--json")))["horns"] == []


def test_a_damaged_book_is_set_aside(run: Run, measured: str, home: Path) -> None:
    done(run("book", "backup"))
    store = home / "slurwright.sqlite3"
    store.write_bytes(b"SQLite format 3\0" + b"\xa5" * 5000)
    assert "set aside" in refused(run("horn", "list"))
    done(run("book", "restore", "--yes"))
    with sqlite3.connect(store) as connection:
        assert connection.execute("SELECT count(*) FROM readings").fetchone() == (9,)


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("--celsius", "20"), "in tune at 20 °C"),
        (("--celsius", "8"), "36 cents flat at 8 °C"),
        (("--celsius", "35", "--tuned-at", "25"), "29 cents sharp at 35 °C"),
        (("--celsius", "15", "--horn", "euphonium-4c"), "main slide 13 mm in"),
        (("--celsius", "8", "--horn", "euphonium-4c"), "Left over: 20 cents flat"),
        (("--celsius", "15", "--horn", "euphonium-4c"), "Never force a slide"),
    ],
)
def test_other_air(run: Run, words: tuple[str, ...], said: str) -> None:
    assert said in done(run("air", *words))


def test_air_as_json(run: Run) -> None:
    answer = json.loads(done(run("air", "--celsius", "8", "--horn", "trumpet-b", "--json")))
    assert answer["drift_cents"] == pytest.approx(-36.18, abs=0.05)
    assert answer["main_slide_mm"] < 0


def test_nobody_plays_in_boiling_air(run: Run) -> None:
    assert run("air", "--celsius", "100").status == 2
    assert run("air", "--celsius", "nan").status == 2


def test_slides_are_set_for_what_was_measured(run: Run, measured: str, demo_file: Path) -> None:
    answer = json.loads(done(run("pulls", measured, "--for", demo_file, "--json")))
    assert answer["measured_tones"] == 9
    assert answer["after"]["rms_cents"] < answer["before"]["rms_cents"]
    for slide in answer["slides"]:
        assert -slide["in_mm"] <= slide["drawn_mm"] <= slide["out_mm"]
        assert slide["drawn_mm"] / slide["step_mm"] == pytest.approx(round(slide["drawn_mm"] / slide["step_mm"]))
    out = done(run("pulls", measured, "--hold", "main"))
    assert "stays where it is" in out
    assert "Never force a slide; leave valve and solder work to a repairer." in out
    assert "no such slide" in refused(run("pulls", measured, "--hold", "sub"))


def test_aims_differ_in_what_they_care_for(run: Run) -> None:
    def figures(*words: str) -> dict[str, float]:
        answer: dict[str, float] = json.loads(done(run("pulls", "trumpet-b", *words, "--json")))["after"]
        return answer

    squares, worst, within = figures(), figures("--aim", "worst"), figures("--aim", "within", "--within", "6")
    assert worst["worst_cents"] < squares["worst_cents"]
    assert squares["rms_cents"] < worst["rms_cents"]
    assert within["within"] > figures("--within", "6")["within"]


def test_kicks_are_told_where_the_slides_cannot(run: Run) -> None:
    notes = json.loads(done(run("pulls", "trumpet-b", "--hold", "main", "--json")))["notes"]
    low = next(note for note in notes if note["written"] == "C#4")
    assert low["after_cents"] > 10
    assert low["kicks"][0]["drawn_mm"] > 0
    assert abs(low["kicks"][0]["left_cents"]) < low["after_cents"]


def test_a_hand_slide_is_told_in_centimetres(run: Run, demo_file: Path) -> None:
    notes = json.loads(done(run("pulls", "trombone-f", "--json")))["notes"]
    seventh = next(note for note in notes if note["sounding"] == "G4" and note["partial"] == 7)
    assert seventh["hand_slide"]["drawn_cm"] == pytest.approx(-2.7, abs=0.3)
    assert "cm in" in done(run("pulls", "trombone-f", "--for", demo_file))


def test_a_chart_is_drawn_for_the_case(run: Run, measured: str, tmp_path: Path) -> None:
    case = tmp_path / "case.svg"
    ran = run("horn", "chart", measured, case, "--paper", "a5", "--ways", "usual", "--reading", "treble-b9")
    assert f"written: {case}" in ran.err
    drawn = case.read_text("utf-8")
    assert 'width="148mm" height="210mm"' in drawn
    assert "treble clef in B flat" in drawn
    assert "learnt from 9 tones, the last of 2026-01-09" in drawn
    assert "G4 0: " in drawn
    done(run("horn", "chart", measured, tmp_path / "all.svg"))
    assert (tmp_path / "all-1.svg").exists()
    assert (tmp_path / "all-2.svg").exists()


def test_a_chart_is_printed(run: Run, measured: str, tmp_path: Path) -> None:
    done(run("horn", "chart", measured, tmp_path / "all.pdf", "--paper", "letter"))
    assert (tmp_path / "all.pdf").read_bytes().startswith(b"%PDF")


def test_a_chart_needs_a_name_that_says_what_it_is(run: Run, measured: str, tmp_path: Path) -> None:
    assert ".svg or .pdf" in refused(run("horn", "chart", measured, tmp_path / "chart.png"))


@pytest.mark.parametrize(
    ("schema", "words"),
    [
        ("own-horns", ("horn", "list")),
        ("horn-chart", ("horn", "show", "old silver")),
        ("horn-next", ("horn", "next", "old silver")),
        ("tones", ("tone", "list", "old silver")),
        ("pulls", ("pulls", "old silver")),
        ("pulls", ("pulls", "trombone-f")),
        ("air", ("air", "--celsius", "9")),
        ("air", ("air", "--celsius", "9", "--horn", "old silver")),
        ("note", ("note", "F3", "--horn", "old silver")),
    ],
)
def test_answers_keep_to_their_schemas(run: Run, measured: str, schema: str, words: tuple[str, ...]) -> None:
    valid(done(run(*words, "--json")), schema)
