"""Record from a microphone into a file, with a meter, until the player has enough; nothing played is lost."""

from collections.abc import Callable
from contextlib import AbstractContextManager
from dataclasses import dataclass
from math import log10
from pathlib import Path
from typing import Protocol

from slurwright.devices.growing_wav import LARGEST_BYTES, GrowingWav
from slurwright.errors import SoundError
from slurwright.score.part import Notice

__all__ = ["Chunk", "Meter", "Recorded", "Source", "record"]

_WAIT_S = 0.1
"""So often it is looked whether to stop [s]."""
_IDLE_S = 2.0
"""A microphone that is silent for so long, not even noise coming from it, is gone [s]."""
_FULL = 32_767
_LOWEST_DB = -96.0


@dataclass(frozen=True, slots=True)
class Chunk:
    """What came from a microphone at once."""

    samples: bytes
    """16 bits each, low byte first, one channel."""
    lost: bool = False
    """Sound was lost before it: the computer was too busy to take it."""


class Source(Protocol):
    """A microphone that is listening."""

    @property
    def rate_hz(self) -> int:
        """Samples a second [Hz]."""
        ...

    def read(self, wait_s: float) -> Chunk | None:
        """Give what comes next; None where nothing came.

        Args:
            wait_s: for how long to wait for it [s].

        Raises:
            SoundError: the microphone is gone.

        """
        ...


@dataclass(frozen=True, slots=True)
class Meter:
    """How loud it is just now."""

    elapsed_s: float
    """Since the recording began [s]."""
    peak_db: float
    """Largest sample of the last moment against full scale [dB]."""
    level_db: float
    """Root mean square of the last moment against full scale [dB]."""
    full: bool
    """A sample of the last moment reached the limit."""


@dataclass(frozen=True, slots=True)
class Recorded:
    """A recording that was made."""

    path: Path
    length_s: float
    """How long it is [s]."""
    notices: tuple[Notice, ...]
    """What went wrong on the way."""


def record(
    source: AbstractContextManager[Source],
    path: Path,
    *,
    most_s: float,
    stop: Callable[[], bool],
    meter: Callable[[Meter], object] = lambda _: None,
) -> Recorded:
    """Record into a new file until told to stop, the time is up, or Ctrl-C is pressed.

    The file is whole at every moment. Where the microphone or the disk fails, what was recorded before is kept.

    Args:
        source: the microphone; it listens as long as its context lasts.
        path: of the file; there must be none yet.
        most_s: longest recording [s].
        stop: says whether the player has enough; asked ten times a second.
        meter: is told how loud it is.

    Raises:
        SoundError: the microphone cannot be opened, gives nothing at all, or the file cannot be made.

    """
    ended = _Ended()
    with source as microphone, GrowingWav(path, microphone.rate_hz) as file:
        try:
            _run(microphone, file, ended, most_s=most_s, stop=stop, meter=meter)
        except KeyboardInterrupt:
            ended.why = ""  # the usual way to say that it is enough
        except OSError as error:
            ended.why = f"the disk took no more: {error.strerror}; what was recorded before is kept"
        length_s = file.length_s
    if not length_s:
        path.unlink(missing_ok=True)
        raise SoundError("the microphone gave no sound", got=ended.why, where=str(path))
    return Recorded(path, length_s, tuple(Notice(what, where=str(path)) for what in ended.said()))


class _Ended:
    """How a recording went."""

    def __init__(self) -> None:
        self.why = ""
        self.lost = 0
        self.first_lost_s = 0.0
        self.peak = 0

    def said(self) -> list[str]:
        remarks = [self.why] if self.why else []
        if self.lost:
            remarks.append(
                f"the computer was too busy {self.lost} times and lost sound, first at {self.first_lost_s:.1f} s"
            )
        if not self.peak:
            remarks.append("it is digital silence: is the microphone muted, or not allowed for this terminal?")
        return remarks


def _run(
    microphone: Source,
    file: GrowingWav,
    ended: _Ended,
    *,
    most_s: float,
    stop: Callable[[], bool],
    meter: Callable[[Meter], object],
) -> None:
    idle_s = 0.0
    most = min(int(most_s * microphone.rate_hz) * 2, LARGEST_BYTES)
    while not stop():
        try:
            chunk = microphone.read(_WAIT_S)
        except SoundError as error:
            ended.why = f"{error}; what was recorded before is kept"
            return
        if chunk is None:
            idle_s += _WAIT_S
            if idle_s >= _IDLE_S:
                ended.why = "the microphone stopped giving sound: was it unplugged? What was recorded before is kept"
                return
            continue
        idle_s = 0.0
        if chunk.lost:
            ended.first_lost_s = ended.first_lost_s if ended.lost else file.length_s
            ended.lost += 1
        left = most - round(file.length_s * microphone.rate_hz) * 2
        file.append(chunk.samples[:left])
        ended.peak = max(ended.peak, _metered(chunk.samples, file.length_s, meter))
        if len(chunk.samples) >= left:
            return


def _metered(samples: bytes, elapsed_s: float, meter: Callable[[Meter], object]) -> int:
    """Tell the meter of a chunk, and give its largest sample."""
    import numpy as np  # noqa: PLC0415 - only here, and the command starts faster without

    values = np.frombuffer(samples[: len(samples) // 2 * 2], "<i2").astype(np.float64)
    if not len(values):
        return 0
    peak, level = float(np.abs(values).max()), float(np.sqrt(np.mean(values**2)))
    meter(Meter(elapsed_s, _db(peak), _db(level), peak >= _FULL))
    return int(peak)


def _db(size: float) -> float:
    return max(_LOWEST_DB, 20 * log10(size / (_FULL + 1))) if size > 0 else _LOWEST_DB
