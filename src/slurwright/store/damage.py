"""Is the file a sound store of ours; and what is done with one that is not.

The file is only looked at through the database, never opened beside it: on POSIX systems closing such a handle drops
the locks that a connection of the same process holds (sqlite.org, "How To Corrupt An SQLite Database File", 2.2).
"""

import sqlite3
import time
from contextlib import suppress
from datetime import datetime
from pathlib import Path

from slurwright.errors import StoreError
from slurwright.formats.times import in_names
from slurwright.store.connect import APPLICATION_ID, is_damage

__all__ = ["companions", "fault_of", "is_new", "leftovers", "move_aside", "size_of"]

_COMPANIONS = ("-wal", "-shm", "-journal")
_SETTLE_S = 0.1


def companions(store: Path) -> tuple[Path, ...]:
    """Name the files that the database may keep beside the store; they belong to it and move with it."""
    return tuple(store.with_name(store.name + ending) for ending in _COMPANIONS)


def size_of(path: Path) -> int:
    """Size of a file, 0 where there is none [bytes]."""
    try:
        return path.stat().st_size
    except FileNotFoundError:
        return 0


def leftovers(store: Path) -> bool:
    """Say whether writes are waiting beside a store that is missing or empty: it was there and has been lost."""
    return size_of(store) == 0 and size_of(companions(store)[0]) > 0


def is_new(connection: sqlite3.Connection) -> bool:
    """Say whether nothing was ever put into the database."""
    (tables,) = connection.execute("SELECT count(*) FROM sqlite_master").fetchone()
    (version,) = connection.execute("PRAGMA user_version").fetchone()
    (application,) = connection.execute("PRAGMA application_id").fetchone()
    return (tables, version) == (0, 0) and application in (0, APPLICATION_ID)


def fault_of(connection: sqlite3.Connection, path: Path) -> str | None:
    """Say what is wrong with a store; None where it is sound.

    Args:
        connection: any connection to it.
        path: its file.

    Raises:
        StoreError: it is a database, and not one of ours.
    """
    try:
        (application,) = connection.execute("PRAGMA application_id").fetchone()
        found = [str(row[0]) for row in connection.execute("PRAGMA quick_check(3)")]
        if not is_new(connection) and application != APPLICATION_ID:
            raise StoreError("this is a database of another program; it was left alone", where=str(path))
    except sqlite3.Error as error:
        if is_damage(error):
            return str(error)
        raise
    if found != ["ok"]:
        return " ".join("; ".join(found).split())
    return "the file ends too early" if _ends_early(connection, path) else None


def _ends_early(connection: sqlite3.Connection, path: Path) -> bool:
    """Say whether the last page is cut: the database fills it up with zeros and says nothing."""
    (page,) = connection.execute("PRAGMA page_size").fetchone()

    def cut() -> bool:
        return size_of(companions(path)[0]) == 0 and size_of(path) % page != 0

    if not cut():
        return False
    # Another program may be in the middle of lengthening the file.
    time.sleep(_SETTLE_S)
    return cut()


def move_aside(store: Path, *, word: str, now: datetime) -> Path | None:
    """Rename a store, and what belongs to it, to a dated name beside it.

    Args:
        store: the store's file.
        word: says why, in the new name.
        now: the time in the new name.

    Returns:
        The new name; None where there was nothing to rename.
    """
    aside = _free_name(store, f"{store.stem}-{word}-{in_names(now)}")
    moved = False
    for old, new in zip((store, *companions(store)), (aside, *companions(aside)), strict=True):
        with suppress(FileNotFoundError):
            old.rename(new)
            moved = True
    return aside if moved else None


def _free_name(store: Path, stem: str) -> Path:
    name = store.with_name(f"{stem}{store.suffix}")
    number = 2
    while name.exists():
        name = store.with_name(f"{stem}-{number}{store.suffix}")
        number += 1
    return name
