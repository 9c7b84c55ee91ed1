"""A take from the recording to what is kept of it, as it is typed; every test has a home of its own."""

import csv
import json
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from slurwright.cli import main
from slurwright.devices.packaged import demo_part, load_horn
from slurwright.formats.sound.wav import wav_bytes
from slurwright.wiring.demo import make_demo_take

from .conftest import Ran, Run
from .test_answers import valid
from .test_own_horn import done, home, refused

__all__ = ["home"]

HORN = "euphonium-4c"


@pytest.fixture(scope="session")
def recording(tmp_path_factory: pytest.TempPathFactory) -> Path:
    name, data = demo_part()
    out = tmp_path_factory.mktemp("takes") / "monday.wav"
    make_demo_take(data, name, load_horn(HORN), out)
    return out


@pytest.fixture
def answer(run: Run, recording: Path, demo_file: Path) -> dict[str, Any]:
    ran = run("take", "measure", recording, demo_file, "--horn", HORN, "--json")
    return valid(done(ran), "take")


def test_what_goes_wrong_in_the_demo_take_is_found(answer: dict[str, Any]) -> None:
    summary = answer["summary"]
    assert (summary["wrong"], summary["missed"], summary["restarts"]) == (1, 1, 1)
    assert answer["played"][0]["asked"] == 37, "the player began at bar 9"
    outcome = {(slur["measure"], slur["beat"]): slur for slur in answer["slurs"]}
    assert outcome["19", 2.5]["outcome"] == "broke"
    assert outcome["21", 3.0]["outcome"] == "broke"
    assert outcome["21", 3.0]["foreign"]["partial"] == 4
    assert outcome["12", 1.0]["outcome"] == "tongued"
    clean = [slur for slur in answer["slurs"] if slur["outcome"] == "clean"]
    assert len(clean) >= len(answer["slurs"]) - 4, "three were made to go wrong"


def test_notes_are_where_the_made_up_player_put_them(answer: dict[str, Any]) -> None:
    (sharp,) = [note for note in answer["notes"] if (note["measure"], note["beat"]) == ("14", 1.0)]
    assert abs(sharp["cents"]["value"] - 27.0) < 10.0, "27 cents, and the player's own scatter of 3"
    middle = answer["summary"]["tuning_cents"]["value"]
    assert 2.0 < middle < 12.0


def test_the_report_names_the_worst_first(run: Run, recording: Path, demo_file: Path) -> None:
    out = done(run("take", "measure", recording, demo_file, "--horn", HORN))
    assert "broke" in out
    assert "bar 14" in out
    assert "Rest at least as long as you play" in out


def test_files_of_a_take_are_written(run: Run, recording: Path, demo_file: Path, tmp_path: Path) -> None:
    page, notes, slurs = tmp_path / "take.svg", tmp_path / "notes.csv", tmp_path / "slurs.csv"
    bars = ("--bars", "9-12")
    done(
        run(
            "take", "measure", recording, demo_file, "--horn", HORN, *bars, "--page", page, "--notes", notes,
            "--slurs", slurs,
        )
    )  # fmt: skip
    assert next(csv.DictReader(notes.read_text().splitlines()))["bar"] == "9"
    assert list(csv.DictReader(slurs.read_text().splitlines()))
    pages = sorted(tmp_path.glob("take*.svg"))
    assert pages
    assert "<svg" in pages[0].read_text()[:500]


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("--bars", "40"), "no such bars"),
        (("--a4", "44"), "nobody tunes so"),
        (("--tried", "12:1=hope"), "not a place and a technique"),
        (("--tried", "12:3=legato-tongue"), "no slur that was asked for leads from there"),
        (("--page", "take.docx"), "allowed: a name ending .pdf or .svg"),
        (("--notes", "notes.xls"), "allowed: a name ending .csv"),
        (("--page", "no/such/folder/take.pdf"), "there is no such folder to write into"),
        (("--keep", "sound"), "horns of your own"),
        (("--add-tones",), "horns of your own"),
    ],
)
def test_words_that_mean_nothing_are_refused(
    run: Run, recording: Path, demo_file: Path, words: tuple[str, ...], said: str
) -> None:
    assert said in refused(run("take", "measure", recording, demo_file, "--horn", HORN, *words))


@pytest.mark.parametrize("kind", ["silent", "noise", "empty", "text", "missing"])
def test_recordings_that_say_nothing_are_refused(run: Run, demo_file: Path, tmp_path: Path, kind: str) -> None:
    path = tmp_path / "take.wav"
    rng = np.random.default_rng(3)
    if kind == "silent":
        path.write_bytes(wav_bytes(np.zeros(44100, np.float32), 22050))
    elif kind == "noise":
        path.write_bytes(wav_bytes((0.1 * rng.standard_normal(8 * 22050)).astype(np.float32), 22050))
    elif kind == "empty":
        path.write_bytes(b"")
    elif kind == "text":
        path.write_text("Dear conductor, I was ill.")
    page = tmp_path / "take.pdf"
    err = refused(run("take", "measure", path, demo_file, "--horn", HORN, "--page", page))
    assert "take.wav" in err
    assert not page.exists()


def test_another_piece_is_not_taken_for_the_part(run: Run, recording: Path) -> None:
    other = "K:Eb clef=bass\nG,4 E,4 | B,,4 C,4 | D,4 A,,4 | B,,8 |"
    err = refused(run("take", "measure", recording, "--typed", other, "--horn", HORN))
    assert "nothing of the passage is heard" in err


@pytest.fixture
def own(run: Run) -> str:
    done(run("horn", "add", "old silver", "--model", HORN))
    return "old silver"


