"""`slurwright book` with takes: written out with and without recordings, read in elsewhere, looked through."""

import json
import subprocess
import sys
from pathlib import Path

import pytest

from builders.kept_takes import SOUND, fill_with_takes
from builders.stores import NOW, counted_ids, fill
from slurwright.store import open_store

from .conftest import Ran, Run


def done(ran: Ran) -> str:
    assert ran.status == 0, ran.err
    return ran.out


@pytest.fixture
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A band's home with five takes, four of them with their recordings."""
    folder = tmp_path / "home"
    monkeypatch.setenv("SLURWRIGHT_HOME", str(folder))
    with open_store(folder / "slurwright.sqlite3", now=NOW, new_id=counted_ids()) as store:
        fill(store)
        fill_with_takes(store)
    return folder


def test_takes_go_out_and_come_in_with_their_recordings(
    run: Run, home: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    out = tmp_path / "band.json"
    ran = run("book", "export", out, "--sound")
    assert f"written: {tmp_path / 'band-takes'}, 4 recordings" in ran.err
    files = sorted((tmp_path / "band-takes").iterdir())
    assert [file.read_bytes() for file in files] == [SOUND] * 4
    assert {file.stem for file in files} <= {
        take["id"] for player in json.loads(out.read_text("utf-8"))["players"] for take in player["takes"]
    }
    monkeypatch.setenv("SLURWRIGHT_HOME", str(tmp_path / "elsewhere"))
    assert (
        "new: 2 players, 3 horns, 8 tones, 5 takes, 4 recordings, 0 tries by ear, 0 trials, 0 sheets; changed: 0"
        in done(run("book", "import", out))
    )
    assert "0 takes, 0 recordings, 0 tries by ear, 0 trials, 0 sheets; changed: 0" in done(run("book", "import", out))
    assert done(run("book", "check")) == "sound\n"
    again = tmp_path / "again.json"
    done(run("book", "export", again))
    assert again.read_bytes() == out.read_bytes()


def test_without_recordings_what_is_not_here_is_said(
    run: Run, home: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    out = tmp_path / "band.json"
    assert run("book", "export", out).err == f"written: {out}\n"
    assert not (tmp_path / "band-takes").exists()
    monkeypatch.setenv("SLURWRIGHT_HOME", str(tmp_path / "elsewhere"))
    assert "5 takes, 0 recordings" in done(run("book", "import", out))
    found = done(run("book", "check")).splitlines()
    assert len(found) == 4
    assert all(line.endswith("is not on this machine") for line in found)


def test_what_is_astray_is_said_and_left(run: Run, home: Path) -> None:
    assert done(run("book", "check")) == "sound\n"
    stray = home / "takes" / "concert.wav"
    stray.write_bytes(b"?")
    assert done(run("book", "check")) == f"no take knows this recording: {stray}\n"
    assert stray.exists()


def test_recordings_that_cannot_be_written_leave_no_document(run: Run, home: Path, tmp_path: Path) -> None:
    (tmp_path / "band-takes").write_text("in the way")
    ran = run("book", "export", tmp_path / "band.json", "--sound")
    assert ran.status == 2
    assert "cannot be kept" in ran.err
    assert not (tmp_path / "band.json").exists()


def test_the_past_is_read_without_what_listens() -> None:
    program = (
        "import sys\nimport slurwright.store, slurwright.listen.kept, slurwright.formats.store_json\n"
        "heavy = ('numpy', 'scipy', 'soundfile', 'lxml', 'verovio')\n"
        "sys.exit(', '.join(name for name in heavy if name in sys.modules) or 0)"
    )
    ended = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, check=False)
    assert ended.returncode == 0, ended.stderr
