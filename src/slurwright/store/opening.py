"""Opening a store: made if there is none, checked, brought up to date, backed up once a day.

A damaged file is recognised, set aside under a dated name and the last backup offered; so is a missing file that has
backups. Nothing is restored and nothing begun anew unless the player says so.
"""

import sqlite3
import time
from collections.abc import Callable
from datetime import datetime
from pathlib import Path

from slurwright.errors import DamagedStoreError, StoreError
from slurwright.store.attempts import list_attempts
from slurwright.store.backup import Why, is_due, latest_sound_backup, make_backup
from slurwright.store.connect import (
    BUSY_TIMEOUT_S,
    OLDEST_SQLITE,
    open_reader,
    open_writer,
    primary_code,
    speaking,
)
from slurwright.store.damage import companions, fault_of, leftovers, move_aside, size_of
from slurwright.store.horns import list_horns
from slurwright.store.migrate import known_version, migrate, migrations
from slurwright.store.place import random_id
from slurwright.store.players import list_players
from slurwright.store.readings import list_readings
from slurwright.store.sheets import list_sheets, ticks_of
from slurwright.store.sounds import any_given_up
from slurwright.store.store import Store
from slurwright.store.take_measures import list_slurs
from slurwright.store.takes import list_takes
from slurwright.store.trials import list_trial_takes, list_trials

__all__ = ["open_store"]

_AGAIN_S = 0.02


def open_store(
    path: Path, *, now: datetime, begin_anew: bool = False, new_id: Callable[[], str] = random_id
) -> Store:
    """Open the player's store, made if there is none.

    Args:
        path: its file, see `store_path`.
        now: the time.
        begin_anew: begin an empty store although the old one is lost and has backups.
        new_id: makes the ids of new rows.

    Raises:
        DamagedStoreError: the file is damaged and was set aside, or it is missing and there are backups.
        StoreError: the disk refuses, another program holds the lock, or the file is not ours or too new.
    """
    _refuse_old_sqlite()
    _make_folder(path)
    _refuse_loss(path, begin_anew=begin_anew, now=now)
    try:
        writer, notices = _opened(path, now=now)
    except DamagedStoreError as error:
        raise _damaged(
            "the store is damaged", path, aside=_set_aside(path, now=now), got=error.faults[0].got
        ) from error
    try:
        with speaking(path):
            reader = open_reader(path)
    except BaseException:
        writer.close()
        raise
    store = Store(path, writer=writer, reader=reader, new_id=new_id, notices=notices)
    store.finish_removals()
    return store


def _opened(path: Path, *, now: datetime) -> tuple[sqlite3.Connection, tuple[str, ...]]:
    """Open for writing, and do what is due; where that fails the file is let go of, so that it can be renamed."""
    with speaking(path):
        writer = open_writer(path, create=True)
    try:
        _look_through(writer, path)
        known_version(writer, path, steps=migrations())
        _log_ahead(writer, path)
        migrate(writer, path, steps=migrations(), before=lambda: make_backup(path, why=Why.UPGRADE, now=now))
        _ask_for_nothing(writer, path)
        return writer, _daily_backup(path, now=now)
    except BaseException:
        writer.close()
        raise


def _refuse_old_sqlite() -> None:
    if sqlite3.sqlite_version_info < OLDEST_SQLITE:
        raise StoreError(
            "this Python brings a database that is too old",
            got=f"SQLite {sqlite3.sqlite_version}",
            allowed=f"{'.'.join(map(str, OLDEST_SQLITE))} or newer",
        )


def _make_folder(path: Path) -> None:
    try:
        path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
    except OSError as error:
        raise StoreError(f"the store's folder cannot be made: {error.strerror}", where=str(path.parent)) from error
    if path.is_dir():
        raise StoreError("this is a folder, not a store", where=str(path))


def _refuse_loss(path: Path, *, begin_anew: bool, now: datetime) -> None:
    """See to it that a store which was lost is not silently replaced by an empty one."""
    if size_of(path) > 0:
        return
    aside = _set_aside(path, now=now) if leftovers(path) else ""
    if begin_anew:
        return
    backup = latest_sound_backup(path)
    if aside or backup is not None:
        raise _damaged("the store is missing", path, aside=aside)


def _set_aside(path: Path, *, now: datetime) -> str:
    try:
        aside = move_aside(path, word="damaged", now=now)
    except OSError as error:
        raise StoreError(
            f"the store is damaged and cannot be set aside: {error.strerror}", where=str(path)
        ) from error
    return "" if aside is None else str(aside)


def _damaged(problem: str, path: Path, *, aside: str, got: str = "") -> DamagedStoreError:
    backup = latest_sound_backup(path)
    return DamagedStoreError(
        problem, got=got, where=str(path), set_aside=aside, backup="" if backup is None else str(backup.path)
    )


_FOUND_SOUND: dict[Path, tuple[int, ...]] = {}
"""How the files of stores were when this program looked through them: a command may open its store several times."""


def _look_through(writer: sqlite3.Connection, path: Path) -> None:
    before = _as_it_is(path)
    if before and _FOUND_SOUND.get(path) == before:
        return
    with speaking(path):
        fault = fault_of(writer, path)
    if fault is not None:
        raise DamagedStoreError("the store is damaged", got=fault, where=str(path))
    _FOUND_SOUND[path] = before


def _as_it_is(path: Path) -> tuple[int, ...]:
    """Tell a file from itself after any change; nothing where writes are waiting beside it."""
    if size_of(companions(path)[0]):
        return ()
    found = path.stat()
    return (found.st_ino, found.st_size, found.st_mtime_ns, found.st_ctime_ns)


def _ask_for_nothing(writer: sqlite3.Connection, path: Path) -> None:
    """Meet the tables once: damage to what they are called is no damage to the database's own check."""
    with speaking(path):
        list_players(writer)
        list_horns(writer, "")
        list_readings(writer, "", withdrawn=True)
        list_takes(writer, "")
        list(list_slurs(writer, ""))
        list_attempts(writer, "")
        list_trials(writer, "")
        list_trial_takes(writer, "")
        list_sheets(writer, "")
        ticks_of(writer, "")
        any_given_up(writer)


def _log_ahead(writer: sqlite3.Connection, path: Path) -> None:
    """Have writes go to a log first. The switch does not wait for other programs by itself, so it is tried again."""
    deadline = time.monotonic() + BUSY_TIMEOUT_S
    with speaking(path):
        while True:
            try:
                (mode,) = writer.execute("PRAGMA journal_mode = WAL").fetchone()
                break
            except sqlite3.OperationalError as error:
                if primary_code(error) != sqlite3.SQLITE_BUSY or time.monotonic() > deadline:
                    raise
            time.sleep(_AGAIN_S)
    if mode != "wal":
        raise StoreError("this disk cannot hold a store", got=f"journal mode {mode}", allowed="wal", where=str(path))


def _daily_backup(path: Path, *, now: datetime) -> tuple[str, ...]:
    """Make a backup if the last one is a day old. One that fails keeps nobody from their store."""
    try:
        if is_due(path, now=now):
            make_backup(path, why=Why.DAILY, now=now)
    except StoreError as error:
        return (f"today's backup could not be made: {error}",)
    return ()
