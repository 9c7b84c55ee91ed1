"""Recordings as files beside the store: written so that none is ever there by half, removed only when given up.

They lie in ``takes`` beside the store, each named by its take. A recording is first written under a name that begins
with a dot and brought safely to the disk; in the transaction that puts its take into the store it gets its name. So a
take that is there has its recording, whatever was killed when. Backups of the store do not hold recordings; the
folder stays as it is when a backup is restored.
"""

import errno
import hashlib
import os
import sqlite3
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path
from typing import BinaryIO

from slurwright.errors import StoreError
from slurwright.listen.kept import SoundFile
from slurwright.store.disk import sync_folder
from slurwright.store.take_faults import is_ending

__all__ = [
    "FOLDER_NAME",
    "Astray",
    "StagedSound",
    "astray",
    "remove_given_up",
    "sound_name",
    "staged",
    "takes_folder",
]

FOLDER_NAME = "takes"
_UNKNOWN_ENDING = "sound"
_CHUNK_BYTES = 1 << 20
_FULL = (errno.ENOSPC, errno.EDQUOT, errno.EFBIG)


@dataclass(frozen=True, slots=True)
class Astray:
    """Where the recordings on the disk and the takes of the store do not agree; nothing of it is ever deleted."""

    stray: tuple[Path, ...] = ()
    """Files that no take knows."""
    unfinished: tuple[Path, ...] = ()
    """Recordings whose writing was cut off, or goes on at this moment in another program."""
    absent: tuple[str, ...] = ()
    """Ids of takes whose recording is not on this machine."""
    altered: tuple[str, ...] = ()
    """Ids of takes whose recording is not as long as it was."""


@dataclass(frozen=True, slots=True)
class StagedSound:
    """A recording that is safe on the disk and waits for its name."""

    waiting: Path
    place: Path
    """Where it will be."""
    file: SoundFile

    def must_be(self, file: SoundFile) -> None:
        """Refuse a recording that is not the one that is told of.

        Raises:
            StoreError: it has other bytes.
        """
        if self.file != file:
            raise StoreError("this is not the recording of its take: its bytes are others", where=self.file.name)

    def settle(self) -> None:
        """Give it its name; done with all other writers of the store kept out.

        Raises:
            StoreError: the disk refuses, or there is a file of that name.
        """
        with _told(self.place):
            if self.place.exists():
                raise StoreError(
                    "there is a recording of that name already; it was left alone", where=str(self.place)
                )
            self.waiting.replace(self.place)
            sync_folder(self.place.parent)


def takes_folder(store: Path) -> Path:
    """Say in which folder the recordings of a store lie.

    Args:
        store: the store's file.
    """
    return store.parent / FOLDER_NAME


def sound_name(take_id: str, ending: str) -> str:
    """Name the file of a recording.

    Args:
        take_id: of its take.
        ending: of the player's own file, as in ".wav"; one that is none is left out, what it is stands in its bytes.
    """
    plain = ending.lower().removeprefix(".")
    return f"{take_id}.{plain if is_ending(plain) else _UNKNOWN_ENDING}"


@contextmanager
def _told(where: Path) -> Iterator[None]:
    """Turn what the disk refuses into words."""
    try:
        yield
    except OSError as error:
        full = error.errno in _FULL
        words = "the disk is full" if full else f"the recording cannot be kept: {error.strerror}"
        raise StoreError(f"{words}; nothing was changed", where=str(where)) from error


@contextmanager
def staged(
    folder: Path, sound: BinaryIO, *, name: str, called: str, known: Callable[[], bool]
) -> Iterator[StagedSound]:
    """Write a recording to the disk; if the block fails nothing of it stays.

    Args:
        folder: of the recordings; made if there is none.
        sound: its bytes, from where it stands to the end.
        name: that it will have.
        called: what the player's own file was called.
        known: says, after a failure, whether the store knows the recording nevertheless.

    Raises:
        StoreError: the disk refuses, or there are no bytes.
    """
    place = folder / name
    waiting = folder / f".{name}.{os.getpid()}"
    done = False
    try:
        with _told(place):
            folder.mkdir(mode=0o700, exist_ok=True)
            size, digest = _written(waiting, sound)
        if size == 0:
            raise StoreError("the recording is empty", got=called)
        yield StagedSound(waiting, place, SoundFile(name, size, digest, called))
        done = True
    finally:
        if waiting.exists():
            with suppress(OSError):
                waiting.unlink()
        elif not done:
            # Where even that cannot be asked the file stays: better astray than lost.
            with suppress(OSError, StoreError):
                if not known():
                    place.unlink(missing_ok=True)


