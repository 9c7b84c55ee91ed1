"""How a figure is measured: work in fresh processes, ours and the other library's by turns, medians and ranges.

A *work* is named "module:function": the function prepares (imports, files, data) and gives what is to be timed. It
runs in a process of its own, so that peak memory is its own too and one side's heap does not slow the other. Ratios
are of processor time, which other people's work on the same cores disturbs less than time on the clock.

This module runs in the parent and in every child. It imports nothing beyond the standard library: a child is charged
with what its parent held at the moment it was started.
"""

import importlib
import json
import os
import statistics
import subprocess
import sys
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path

__all__ = ["Comparison", "Run", "command", "compared", "medians", "runs_of"]


@dataclass(frozen=True, slots=True)
class Run:
    """One run of a work."""

    wall_s: float
    processor_s: float
    """Of the process and the processes that it started and waited for."""
    peak_mb: float
    """Largest resident memory of the whole process, imports and preparation counted."""


@dataclass(frozen=True, slots=True)
class Comparison:
    """One line of the table."""

    what: str
    ours: tuple[str, ...]
    """A work and its arguments, or a command line that starts with a path."""
    other: str
    """What it is compared with, in words."""
    theirs: tuple[str, ...]
    aim: str = ""
    least_ratio: float = 0.0
    """How many times faster than the other side is the aim; 0 for no aim of this kind."""
    most_s: float = 0.0
    """Aim for our processor time, what it takes when nobody else uses the core [s]; 0 for no aim of this kind."""
    rounds: int = 5
    repeats: int = 1
    """Runs of a work in one process; the first counts too."""


def compared(comparison: Comparison, folder: Path) -> tuple[list[Run], list[Run]]:
    """Run both sides by turns: (ours, theirs)."""
    ours: list[Run] = []
    theirs: list[Run] = []
    for _ in range(comparison.rounds):
        ours += runs_of(comparison.ours, folder, repeats=comparison.repeats)
        theirs += runs_of(comparison.theirs, folder, repeats=comparison.repeats)
    return ours, theirs


def runs_of(work: Sequence[str], folder: Path, *, repeats: int = 1) -> list[Run]:
    """Run a work, or a command line, in a fresh process."""
    if "/" in work[0]:
        return [command(work, folder) for _ in range(repeats)]
    line = [sys.executable, "-m", "benchmarks.common", str(repeats), *work]
    done = subprocess.run(line, capture_output=True, env=_environment(folder), check=False, text=True)
    if done.returncode:
        raise RuntimeError(f"{' '.join(work)} failed:\n{done.stderr}")
    return [Run(**run) for run in json.loads(done.stdout.splitlines()[-1])]


def command(line: Sequence[str], folder: Path) -> Run:
    """Run a command line from start to end."""
    start = time.perf_counter()
    child = subprocess.Popen(line, env=_environment(folder), stdout=subprocess.DEVNULL, stderr=subprocess.PIPE)
    assert child.stderr is not None
    said = child.stderr.read()
    _, status, used = os.wait4(child.pid, 0)
    wall_s = time.perf_counter() - start
    child.returncode = os.waitstatus_to_exitcode(status)
    child.stderr.close()
    if child.returncode:
        raise RuntimeError(f"{' '.join(line)} failed:\n{said.decode()}")
    return Run(wall_s, used.ru_utime + used.ru_stime, used.ru_maxrss / 1024)


def _environment(folder: Path) -> dict[str, str]:
    """As a user has it: compiled code is kept (here in the temporary folder), nothing is shown in colour."""
    kept = {name: value for name, value in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"}
    one_core = {"OPENBLAS_NUM_THREADS": "1"}  # both sides, as the command line has it
    return kept | one_core | {"PYTHONPYCACHEPREFIX": str(folder / "compiled"), "NO_COLOR": "1", "COLUMNS": "100"}


def medians(figures: Sequence[float], form: str = ".3g") -> str:
    """Say a median with its range."""
    middle, low, high = (format(value, form) for value in (statistics.median(figures), min(figures), max(figures)))
    return f"{middle} ({low}–{high})"


def _timed(work: Callable[[], object], repeats: int) -> list[dict[str, float]]:
    runs = []
    for _ in range(repeats):
        wall, processor = time.perf_counter(), _processor_s()
        result = work()
        runs.append({"wall_s": time.perf_counter() - wall, "processor_s": _processor_s() - processor})
        del result  # clearing away is timed on neither side: with one it happens at once, with another much later
    peak_mb = _peak_mb()
    return [run | {"peak_mb": peak_mb} for run in runs]


def _processor_s() -> float:
    used = os.times()
    return time.process_time() + used.children_user + used.children_system


def _peak_mb() -> float:
    import resource  # noqa: PLC0415  not on Windows

    own, waited_for = (resource.getrusage(who) for who in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN))
    return max(own.ru_maxrss, waited_for.ru_maxrss) / 1024


def _child(repeats: str, name: str, *arguments: str) -> None:
    module, _, function = name.partition(":")
    prepare = getattr(importlib.import_module(module), function)
    print(json.dumps(_timed(prepare(*arguments), int(repeats))))


if __name__ == "__main__":
    _child(*sys.argv[1:])
