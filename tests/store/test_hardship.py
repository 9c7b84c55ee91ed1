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


def endured(hardship: str, folder: Path, *, seed: int, count: int) -> dict[str, Any]:
    program = Path(__file__).with_name("hardship.py")
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
    words = ["mount", "-t", "tmpfs", "-o", "size=400k", "none", str(disk)]
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
