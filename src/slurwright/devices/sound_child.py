"""The child process that decodes a recording: a path in, samples at the working rate out.

Decoders are libraries of great size that read files from anywhere, so they never run in the process that the player
talks to. The samples go to standard output, which is a file; what is done so far, and the answer, go to standard
error, one JSON value a line. Whatever a library prints goes nowhere.
"""

import json
import os
import sys
from collections.abc import Mapping
from dataclasses import asdict
from pathlib import Path
from typing import Any, BinaryIO, TextIO

from slurwright.devices.child_task import limit_process

__all__ = ["decode"]

_TICK = 0.01


def decode(task: Mapping[str, Any], samples: BinaryIO, told: TextIO) -> dict[str, Any]:
    """Decode the file at ``path``, called ``name``: what came of it as ``working``, or why not as ``faults``."""
    from slurwright.errors import SoundError  # noqa: PLC0415
    from slurwright.formats.sound.working import to_working_rate  # noqa: PLC0415

    last = 0.0

    def tick(share: float) -> None:
        nonlocal last
        if share >= last + _TICK:
            last = share
            print(share, file=told, flush=True)

    try:
        with Path(task["path"]).open("rb") as stream:
            working = to_working_rate(stream, name=task["name"], write=samples.write, tick=tick)
        samples.flush()
    except SoundError as error:
        return {"faults": [asdict(fault) for fault in error.faults]}
    except OSError as error:
        return {"faults": [{"problem": f"it cannot be read: {error.strerror}", "where": task["name"]}]}
    return {"working": asdict(working)}


def main() -> None:
    """Take the task from standard input and do it, within its limits."""
    samples = os.fdopen(os.dup(sys.stdout.fileno()), "wb")
    told = os.fdopen(os.dup(sys.stderr.fileno()), "w", encoding="utf-8")
    task = json.loads(sys.stdin.buffer.read())
    nowhere = os.open(os.devnull, os.O_WRONLY)
    os.dup2(nowhere, sys.stdout.fileno())
    os.dup2(nowhere, sys.stderr.fileno())
    limit_process(task)
    try:
        answer = decode(task, samples, told)
    except MemoryError:
        answer = {"faults": [{"problem": "reading it used more memory than it may", "where": task["name"]}]}
    print(json.dumps(answer), file=told, flush=True)


if __name__ == "__main__":
    main()
