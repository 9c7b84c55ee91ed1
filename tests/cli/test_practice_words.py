"""Words of practice that mean nothing: refused with what came and what was allowed; nothing is changed by them."""

import json
import os
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import pytest
from click.testing import CliRunner, Result

from builders.practice_words import COMMANDS, Place, spoiled_line
from slurwright.cli.group import slurwright
from slurwright.devices.packaged import demo_part
from slurwright.errors import SlurwrightError
from slurwright.formats.sound.wav import wav_bytes
from slurwright.wiring.horns import opened_store

HORN = "old silver"


@dataclass(frozen=True)
class Room:
    """A folder in which commands are typed, with a trial and a sheet of a horn."""

    folder: Path
    trial: str
    sheet: str

    def type(self, *words: str) -> Result:
        return CliRunner().invoke(slurwright, words)

    def kept(self) -> str:
        with opened_store() as store:
            return repr(store.export_all())

    def files(self) -> set[str]:
        return {str(path.relative_to(self.folder)) for path in self.folder.rglob("*") if "home" not in path.parts}


def _typed(*words: str) -> str:
    result = CliRunner().invoke(slurwright, words)
    assert result.exit_code == 0, result.output
    return str(result.stdout)


@pytest.fixture(scope="module")
def room(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Room]:
    folder = tmp_path_factory.mktemp("room")
    (folder / "part.musicxml").write_bytes(demo_part()[1])
    (folder / "silent.wav").write_bytes(wav_bytes(np.zeros(44100, dtype=np.float32), 44100))
    (folder / "text.txt").write_text("this is no part", encoding="utf-8")
    (folder / "empty.abc").touch()
    (folder / "folder").mkdir()
    (folder / "pages.pdf").mkdir()
    with pytest.MonkeyPatch.context() as patch:
        patch.chdir(folder)
        patch.setenv("SLURWRIGHT_HOME", str(folder / "home"))
        _typed("horn", "add", HORN, "--model", "euphonium-4c")
        trial = json.loads(_typed("trial", "new", "part.musicxml", "0:3", "--horn", HORN, "--seed", "1", "--json"))
        plan = ("today", "plan", "part.musicxml", "--horn", HORN, "--minutes", "20", "--json")
        yield Room(folder, trial["id"], json.loads(_typed(*plan))["sheet"])


def _refused(result: Result) -> str:
    """The words of a refusal, which has no other ending."""
    if isinstance(result.exception, SlurwrightError):
        assert result.stdout == ""
        return "\n".join(str(fault) for fault in result.exception.faults)
    assert isinstance(result.exception, SystemExit), result.exception
    assert result.exit_code == 2
    assert result.stdout == ""
    return str(result.stderr)


NEW = ("trial", "new", "part.musicxml", "0:3", "--horn", HORN)
PLAN = ("today", "plan", "part.musicxml", "--horn", HORN, "--minutes")
LOG = ("tried", "log", "part.musicxml")
EXERCISES = ("exercises", "part.musicxml", "--horn", HORN)


