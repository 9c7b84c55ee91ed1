"""Recordings on disk: opened, decoded by a child process within limits, read from scratch in bounded memory."""

import tempfile
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any, BinaryIO

from slurwright.devices.sound_errand import DecodeLimits, decoded_into
from slurwright.errors import SoundError
from slurwright.formats.sound.info import SoundInfo
from slurwright.listen.raw import RawLevels
from slurwright.score.part import Notice

if TYPE_CHECKING:
    from slurwright.listen.sound import Sound

__all__ = ["OpenedSound", "open_sound"]

_USUAL = DecodeLimits()


@dataclass(frozen=True, slots=True, eq=False)
class OpenedSound:
    """A recording that is ready to be listened to, as long as its context lasts."""

    sound: "Sound"
    """One channel at the working rate, its offset taken out."""
    notices: tuple[Notice, ...]
    """What the reader assumed or passed over."""
    info: SoundInfo
    """What it was before."""


@contextmanager
def open_sound(
    path: Path, *, limits: DecodeLimits = _USUAL, tick: Callable[[float], object] = lambda _: None
) -> Iterator[OpenedSound]:
    """Open a recording of any kind, rate and number of channels.

    Its samples wait in a nameless temporary file, so that even a killed program leaves nothing behind, and are read
    from there stretch by stretch.

    Args:
        path: of the recording.
        limits: what decoding may take.
        tick: is told from time to time what share of it is decoded, 0..1.

    Raises:
        SoundError: no such file, no sound file, damaged beyond use, silent, or decoding took more than it may.

    """
    _check_path(path)
    with _scratch() as scratch:
        answer = decoded_into(scratch, path, limits=limits, tick=tick)
        yield _opened(scratch, answer, where=str(path))


def _scratch() -> BinaryIO:
    try:
        return tempfile.TemporaryFile(prefix="slurwright-")
    except OSError as error:
        where = str(error.filename or "the folder for temporary files")
        raise SoundError(f"there is no room to decode into: {error.strerror}", where=where) from error


def _check_path(path: Path) -> None:
    try:
        if path.is_dir():
            raise SoundError("this is a folder, not a file", where=str(path))
        if not path.exists():
            raise SoundError("there is no such file", where=str(path))
        if not path.is_file():
            raise SoundError("this is not a file that can be read from start to end", where=str(path))
    except (OSError, ValueError) as error:
        raise SoundError("the file cannot be read", got=str(error), where=str(path)) from error


def _opened(scratch: BinaryIO, answer: Mapping[str, Any], where: str) -> OpenedSound:
    from slurwright.devices.sound_scratch import ScratchSound  # noqa: PLC0415 - numpy is loaded while the child works

    info = answer["info"]
    return OpenedSound(
        sound=ScratchSound(
            scratch,
            rate_hz=answer["rate_hz"],
            length=answer["length"],
            weights=tuple(answer["weights"]),
            offset=answer["offset"],
        ),
        notices=tuple(Notice(remark, where=where) for remark in answer["remarks"]),
        info=SoundInfo(**{**info, "raw": RawLevels(**info["raw"])}),
    )
