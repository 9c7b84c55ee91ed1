"""Runs commands in this process, as a player would type them."""

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import pytest

from slurwright.cli import main
from slurwright.devices.packaged import demo_part


@dataclass(frozen=True)
class Ran:
    status: int
    out: str
    err: str


Run = Callable[..., Ran]


@pytest.fixture
def run(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Run:
    def run_words(*words: str | Path) -> Ran:
        monkeypatch.setattr("sys.argv", ["slurwright", *map(str, words)])
        with pytest.raises(SystemExit) as ended:
            main()
        printed = capsys.readouterr()
        code = ended.value.code
        return Ran(code if isinstance(code, int) else 0 if code is None else 1, printed.out, printed.err)

    return run_words


@pytest.fixture
def demo_file(tmp_path: Path) -> Path:
    name, data = demo_part()
    path = tmp_path / name
    path.write_bytes(data)
    return path
