"""Backups: when one is made, where it lies, how many are kept, and how one is restored.

A backup is a whole store in one file, checked before it gets its name, so that a file of that name is a sound
backup of the moment it is named after. They lie in ``backups`` beside the store. What was purged from the store is
still in the backups that were made before.
"""

import os
import re
import sqlite3
from contextlib import closing, suppress
from dataclasses import dataclass
from datetime import datetime, timedelta
from enum import Enum
from pathlib import Path

from slurwright.errors import StoreError
from slurwright.formats.times import from_text, in_names
from slurwright.store.connect import open_reader, speaking
from slurwright.store.damage import fault_of, move_aside
from slurwright.store.disk import sync_file, sync_folder

__all__ = [
    "BACKUPS_KEPT",
    "Backup",
    "Why",
    "backups_of",
    "copy_store",
    "is_due",
    "latest_sound_backup",
    "make_backup",
    "restore_backup",
    "set_change_mark",
]

BACKUPS_KEPT = 10
"""How many of each kind are kept, the newest ones; ours."""
_INTERVAL = timedelta(days=1)
_LEFT_S = 3600.0
_NAME = re.compile(r"(\d{4})(\d\d)(\d\d)T(\d\d)(\d\d)(\d\d\.\d{6})Z-([a-z]+)\.sqlite3")


class Why(Enum):
    """Why a backup was made; each kind is kept for itself."""

    DAILY = "daily"
    UPGRADE = "upgrade"
    ASKED = "asked"


@dataclass(frozen=True, slots=True)
class Backup:
    """One backup on the disk."""

    path: Path
    made_at: datetime
    why: Why


def _folder(store: Path) -> Path:
    return store.parent / "backups"


def backups_of(store: Path) -> tuple[Backup, ...]:
    """List the backups of a store, newest first.

    Args:
        store: the store's file, which need not exist.
    """
    try:
        names = sorted((entry.name for entry in _folder(store).iterdir()), reverse=True)
    except (FileNotFoundError, NotADirectoryError):
        return ()
    except OSError as error:
        raise StoreError(f"the backups cannot be listed: {error.strerror}", where=str(_folder(store))) from error
    return tuple(backup for name in names if (backup := _backup_named(store, name)) is not None)


def _backup_named(store: Path, name: str) -> Backup | None:
    match = _NAME.fullmatch(name)
    if match is None or match[7] not in [why.value for why in Why]:
        return None
    year, month, day, hour, minute, second, why = match.groups()
    try:
        made_at = from_text(f"{year}-{month}-{day}T{hour}:{minute}:{second}Z")
    except ValueError:
        return None
    return Backup(_folder(store) / name, made_at, Why(why))


def latest_sound_backup(store: Path) -> Backup | None:
    """Find the newest backup that can be restored; None where there is none.

    Args:
        store: the store's file, which need not exist.
    """
    return next((backup for backup in backups_of(store) if _fault_of_backup(backup.path) is None), None)


def _fault_of_backup(path: Path) -> str | None:
    try:
        with closing(open_reader(path)) as connection:
            return fault_of(connection, path)
    except (sqlite3.Error, StoreError) as error:
        return str(error)


def set_change_mark(connection: sqlite3.Connection, mark: str) -> None:
    """Note that the store is another one than before.

    Args:
        connection: in a transaction.
        mark: one that was never used.
    """
    connection.execute("UPDATE change_mark SET mark = ?", (mark,))


def _change_mark(path: Path) -> str:
    """Read the mark; a backup of a schema that had none has another one than any store."""
    with speaking(path), closing(open_reader(path)) as connection:
        if connection.execute("SELECT 1 FROM sqlite_master WHERE name = 'change_mark'").fetchone() is None:
            return "none"
        (mark,) = connection.execute("SELECT mark FROM change_mark").fetchone()
        return str(mark)