def _measured(run: Run, recording: Path, part: Path, *words: str) -> Ran:
    ran = run("take", "measure", recording, part, "--horn", "old silver", "--bars", "9-25", *words)
    done(ran)
    return ran


def test_a_take_on_an_own_horn_is_kept(run: Run, own: str, recording: Path, demo_file: Path, home: Path) -> None:
    ran = _measured(run, recording, demo_file, "--on", "2026-03-01", "--remark", "tired")
    assert "kept: take" in ran.err
    (kept,) = valid(done(run("take", "list", "--json")), "takes")["takes"]
    assert (kept["horn"], kept["bars"], kept["state"]) == (own, "9-25", "measured")
    assert kept["remark"] == "tired"
    assert not kept["sound_kept"]
    assert not list(home.rglob("*.wav")), "the recording goes when the figures are kept"
    valid(done(run("take", "show", kept["id"][:8], "--json")), "take")
    assert "broke" in done(run("take", "show", kept["id"][:8]))


def test_nothing_is_kept_where_the_player_says_so(run: Run, own: str, recording: Path, demo_file: Path) -> None:
    assert "kept" not in _measured(run, recording, demo_file, "--keep", "nothing").err
    assert "No take is kept" in done(run("take", "list"))


def test_steady_notes_teach_the_horn(run: Run, own: str, recording: Path, demo_file: Path) -> None:
    ran = _measured(run, recording, demo_file, "--add-tones", "--celsius", "20")
    assert "tones added" in ran.err
    tones = json.loads(done(run("tone", "list", own, "--json")))["tones"]
    assert len(tones) > 15
    assert all(" take " in tone["sitting"] for tone in tones)
    (take,) = json.loads(done(run("take", "list", "--json")))["takes"]
    done(run("take", "remove", take["id"][:8], "--yes"))
    after = json.loads(done(run("tone", "list", own, "--json")))["tones"]
    assert all(tone["withdrawn"] for tone in after), "what a take gave goes with it"
    assert "No take is kept" in done(run("take", "list"))
    assert take["id"][:8] in done(run("take", "list", "--removed"))
    done(run("take", "restore", take["id"][:8]))
    again = json.loads(done(run("tone", "list", own, "--json")))["tones"]
    assert not any(tone["withdrawn"] for tone in again)


def test_a_kept_recording_can_be_measured_again(
    run: Run, own: str, recording: Path, demo_file: Path, home: Path
) -> None:
    _measured(run, recording, demo_file, "--keep", "sound")
    (take,) = json.loads(done(run("take", "list", "--json")))["takes"]
    (sound,) = home.rglob("*.wav")
    assert sound.read_bytes() == recording.read_bytes()
    short = take["id"][:8]
    assert "broke" in done(run("take", "again", short, demo_file, "--tried", "12:1=legato-tongue"))
    shown = json.loads(done(run("take", "show", short, "--json")))
    assert [asked["technique"] for asked in shown["asked"]].count("legato-tongue") == 1
    done(run("take", "again", short, demo_file))
    again = json.loads(done(run("take", "show", short, "--json")))
    assert [asked["technique"] for asked in again["asked"]].count("legato-tongue") == 1, "it was said before"
    done(run("take", "drop-sound", short, "--yes"))
    assert not list(home.rglob("*.wav"))
    assert "is not kept" in refused(run("take", "again", short, demo_file))


def test_a_take_is_not_measured_against_another_part(
    run: Run, own: str, recording: Path, demo_file: Path, tmp_path: Path
) -> None:
    _measured(run, recording, demo_file, "--keep", "sound")
    (take,) = json.loads(done(run("take", "list", "--json")))["takes"]
    other = tmp_path / "other.abc"
    other.write_text("X:1\nT:Other\nM:4/4\nL:1/4\nK:Bb clef=bass\nF, B, D F |\n")
    assert "not the part" in refused(run("take", "again", take["id"][:8], other))


def test_a_take_that_cannot_be_measured_leaves_no_trace_unless_its_sound_is_kept(
    run: Run, own: str, demo_file: Path, tmp_path: Path, home: Path
) -> None:
    noise = tmp_path / "noise.wav"
    sound = 0.1 * np.random.default_rng(4).standard_normal(6 * 22050)
    noise.write_bytes(wav_bytes(sound.astype(np.float32), 22050))
    refused(run("take", "measure", noise, demo_file, "--horn", own))
    assert json.loads(done(run("take", "list", "--json")))["takes"] == []
    assert not list(home.rglob("*.wav"))
    refused(run("take", "measure", noise, demo_file, "--horn", own, "--keep", "sound"))
    (take,) = json.loads(done(run("take", "list", "--json")))["takes"]
    assert take["state"] == "failed"
    assert "nothing of the passage" in take["failure"]
    assert list(home.rglob("*.wav"))


def test_a_player_who_breaks_off_leaves_nothing_behind(
    run: Run, own: str, recording: Path, demo_file: Path, home: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def break_off(*_words: object, **_more: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr("slurwright.wiring.kept_take.measure_file", break_off)
    monkeypatch.setattr(
        "sys.argv",
        ["slurwright", "take", "measure", str(recording), str(demo_file), "--horn", own, "--keep", "sound"],
    )
    with pytest.raises(SystemExit) as ended:
        main()
    assert ended.value.code
    assert json.loads(done(run("take", "list", "--json")))["takes"] == []
    assert not list(home.rglob("*.wav"))


def test_a_machine_without_a_microphone_says_so(run: Run, tmp_path: Path) -> None:
    out = tmp_path / "take.wav"
    ran = run("take", "record", out, "--seconds", "1", "--input", "no such microphone")
    refused(ran)
    assert not out.exists()
    assert "allowed: a name ending .wav" in refused(run("take", "record", tmp_path / "take.mp3"))
