"""How a child process takes a task and answers: JSON in, JSON out, within limits of memory and processor time."""

import json
import os
import sys
from collections.abc import Callable, Mapping
from typing import Any

if sys.platform != "win32":
    import resource

__all__ = ["limit_process", "run_task"]


def run_task(work: Callable[[Mapping[str, Any]], Mapping[str, Any]]) -> None:
    """Read one task from standard input, do it, and write what came of it to standard output.

    The task's ``memory_bytes`` and ``cpu_s`` are what the process may use. Whatever a library prints meanwhile goes
    to standard error, so that the answer stays clean.
    """
    answers = os.fdopen(os.dup(sys.stdout.fileno()), "w", encoding="utf-8")
    os.dup2(sys.stderr.fileno(), sys.stdout.fileno())
    task = json.loads(sys.stdin.buffer.read())
    limit_process(task)
    try:
        answer = work(task)
    except MemoryError:
        answer = {"fault": "it used more memory than it may"}
    json.dump(answer, answers)
    answers.flush()


def limit_process(task: Mapping[str, Any]) -> None:
    """Hold this process to a task's ``memory_bytes`` and ``cpu_s``, where the system can."""
    if sys.platform != "win32":
        resource.setrlimit(resource.RLIMIT_AS, (task["memory_bytes"], task["memory_bytes"]))
        resource.setrlimit(resource.RLIMIT_CPU, (task["cpu_s"], task["cpu_s"] + 1))
        resource.setrlimit(resource.RLIMIT_CORE, (0, 0))