def _written(path: Path, sound: BinaryIO) -> tuple[int, str]:
    """Write bytes to a new file and have them on the disk: how many, and their digest."""
    size, digest = 0, hashlib.sha256()
    handle = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_TRUNC | getattr(os, "O_BINARY", 0), 0o600)
    with os.fdopen(handle, "wb") as stream:
        while chunk := sound.read(_CHUNK_BYTES):
            stream.write(chunk)
            digest.update(chunk)
            size += len(chunk)
        stream.flush()
        os.fsync(stream.fileno())
    return size, digest.hexdigest()


@contextmanager
def opened_copy(path: Path) -> Iterator[BinaryIO | None]:
    """Open a recording that comes from elsewhere; None where there is no such file.

    Args:
        path: where it would be.

    Raises:
        StoreError: it is there and cannot be read.
    """
    try:
        stream = path.open("rb")
    except FileNotFoundError:
        yield None
        return
    except OSError as error:
        raise StoreError(f"the recording cannot be read: {error.strerror}", where=str(path)) from error
    with stream:
        yield stream


def copy_sound(source: Path, target: Path, file: SoundFile) -> None:
    """Copy a recording out of the store; done already where the same bytes lie there.

    Args:
        source: in the store.
        target: where to; its folder is made.
        file: what the recording is.

    Raises:
        StoreError: the disk refuses, or the recording is not what it was.
    """
    with _told(target):
        target.parent.mkdir(exist_ok=True)
        if target.exists() and target.stat().st_size == file.size_bytes and _digest(target) == file.sha256:
            return
        waiting = target.with_name(f".{target.name}.{os.getpid()}")
        try:
            with source.open("rb") as stream:
                size, digest = _written(waiting, stream)
            if (size, digest) != (file.size_bytes, file.sha256):
                raise StoreError("the recording is not what it was; it was not written out", where=str(source))
            waiting.replace(target)
            sync_folder(target.parent)
        finally:
            with suppress(OSError):
                waiting.unlink(missing_ok=True)


def _digest(path: Path) -> str:
    with path.open("rb") as stream:
        return hashlib.file_digest(stream, "sha256").hexdigest()


def any_given_up(connection: sqlite3.Connection) -> bool:
    """Say whether recordings wait to be removed.

    Args:
        connection: in a transaction.
    """
    return connection.execute("SELECT 1 FROM sounds_to_remove").fetchone() is not None


def remove_given_up(connection: sqlite3.Connection, folder: Path) -> tuple[Path, ...]:
    """Remove the recordings that were given up; what the disk does not let go of is tried again another time.

    Args:
        connection: in a transaction that keeps other writers out, so that none of them is being kept anew.
        folder: of the recordings.

    Returns:
        Those that could not be removed.
    """
    left = []
    for (name,) in connection.execute("SELECT name FROM sounds_to_remove ORDER BY name").fetchall():
        if Path(name).name != name:
            continue
        try:
            (folder / name).unlink(missing_ok=True)
        except OSError:
            left.append(folder / name)
        else:
            connection.execute("DELETE FROM sounds_to_remove WHERE name = ?", (name,))
    return tuple(left)


def astray(connection: sqlite3.Connection, folder: Path) -> Astray:
    """Compare the recordings on the disk with the takes of the store.

    Args:
        connection: in a transaction.
        folder: of the recordings.
    """
    rows = connection.execute(
        "SELECT id, sound_name, sound_bytes FROM takes WHERE sound_name IS NOT NULL ORDER BY id"
    )
    takes = [(take_id, name, size) for take_id, name, size in rows]
    given_up = {name for (name,) in connection.execute("SELECT name FROM sounds_to_remove")}
    try:
        sizes = {entry.name: entry.stat().st_size for entry in os.scandir(folder)}
    except FileNotFoundError:
        sizes = {}
    except OSError as error:
        raise StoreError(f"the recordings cannot be listed: {error.strerror}", where=str(folder)) from error
    known = {name for _, name, _ in takes} | given_up
    strangers = [folder / name for name in sorted(sizes) if name not in known]
    return Astray(
        stray=tuple(path for path in strangers if not path.name.startswith(".")),
        unfinished=tuple(path for path in strangers if path.name.startswith(".")),
        absent=tuple(take_id for take_id, name, _ in takes if name not in sizes),
        altered=tuple(take_id for take_id, name, size in takes if sizes.get(name, size) != size),
    )