def is_due(store: Path, *, now: datetime) -> bool:
    """Say whether something was changed that no backup holds, and the last one is a day old.

    Args:
        store: the store's file, up to date.
        now: the time.
    """
    newest = next(iter(backups_of(store)), None)
    if newest is not None and now - newest.made_at < _INTERVAL:
        return False
    mark = _change_mark(store)
    return mark != "" and (newest is None or not _holds(newest.path, mark))


def _holds(backup: Path, mark: str) -> bool:
    try:
        return _change_mark(backup) == mark
    except StoreError:
        # A backup that cannot be read is none.
        return False


def make_backup(store: Path, *, why: Why, now: datetime) -> Backup:
    """Copy the store as it stands committed, also while others read and write it.

    Args:
        store: the store's file.
        why: the kind; older ones of that kind beyond `BACKUPS_KEPT` are removed.
        now: the time that it is named after.

    Raises:
        StoreError: the disk refuses; the store and the older backups are as they were.
    """
    folder = _folder(store)
    target = folder / f"{in_names(now)}-{why.value}.sqlite3"
    try:
        folder.mkdir(mode=0o700, exist_ok=True)
        copy_store(store, target)
    except OSError as error:
        raise StoreError(f"no backup could be made: {error.strerror}", where=str(target)) from error
    _sweep(folder, now=now)
    for old in [backup for backup in backups_of(store) if backup.why is why][BACKUPS_KEPT:]:
        with suppress(OSError):
            old.path.unlink()
    return Backup(target, now, why)


def _sweep(folder: Path, *, now: datetime) -> None:
    """Remove what a backup that was killed has left."""
    with suppress(OSError):
        for left in folder.glob(".*.sqlite3.*"):
            if now.timestamp() - left.stat().st_mtime > _LEFT_S:
                left.unlink()


def copy_store(source: Path, target: Path) -> None:
    """Write a checked copy of a store, which has its name only when it is whole and on the disk.

    Args:
        source: a store or a backup.
        target: where to; overwritten.

    Raises:
        StoreError: the disk refuses, or the source is damaged.
    """
    waiting = target.with_name(f".{target.name}.{os.getpid()}")
    waiting.unlink(missing_ok=True)
    try:
        with (
            speaking(source),
            closing(open_reader(source)) as reader,
            closing(sqlite3.connect(waiting, isolation_level=None)) as writer,
        ):
            reader.backup(writer)
            # One file by itself, with no companions for readers to make or lose.
            writer.execute("PRAGMA journal_mode = DELETE")
            fault = fault_of(writer, waiting)
            if fault is not None:
                raise StoreError("the copy of the store is not sound", got=fault, where=str(source))
        sync_file(waiting)
        waiting.replace(target)
        sync_folder(target.parent)
    finally:
        for left in (waiting, waiting.with_name(f"{waiting.name}-journal")):
            with suppress(OSError):
                left.unlink(missing_ok=True)


def restore_backup(store: Path, backup: Path, *, now: datetime) -> Path | None:
    """Put a backup in the store's place; what is there is set aside, never overwritten.

    Other programs that have the store open must be closed first: they would go on writing to the file set aside.

    Args:
        store: the store's file, which need not exist.
        backup: the backup's file.
        now: the time that the file set aside is named after.

    Returns:
        Where the present store was set aside; None if there was none.

    Raises:
        StoreError: the backup is damaged or not ours, or the disk refuses; the store is as it was.
    """
    if not backup.is_file():
        raise StoreError("there is no such backup", where=str(backup))
    fault = _fault_of_backup(backup)
    if fault is not None:
        raise StoreError("this is not a sound backup", got=fault, where=str(backup))
    ready = store.with_name(f".{store.name}.restored")
    try:
        copy_store(backup, ready)
        # Not before the copy is ready, so that the time without a store is the time of two renames.
        aside = move_aside(store, word="replaced", now=now)
        ready.replace(store)
        sync_folder(store.parent)
    except OSError as error:
        raise StoreError(f"the backup could not be restored: {error.strerror}", where=str(store)) from error
    finally:
        with suppress(OSError):
            ready.unlink(missing_ok=True)
    return aside
