"""Send a child process to decode a recording into a file, hear how far it is, and bring it home whatever happens."""

import json
import os
import queue
import signal
import subprocess
import sys
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path
from typing import Any, BinaryIO

from slurwright.errors import Fault, SoundError

__all__ = ["DecodeLimits", "decoded_into"]

_CHILD = "slurwright.devices.sound_child"
_ALLOWED = "a recording that can be decoded"
_LAST_WORDS_S = 2.0
"""A child that has closed its mouth ends within this, or is ended [s]."""
_NO_THREADS = {"OPENBLAS_NUM_THREADS": "1", "OMP_NUM_THREADS": "1", "MKL_NUM_THREADS": "1"}
"""The child's products of small matrices gain nothing from threads, and starting them takes longer than its work."""


@dataclass(frozen=True, slots=True)
class DecodeLimits:
    """What decoding may take; far above what a long take needs."""

    memory_bytes: int = 2_000_000_000
    cpu_s: int = 900
    """Of processor time [s]."""
    wall_s: float = 1800.0
    """On the clock [s]."""


def decoded_into(
    scratch: BinaryIO, path: Path, *, limits: DecodeLimits, tick: Callable[[float], object]
) -> dict[str, Any]:
    """Have a recording decoded into an open file, and give what the child found.

    Args:
        scratch: empty, open for writing; it is left with the samples in it.
        path: of the recording.
        limits: what decoding may take.
        tick: is told what share is done, 0..1.

    Raises:
        SoundError: the child found the file unreadable, died of it, or took too long.

    """
    task = {
        "path": str(path.absolute()),
        "name": str(path),
        "memory_bytes": limits.memory_bytes,
        "cpu_s": limits.cpu_s,
    }
    with _child(scratch) as (child, lines):
        assert child.stdin is not None  # noqa: S101 - it was asked for
        with suppress(BrokenPipeError):  # a child that is dead already is found below
            child.stdin.write(json.dumps(task).encode())
            child.stdin.close()
        import numpy as np  # noqa: F401, PLC0415 - loaded while the child loads it too, not afterwards

        answer = _heard(child, lines, until=time.monotonic() + limits.wall_s, tick=tick, where=str(path))
    if "faults" in answer:
        raise SoundError(faults=tuple(Fault(**fault) for fault in answer["faults"]))
    working: dict[str, Any] = answer["working"]
    return working


@contextmanager
def _child(scratch: BinaryIO) -> Iterator[tuple["subprocess.Popen[bytes]", "queue.SimpleQueue[bytes]"]]:
    """Start the child and listen to it; it is dead and buried when the context ends, however it ends."""
    child = subprocess.Popen(  # noqa: S603 - our own module, no shell, the task goes through its input
        [sys.executable, "-P", "-m", _CHILD],  # -P: nothing is imported from the folder the player is in
        stdin=subprocess.PIPE,
        stdout=scratch,
        stderr=subprocess.PIPE,
        env={**os.environ, **_NO_THREADS},
    )
    lines: queue.SimpleQueue[bytes] = queue.SimpleQueue()
    ear = threading.Thread(target=_listen, args=(child.stderr, lines), daemon=True)
    ear.start()
    try:
        yield child, lines
    finally:
        child.kill()
        child.wait()
        ear.join()
        for pipe in (child.stdin, child.stderr):
            if pipe is not None:
                with suppress(BrokenPipeError):
                    pipe.close()


def _listen(pipe: BinaryIO, lines: "queue.SimpleQueue[bytes]") -> None:
    for line in pipe:
        lines.put(line)
    lines.put(b"")


def _heard(
    child: "subprocess.Popen[bytes]",
    lines: "queue.SimpleQueue[bytes]",
    *,
    until: float,
    tick: Callable[[float], object],
    where: str,
) -> dict[str, Any]:
    """Hear the child out: shares of what is done, then its answer."""
    said = ""
    while True:
        try:
            line = lines.get(timeout=max(0.0, until - time.monotonic()))
        except queue.Empty:
            raise SoundError("decoding it took too long", allowed=_ALLOWED, where=where) from None
        if not line:
            break
        try:
            value = json.loads(line)
        except ValueError:
            said = line.decode(errors="replace").strip() or said
            continue
        if isinstance(value, dict):
            return value
        tick(float(value))
    try:
        how = _how_it_ended(child.wait(timeout=_LAST_WORDS_S), said)
    except subprocess.TimeoutExpired:
        how = "the decoder fell silent"
    raise SoundError("it cannot be decoded", got=how, allowed=_ALLOWED, where=where)


def _how_it_ended(status: int, said: str) -> str:
    if status < 0:
        name = signal.Signals(-status).name
        over = name in {"SIGXCPU", "SIGKILL"}
        return "the decoder used more time or memory than it may" if over else f"the decoder died of it ({name})"
    return said[-200:] or "nothing that the decoder knows"
