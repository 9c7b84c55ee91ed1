"""No committed reading is lost to a killed process, a second writer or a full disk; long runs: see `hardship`."""

import json
import os
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

pytestmark = pytest.mark.skipif(not hasattr(os, "fork"), reason="the system cannot fork")


def endured(
    hardship: str, folder: Path, *, seed: int, count: int, program_name: str = "hardship.py"
) -> dict[str, Any]:
    program = Path(__file__).with_name(program_name)
    words = [sys.executable, "-W", "error", str(program), hardship, str(folder), str(seed), str(count)]
    ended = subprocess.run(words, capture_output=True, text=True, timeout=300, check=False)
    assert ended.returncode == 0, ended.stderr
    answer: dict[str, Any] = json.loads(ended.stdout)
    return answer


def test_killed_writers_lose_nothing_that_was_acknowledged(tmp_path: Path) -> None:
    answer = endured("killed-writes", tmp_path, seed=3, count=100)
    assert answer["writes"] >= 100
    assert answer["kills"] >= 5
    assert answer["lost"] == 0


def test_killed_upgrades_happen_wholly_or_not_at_all(tmp_path: Path) -> None:
    answer = endured("killed-migrations", tmp_path, seed=3, count=8)
    assert answer["not_yet"] + answer["wholly"] == 8
    assert answer["lost"] == 0


def test_two_writers_at_once_lose_nothing(tmp_path: Path) -> None:
    assert endured("together", tmp_path, seed=3, count=40) == {"writers": 2, "writes": 80, "lost": 0}


def test_the_end_of_a_file_is_said_and_the_old_data_stands(tmp_path: Path) -> None:
    answer = endured("full-disk", tmp_path, seed=3, count=50)
    assert answer["kept"] >= 50
    assert "nothing was changed" in answer["message"]


@pytest.fixture
def small_disk(tmp_path: Path) -> Iterator[Path]:
    disk = tmp_path / "disk"
    disk.mkdir()
    words = ["mount", "-t", "tmpfs", "-o", "size=800k", "none", str(disk)]
    try:
        mounted = subprocess.run(words, capture_output=True, check=False).returncode == 0
    except FileNotFoundError:
        mounted = False
    if not mounted:
        pytest.skip("only the system's administrator can make a small disk")
    yield disk
    subprocess.run(["umount", str(disk)], check=True)


def test_a_full_disk_is_said_and_the_old_data_stands(small_disk: Path) -> None:
    answer = endured("full-disk", small_disk, seed=3, count=50)
    assert answer["kept"] >= 50
    assert "the disk is full; nothing was changed" in answer["message"]
    assert "today's backup could not be made" in answer["notices"][0]


def test_media_that_can_only_be_read(small_disk: Path) -> None:
    path = small_disk / "store.sqlite3"
    script = "from pathlib import Path; from datetime import *; from slurwright.store import open_store; import sys\n"
    script += "open_store(Path(sys.argv[1]), now=datetime.now(UTC)).close()"
    assert subprocess.run([sys.executable, "-c", script, str(path)], check=False).returncode == 0
    subprocess.run(["mount", "-o", "remount,ro", str(small_disk)], check=True)
    ended = subprocess.run([sys.executable, "-c", script, str(path)], capture_output=True, text=True, check=False)
    last = ended.stderr.strip().splitlines()[-1]
    assert last.startswith("slurwright.errors.StoreError")
    assert "cannot be written" in last or "only be read" in last


TAKES = "hardship_takes.py"


def test_killed_takes_lose_nothing_that_was_acknowledged(tmp_path: Path) -> None:
    answer = endured("killed", tmp_path, seed=3, count=40, program_name=TAKES)
    assert answer["takes"] >= 40
    assert answer["kills"] >= 5
    assert answer["lost"] == 0


def test_a_take_survives_every_moment_at_which_its_program_can_end(tmp_path: Path) -> None:
    found = endured("moments", tmp_path, seed=0, count=0, program_name=TAKES)
    # Takes and how far they are; files; of those strangers, cut off ones; takes without their file.
    assert found == {
        "half written": [[], 1, 0, 1, 0],
        "written": [[], 1, 0, 1, 0],
        "named": [[], 1, 1, 0, 0],
        "received": [["received"], 1, 0, 0, 0],
        "half measured": [["received"], 1, 0, 0, 0],
        "measured": [["measured"], 0, 0, 0, 0],
        "removed": [["measured"], 0, 0, 0, 0],
    }


def test_two_programs_keep_takes_at_once(tmp_path: Path) -> None:
    answer = endured("together", tmp_path, seed=3, count=8, program_name=TAKES)
    assert answer == {"writers": 2, "takes": 12, "recordings": 4, "lost": 0}


def test_a_recording_that_is_too_long_for_its_disk_is_said(tmp_path: Path) -> None:
    answer = endured("full-disk", tmp_path, seed=3, count=3, program_name=TAKES)
    assert answer["kept"] >= 3
    assert "nothing was changed" in answer["message"]


def test_a_disk_that_recordings_have_filled_loses_none(small_disk: Path) -> None:
    answer = endured("full-disk", small_disk, seed=3, count=1, program_name=TAKES)
    assert answer["kept"] >= 1
    assert "the disk is full; nothing was changed" in answer["message"]


def test_a_sheet_that_is_stopped_in_the_middle_loses_nothing_that_was_acknowledged(tmp_path: Path) -> None:
    answer = endured("killed", tmp_path, seed=3, count=60, program_name="hardship_practice.py")
    assert answer["ticks"] >= 60
    assert answer["kills"] >= 5
    assert answer["lost"] == 0