@pytest.mark.parametrize(
    ("words", "said"),
    [
        ((*PLAN, "nan"), "not a time to practise; got nan min; allowed: 1 to 240"),
        ((*PLAN, "-5"), "got -5 min"),
        ((*PLAN, "1e9"), "got 1e+09 min"),
        ((*PLAN, "20", "--tempo", "nan"), "nan is not in the range 10<=x<=400"),
        ((*PLAN, "20", "--concert", "2026-02-30"), "'2026-02-30' is no day of the calendar"),
        ((*PLAN, "20", "--concert", ""), "'' is no day of the calendar"),
        ((*PLAN, "20", "--pages", "pages.pdf"), "pages.pdf: this is a folder, not a file"),
        ((*PLAN, "20", "--pages", f"{'x' * 300}.pdf"), "File name too long"),
        ((*PLAN, "20", "--pages", "part.musicxml/today.pdf"), "no such folder to write into"),
        (("today", "plan", "folder", "--horn", HORN, "--minutes", "20"), "this is a folder"),
        (("today", "plan", "silent.wav", "--horn", HORN, "--minutes", "20"), "no notation that can be read"),
        (("today", "plan", "empty.abc", "--horn", HORN, "--minutes", "20"), "empty"),
        (("today", "done", "3", "good=0"), "got 'good=0'"),
        (("today", "done", "3", "good=1e9"), "got 'good=1e9'; allowed: good, rough, missed"),
        (("today", "done", "3", "good=999999"), "allowed: up to 500"),
        (("today", "done", "3", "🎺"), "got '🎺'"),
        (("today", "done", "3", ""), "got ''"),
        (("today", "done", "99999999999999999999"), "no such item"),
        (("today", "done", "-1"), "-1"),
        (("today", "left", "--sheet", "\udcff"), "this is no text"),
        (("today", "left", "--sheet", ""), "sheet"),
        ((*LOG, "999:1", "good", "--horn", HORN), "no note stands there; got bar 999, beat 1"),
        ((*LOG, "", "good", "--horn", HORN), "not a place in a part; got ''"),
        ((*LOG, "0:3", "good", "--horn", HORN, "--on", "2199-01-01"), "this day is still to come"),
        ((*LOG, "0:3", "good", "--horn", HORN, "--on", "0026-11-28"), "more than a century ago"),
        (("tried", "withdraw", "0", "1e9", "5-2"), "got 1e9"),
        ((*NEW, "--worth", "nan"), "nan is not in the range 0.5<=x<=50"),
        ((*NEW, "--worth-cents", "inf"), "inf"),
        ((*NEW, "--choose", ""), "no such choice at this slur; got ''"),
        ((*NEW, "--seed", "-1"), "-1"),
        (("trial", "take", "TRIAL", "silent.wav", "--celsius", "nan"), "nan is not in the range -20<=x<=50"),
        (("trial", "take", "TRIAL", "silent.wav", "--a4", "nan"), "got A4 at nan Hz"),
        (("trial", "take", "TRIAL", "silent.wav", "--on", "2199-01-01"), "this day is still to come"),
        (("trial", "take", "TRIAL", "silent.wav"), "silent from start to end"),
        (("trial", "take", "TRIAL", "part.musicxml"), "no sound file"),
        (("trial", "take", "TRIAL", "folder"), "Is a directory"),
        (("trial", "take", "TRIAL", "--kept", "zz"), "zz"),
        (("trial", "log", "TRIAL", "good", "--on", "0026-11-28"), "more than a century ago"),
        (("trial", "page", "TRIAL", "pages.pdf"), "this is a folder"),
        ((*EXERCISES, "--at", "999:1"), "got bar 999, beat 1"),
        ((*EXERCISES, "--sound", "x.wav", "--a4", "nan"), "got A4 at nan Hz"),
        ((*EXERCISES, "--midi", "folder"), "folder"),
        (("exercises", "--daily", "--horn", HORN, "--minutes", "nan"), "nan is not in the range 1<=x<=120"),
        (("progress", "--slur", ""), "not a slur; got ''"),
        (("progress", "--since", "2199-01-01"), "still to come"),
        (("progress", "folder"), "this is a folder"),
    ],
)
def test_a_word_that_means_nothing_is_said_and_changes_nothing(room: Room, words: tuple[str, ...], said: str) -> None:
    before, files = room.kept(), room.files()
    assert said in _refused(room.type(*(room.trial if word == "TRIAL" else word for word in words)))
    assert (room.kept(), room.files()) == (before, files)


def test_a_folder_that_may_not_be_written(room: Room, monkeypatch: pytest.MonkeyPatch) -> None:
    before = room.kept()
    monkeypatch.setattr(os, "access", lambda path, mode: mode != os.W_OK)
    assert "this folder may not be written into" in _refused(room.type(*PLAN, "20", "--pages", "today.pdf"))
    assert room.kept() == before


@pytest.mark.parametrize("seed", range(1000, 1004))
def test_no_line_of_random_words_ends_without_a_word(room: Room, seed: int) -> None:
    """`python -m benchmarks.practice_words` types many thousand."""
    place = Place(
        parts=("part.musicxml", "gone.xml", "folder", "silent.wav", "text.txt", "empty.abc"),
        sounds=("silent.wav", "text.txt", "gone.wav", "folder"),
        outs=("pages.pdf", "nowhere/out.pdf", "out.png", "", "part.musicxml/out.svg", f"{'x' * 300}.pdf"),
        trials=(room.trial, "zz"),
        sheets=(room.sheet, "zz"),
    )
    rng = np.random.default_rng(seed)
    before, files = room.kept(), room.files()
    for _ in range(100):
        line = spoiled_line(place, rng, spoiled=0.3)
        result = room.type(*line)
        ended = result.exception
        assert ended is None or isinstance(ended, SystemExit | SlurwrightError), (line, ended)
        after = room.kept()
        if result.exit_code and "--keep-sound" not in line:
            assert after == before, line
            assert room.files() == files, line
        before = after


def test_every_command_of_practice_is_among_the_random_ones() -> None:
    for name in ("tried", "trial", "today"):
        group = slurwright.commands[name]
        assert {(name, word) for word in group.commands} <= set(COMMANDS)  # type: ignore[attr-defined]
