"""Types random command lines of practice, most of them with words that mean nothing, and looks for what must not be.

Run: ``python -m benchmarks.practice_words [SEED] [LINES]``. A line must end with an answer, or with status 2 and
words; one that is refused must change nothing that is kept and write nothing. The store is filled anew now and then.
What is found is printed with the line; the status is 1 if anything was.
"""

import json
import os
import shutil
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Callable
from pathlib import Path

import numpy as np
from click.testing import CliRunner, Result

sys.path.insert(0, str(Path(__file__).parents[1] / "tests"))

from builders.practice_words import Place, spoiled_line
from slurwright.cli.group import slurwright
from slurwright.devices.packaged import demo_part
from slurwright.errors import SlurwrightError
from slurwright.formats.sound.wav import wav_bytes
from slurwright.wiring.horns import opened_store

__all__ = ["main"]

SPOILED = (0.05, 0.15, 0.4)
"""Shares of words that mean nothing, one of them for each line [1]."""
_ANEW = 250
"""Lines after which the store is filled anew."""
_OUTS = (
    *(
        "out.pdf",
        "out.svg",
        "out.musicxml",
        "out.mid",
        "out.wav",
        "out.csv",
        "pages.pdf",
        "nowhere/out.pdf",
        "out.png",
    ),
    *("out", "", "part.musicxml/out.pdf", f"{'x' * 300}.pdf", "../../../../../../nowhere/out.svg"),
)


def typed(*words: str) -> Result:
    """Type a command line."""
    return CliRunner().invoke(slurwright, words)


def filled(folder: Path) -> Place:
    """Make a folder with all that a line may name, a horn, a trial and a sheet."""
    shutil.rmtree(folder / "home", ignore_errors=True)
    (folder / "part.musicxml").write_bytes(demo_part()[1])
    (folder / "silent.wav").write_bytes(wav_bytes(np.zeros(44100, dtype=np.float32), 44100))
    (folder / "text.txt").write_text("this is no part", encoding="utf-8")
    (folder / "empty.abc").touch()
    for name in ("folder", "pages.pdf"):
        (folder / name).mkdir(exist_ok=True)
    typed("horn", "add", "old silver", "--model", "euphonium-4c")
    words = ("part.musicxml", "--horn", "old silver", "--json")
    trial = json.loads(typed("trial", "new", words[0], "0:3", *words[1:]).stdout)["id"]
    sheet = json.loads(typed("today", "plan", *words, "--minutes", "20").stdout)["sheet"]
    parts = ("part.musicxml", "gone.xml", "folder", "silent.wav", "text.txt", "empty.abc")
    return Place(
        parts, ("silent.wav", "text.txt", "gone.wav", "folder"), _OUTS, (trial, trial[:6]), (sheet, sheet[:6])
    )


def kept() -> str:
    """All that is kept, as text."""
    with opened_store() as store:
        return repr(store.export_all())


def fault(line: tuple[str, ...], result: Result, *, changed: bool, written: bool) -> str:
    """Say what must not be about how a line ended; empty if nothing."""
    ended = result.exception
    if ended is not None and not isinstance(ended, SystemExit | SlurwrightError):
        return f"{type(ended).__name__}: {ended}"
    refused = isinstance(ended, SlurwrightError)
    if result.exit_code == 1 and not refused:
        return "" if "Aborted!" in result.output else "ended with status 1"
    if not refused and result.exit_code == 0:
        return ""
    if not str(ended).strip() or (not refused and not result.stderr.strip()):
        return "refused without a word"
    if changed and "--keep-sound" not in line:  # a recording that is wanted stays, with the reason
        return "refused, and what is kept has changed"
    return "refused, and files have changed" if written else ""


def _looked_through(folder: Path, lines: int, seed: int, *, say: Callable[[str], object]) -> Counter[str]:
    rng = np.random.default_rng(seed)
    place, before, tally = filled(folder), kept(), Counter[str]()
    for number in range(lines):
        if number % _ANEW == _ANEW - 1:
            place, before = filled(folder), kept()
        line = spoiled_line(place, rng, spoiled=float(rng.choice(SPOILED)))
        files = sorted(folder.iterdir())
        result = typed(*line)
        after = kept()
        found = fault(line, result, changed=after != before, written=sorted(folder.iterdir()) != files)
        before = after
        answered = result.exception is None or result.exit_code == 0
        tally["found" if found else "answered" if answered else "refused"] += 1
        if found:
            say(ascii(f"{found}: {line}"))
    return tally


def main(seed: int, lines: int) -> int:
    """Type so many lines."""
    start = time.perf_counter()
    here = Path.cwd()
    with tempfile.TemporaryDirectory(prefix="slurwright-words-") as name:
        os.environ["SLURWRIGHT_HOME"] = str(Path(name) / "home")
        os.chdir(name)
        try:
            tally = _looked_through(Path(name), lines, seed, say=print)
        finally:
            os.chdir(here)
    print(f"seed {seed}, {lines} lines in {time.perf_counter() - start:.0f} s: {dict(tally)}")
    return int(tally["found"] > 0)


if __name__ == "__main__":
    numbers = [int(word) for word in sys.argv[1:]]
    sys.exit(main(*(numbers + [1000, 2000][len(numbers) :])))
