"""What is missing on a machine is named at the end of a run; where nothing may be missing it fails the run."""

import os
import shutil
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).parents[2]
TESTS = """\
import pytest

@pytest.mark.needs("no-such-program")
def test_program(): pass

@pytest.mark.oracle
def test_library(): pytest.importorskip("no_such_library")

@pytest.mark.needs("no-such-program")
@pytest.mark.xfail(run=False)
def test_known(): pass

def test_sound(): pass
"""


def ran(folder: Path, *, no_skips: bool) -> tuple[int, str]:
    shutil.copy(ROOT / "tests" / "conftest.py", folder)
    shutil.copy(ROOT / "pyproject.toml", folder)
    (folder / "tests").mkdir(exist_ok=True)
    (folder / "tests" / "test_given.py").write_text(TESTS)
    run = subprocess.run(
        [sys.executable, "-m", "pytest", "-p", "no:cacheprovider"],
        cwd=folder,
        env={
            **os.environ,
            "SLURWRIGHT_NO_SKIPS": "1" if no_skips else "",
            "COLUMNS": "200",
            "PYTEST_DISABLE_PLUGIN_AUTOLOAD": "1",
        },
        capture_output=True,
        text=True,
        check=False,
    )
    return run.returncode, run.stdout


def test_what_is_missing_is_skipped_and_named(tmp_path: Path) -> None:
    status, said = ran(tmp_path, no_skips=False)
    assert status == 0
    assert "SKIPPED tests/test_given.py::test_program - Skipped: not on this machine: no-such-program" in said
    assert "SKIPPED tests/test_given.py::test_library" in said


def test_where_nothing_may_be_missing_it_fails(tmp_path: Path) -> None:
    status, said = ran(tmp_path, no_skips=True)
    assert status == 1
    for missing in ("test_program", "test_library"):
        assert f"tests/test_given.py::{missing} - with SLURWRIGHT_NO_SKIPS=1 nothing may be missing" in said
    assert "test_known" not in said
    assert "test_sound" not in said
