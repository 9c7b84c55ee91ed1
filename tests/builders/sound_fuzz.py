"""Spoiled sound files by the thousand, decoded in a child process; ``python -m builders.sound_fuzz`` is that child.

What a decoder may do to a process must stay with the child: each file gives sound or a `SoundError`, in bounded time
and memory, or the child dies, which is counted, and the file is then opened the way the program opens files.
"""

import io
import json
import os
import resource
import signal
import subprocess
import sys
import time
from dataclasses import dataclass
from functools import cache
from pathlib import Path

import numpy as np

from builders.sound_files import encoded, mutated, tone
from slurwright.errors import SoundError

__all__ = ["FUZZED", "FuzzReport", "fuzz", "spoiled"]

FUZZED = (
    "wav",
    "wav8",
    "wav24",
    "wavf",
    "flac",
    "ogg",
    "opus",
    "mp3",
    "aiff",
    "au",
    "caf",
    "m4a",
    "adts",
    "webm",
    "3gp",
)
_PLAIN = ("wav", "wav8", "wav24", "wavf", "aiff", "au")
_TESTS = Path(__file__).parents[1]
_MOST_S = 20
_MEMORY_BYTES = 2_000_000_000


@dataclass(frozen=True, slots=True)
class FuzzReport:
    """What became of so many spoiled files, of every kind by turns."""

    tried: int
    sound: int
    refused: int
    deaths: tuple[int, ...]
    """Files of which the child died; numbers for `spoiled`."""
    bugs: tuple[str, ...]
    """What was raised besides `SoundError`."""
    slowest_s: float
    peak_mb: float


def spoiled(number: int, *, seed: int) -> tuple[str, bytes]:
    """Make the spoiled file of this number, with its kind; always the same."""
    kind = FUZZED[number % len(FUZZED)]
    return kind, mutated(_whole(kind, stereo=number // len(FUZZED) % 4 == 0), np.random.default_rng([seed, number]))


@cache
def _whole(kind: str, *, stereo: bool) -> bytes:
    rate_hz = 48_000 if kind in ("opus", "webm") else 22_050
    # Compressed sound comes in packets; there must be several, or any damage leaves nothing.
    wave = tone(length_s=0.12 if kind in _PLAIN else 0.6, rate_hz=rate_hz)
    rough = np.random.default_rng(7).standard_normal(len(wave)).astype(np.float32)
    wave = wave + np.float32(0.01) * rough
    return encoded(np.stack((wave, wave[::-1]), axis=1) if stereo else wave, kind, rate_hz=rate_hz)


def fuzz(count: int, *, seed: int) -> FuzzReport:
    """Have that many spoiled files decoded in child processes; one that dies is followed by another."""
    sound = refused = first = 0
    deaths: list[int] = []
    bugs: list[str] = []
    slowest_s = peak_mb = 0.0
    while first < count:
        said = _child(first, count, seed)
        last = first - 1
        for line in said:
            last, what, took_s, peak = line
            sound += what == "sound"
            refused += what == "refused"
            if what not in ("sound", "refused"):
                bugs.append(f"{last}: {what}")
            slowest_s, peak_mb = max(slowest_s, took_s), max(peak_mb, peak)
        if last + 1 < count:
            deaths.append(last + 1)
        first = last + 2
    return FuzzReport(count, sound, refused, tuple(deaths), tuple(bugs), slowest_s, peak_mb)


def _child(first: int, stop: int, seed: int) -> list[tuple[int, str, float, float]]:
    done = subprocess.run(
        [sys.executable, "-m", "builders.sound_fuzz", str(first), str(stop), str(seed)],
        capture_output=True,
        check=False,
        env={**os.environ, "PYTHONPATH": str(_TESTS), "OPENBLAS_NUM_THREADS": "1"},
    )
    lines = [line for line in done.stdout.decode().splitlines() if line.startswith("[")]
    if not lines and b"Error" in done.stderr:
        raise RuntimeError(done.stderr.decode())
    return [tuple(json.loads(line)) for line in lines]


def _main(first: int, stop: int, seed: int) -> None:
    import resource  # noqa: PLC0415

    from slurwright.formats.sound.working import to_working_rate  # noqa: PLC0415

    answers = os.fdopen(os.dup(1), "w")
    nowhere = os.open(os.devnull, os.O_WRONLY)
    os.dup2(nowhere, 1)
    resource.setrlimit(resource.RLIMIT_AS, (_MEMORY_BYTES, _MEMORY_BYTES))
    resource.setrlimit(resource.RLIMIT_CORE, (0, 0))
    for number in range(first, stop):
        kind, data = spoiled(number, seed=seed)
        signal.alarm(_MOST_S)  # not handled: it ends the process, even inside a library
        start = time.perf_counter()
        try:
            to_working_rate(io.BytesIO(data), name=f"take.{kind}", write=lambda _: None)
            what = "sound"
        except SoundError:
            what = "refused"
        except Exception as error:  # a bug of ours: it is told
            what = repr(error)
        took_s = time.perf_counter() - start
        answers.write(json.dumps((number, what, round(took_s, 4), _peak_mb())) + "\n")
        answers.flush()


def _peak_mb() -> float:
    """Largest memory of this process since it began; what the system counts beside it is the parent's as well."""
    status = Path("/proc/self/status")
    if not status.exists():
        return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    line = next(line for line in status.read_text("ascii").splitlines() if line.startswith("VmHWM:"))
    return int(line.split()[1]) / 1024


if __name__ == "__main__":
    _main(*(int(number) for number in sys.argv[1:]))
