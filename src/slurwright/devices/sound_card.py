"""The sound card: which microphones there are, and one of them listening; by an optional library."""

import queue
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from typing import Any

from slurwright.devices.microphone import Chunk, Source
from slurwright.errors import SoundError

__all__ = ["Microphone", "listening", "microphones"]

_INSTALL = "pip install 'slurwright[microphone]'"
_SYSTEM = "the library PortAudio; on Debian and Ubuntu: apt install libportaudio2"


@dataclass(frozen=True, slots=True)
class Microphone:
    """One way into the computer."""

    number: int
    """By which it can be asked for."""
    name: str
    rate_hz: int
    """At which it works best [Hz]."""
    usual: bool
    """It is taken where none is asked for."""


def microphones() -> tuple[Microphone, ...]:
    """List what can be recorded from, in the order of the system.

    Raises:
        SoundError: the extra or the system's library is not installed, or the system does not answer.

    """
    card = _library()
    try:
        devices, (usual, _) = card.query_devices(), card.default.device
        if usual < 0:
            usual = next((number for number, at in enumerate(devices) if at["max_input_channels"] > 0), -1)
    except card.PortAudioError as error:
        raise SoundError("the sound system does not answer", got=_told(error)) from error
    return tuple(
        Microphone(number, str(device["name"]), round(device["default_samplerate"]), number == usual)
        for number, device in enumerate(devices)
        if device["max_input_channels"] > 0
    )


def _chosen(wanted: str | None) -> Microphone:
    """Find a microphone by its number or a part of its name; the usual one where none is asked for."""
    there = microphones()
    if not there:
        raise SoundError("no microphone was found", allowed="one that is plugged in and switched on")
    names = ", ".join(f"{one.number} {one.name}" for one in there)
    if wanted is None:
        return next((one for one in there if one.usual), there[0])
    fitting = [one for one in there if wanted == str(one.number)]
    fitting = fitting or [one for one in there if wanted.casefold() in one.name.casefold()]
    if len(fitting) != 1:
        problem = "several microphones are called so" if fitting else "there is no such microphone"
        raise SoundError(problem, got=repr(wanted), allowed=names)
    return fitting[0]


@contextmanager
def listening(wanted: str | None = None) -> Iterator[Source]:
    """Open a microphone; it listens as long as the context lasts.

    Args:
        wanted: its number, or a part of its name; None for the usual one.

    Raises:
        SoundError: there is none, the system refuses it, or what it takes is not installed.

    """
    card = _library()
    microphone = _chosen(wanted)
    heard: queue.SimpleQueue[Chunk] = queue.SimpleQueue()

    def take(samples: Any, _frames: int, _time: object, status: Any) -> None:
        heard.put(Chunk(bytes(samples), lost=bool(status.input_overflow)))

    try:
        stream = card.RawInputStream(
            samplerate=microphone.rate_hz, device=microphone.number, channels=1, dtype="int16", callback=take
        )
        stream.start()
    except (card.PortAudioError, ValueError) as error:
        raise SoundError(
            "the microphone cannot be used",
            got=_told(error),
            allowed="one that no other program holds, allowed for this terminal in the system's settings",
            where=microphone.name,
        ) from error
    try:
        yield _Listening(stream, heard, microphone.rate_hz)
    finally:
        stream.abort(ignore_errors=True)
        stream.close(ignore_errors=True)


class _Listening:
    """A microphone whose sound comes in from another thread."""

    def __init__(self, stream: Any, heard: "queue.SimpleQueue[Chunk]", rate_hz: int) -> None:
        self._stream = stream
        self._heard = heard
        self._rate_hz = rate_hz

    @property
    def rate_hz(self) -> int:
        """Samples a second [Hz]."""
        return self._rate_hz

    def read(self, wait_s: float) -> Chunk | None:
        """Give what comes next; None where nothing came.

        Args:
            wait_s: for how long to wait for it [s].

        Raises:
            SoundError: the microphone is gone.

        """
        try:
            return self._heard.get(timeout=wait_s)
        except queue.Empty:
            if not self._stream.active:
                raise SoundError("the microphone is gone: was it unplugged?") from None
            return None


def _library() -> Any:
    try:
        import sounddevice  # noqa: PLC0415 - an optional extra
    except ModuleNotFoundError:
        raise SoundError("recording needs an extra that is not installed", allowed=_INSTALL) from None
    except OSError:
        raise SoundError("recording needs a library of the system that is missing", allowed=_SYSTEM) from None
    return sounddevice


def _told(error: Exception) -> str:
    return str(error.args[0]) if error.args else str(error)
