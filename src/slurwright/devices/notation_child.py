"""Humdrum text to MEI by a library that may die on odd values: `notation_to_mei` asks, a child process does.

The child is this module run by itself: text on standard input, MEI on standard output, limits on memory and
processor time as arguments, set before the library is loaded. Exit status 3 says that the text is not to be read.
"""

import os
import signal
import subprocess
import sys
from dataclasses import dataclass

from slurwright.errors import NotationError

__all__ = ["ConversionLimits", "main", "notation_to_mei"]

_UNREADABLE = 3


@dataclass(frozen=True, slots=True)
class ConversionLimits:
    """What a conversion may take; far above what a long score needs."""

    memory_bytes: int = 2_000_000_000
    cpu_s: int = 60
    wall_s: float = 90.0


_USUAL = ConversionLimits()


def notation_to_mei(data: bytes, where: str, *, limits: ConversionLimits = _USUAL) -> str:
    """Say in MEI what Humdrum text says.

    Args:
        data: the Humdrum text.
        where: its name for messages.
        limits: what the conversion may take.

    Raises:
        NotationError: it cannot be read, or reading it took more than it may.

    """
    try:
        child = subprocess.run(  # noqa: S603  (our own module)
            [sys.executable, "-m", "slurwright.devices.notation_child", str(limits.memory_bytes), str(limits.cpu_s)],
            input=data,
            capture_output=True,
            timeout=limits.wall_s,
            check=False,
        )
    except subprocess.TimeoutExpired as late:
        raise NotationError(
            "reading the Humdrum file took too long", got=f"more than {limits.wall_s:g} s", where=where
        ) from late
    if child.returncode == 0 and child.stdout:
        return child.stdout.decode("utf-8", "replace")
    raise NotationError(
        "the Humdrum file cannot be read", got=_how_it_ended(child), allowed="valid **kern", where=where
    )


def _how_it_ended(child: "subprocess.CompletedProcess[bytes]") -> str:
    said = child.stderr.decode("utf-8", "replace").strip().splitlines()
    if child.returncode in {-signal.SIGXCPU, -signal.SIGKILL}:
        return "it used more processor time or memory than it may"
    if child.returncode < 0:
        return f"the converter was stopped by signal {signal.Signals(-child.returncode).name}"
    if child.returncode in (0, _UNREADABLE):
        return said[0][:200] if said else "nothing that the converter knows"
    return said[-1][:200] if said else f"exit status {child.returncode}"


def main(arguments: list[str]) -> int:
    """Convert what comes in; the arguments are bytes of memory and seconds of processor time."""
    answers = os.fdopen(os.dup(sys.stdout.fileno()), "wb")
    os.dup2(sys.stderr.fileno(), sys.stdout.fileno())
    memory_bytes, cpu_s = (int(argument) for argument in arguments)
    _limit(memory_bytes, cpu_s)
    import verovio  # noqa: PLC0415  (after the limits)

    data = sys.stdin.buffer.read()
    try:
        text = data.decode("utf-8")
    except UnicodeDecodeError:
        text = data.decode("latin-1")
    verovio.enableLog(verovio.LOG_ERROR)
    toolkit = verovio.toolkit()
    toolkit.setOptions({"xmlIdSeed": 1})
    toolkit.setInputFrom("humdrum")
    if not toolkit.loadData(text):
        return _UNREADABLE
    mei = toolkit.getMEI()
    answers.write(mei.encode("utf-8"))
    answers.flush()
    return 0


def _limit(memory_bytes: int, cpu_s: int) -> None:
    """Keep this process within its means, where the system can do that."""
    try:
        import resource  # noqa: PLC0415  (not on every system)
    except ImportError:
        return
    resource.setrlimit(resource.RLIMIT_AS, (memory_bytes, memory_bytes))
    resource.setrlimit(resource.RLIMIT_CPU, (cpu_s, cpu_s + 1))
    resource.setrlimit(resource.RLIMIT_CORE, (0, 0))


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
