"""Work for libraries that may hang, swell or die on odd input: done by a child process, within limits.

The child is a module of this room that hands its work to `slurwright.devices.child_task.run_task`. Whatever becomes
of it, the process that the player talks to goes on, with an answer or with an error in words.
"""

import json
import signal
import subprocess
import sys
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from slurwright.errors import SlurwrightError

__all__ = ["ChildLimits", "Errand", "child_answer"]


@dataclass(frozen=True, slots=True)
class ChildLimits:
    """What a child process may take; far above what a long part needs."""

    memory_bytes: int = 2_000_000_000
    cpu_s: int = 60
    wall_s: float = 90.0


@dataclass(frozen=True, slots=True)
class Errand:
    """What a child process is sent for, and how to speak of it where it comes back with nothing."""

    child_module: str
    """Name of the module in this room."""
    doing: str
    """What it does, in words that "took too long" can follow."""
    gave_up: str
    """What to say where it cannot."""
    error: type[SlurwrightError]
    allowed: str
    where: str = ""


def child_answer(errand: Errand, task: Mapping[str, Any], *, limits: ChildLimits) -> dict[str, Any]:
    """Ask what comes of a task that a child process does.

    Args:
        errand: which child, and the words for its failures.
        task: what it needs; plain values that JSON can say.
        limits: what it may take.

    Raises:
        SlurwrightError: the errand's own error: the child died, took too long, or said why it cannot.

    """
    message = json.dumps({**task, "memory_bytes": limits.memory_bytes, "cpu_s": limits.cpu_s})
    try:
        child = subprocess.run(  # noqa: S603 - our own module, no shell, the task goes through its input
            # -P: nothing is imported from the folder that the player happens to be in.
            [sys.executable, "-P", "-m", f"slurwright.devices.{errand.child_module}"],
            input=message.encode(),
            capture_output=True,
            timeout=limits.wall_s,
            check=False,
        )
    except subprocess.TimeoutExpired as late:
        got = f"more than {limits.wall_s:g} s"
        raise errand.error(
            f"{errand.doing} took too long", got=got, allowed=errand.allowed, where=errand.where
        ) from late
    answer: dict[str, Any] = json.loads(child.stdout) if child.returncode == 0 else {"fault": ""}
    if "fault" not in answer:
        return answer
    got = answer["fault"] or _how_it_ended(child)
    raise errand.error(errand.gave_up, got=got, allowed=errand.allowed, where=errand.where)


def _how_it_ended(child: "subprocess.CompletedProcess[bytes]") -> str:
    if child.returncode < 0:
        name = signal.Signals(-child.returncode).name
        over = name in {"SIGXCPU", "SIGKILL"}
        return "it used more processor time or memory than it may" if over else f"it was stopped by signal {name}"
    said = child.stderr.decode(errors="replace").strip().splitlines()
    return said[-1][:200] if said else "nothing that it knows"
