"""How to speak with the database file: connections, transactions, and its errors in the player's words."""

import sqlite3
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import Any, TypeVar

from slurwright.errors import DamagedStoreError, PitchError, StoreError

__all__ = [
    "APPLICATION_ID",
    "BUSY_TIMEOUT_S",
    "OLDEST_SQLITE",
    "is_damage",
    "open_reader",
    "open_writer",
    "parsed",
    "primary_code",
    "reading",
    "speaking",
    "writing",
]

APPLICATION_ID = 0x536C7772
"""Marks the file as ours in its header: "Slwr" in ASCII."""
BUSY_TIMEOUT_S = 10.0
"""How long to wait for another program to finish its write; a write takes milliseconds. Ours [s]."""
OLDEST_SQLITE = (3, 37, 0)
"""First version that holds a table's columns to their types (sqlite.org, "STRICT Tables")."""

_SETTINGS = (
    # A commit is on the disk before it is acknowledged, also if the power fails; the two last do the same on macOS,
    # where an ordinary sync stops at the drive's cache (sqlite.org, "Pragma statements").
    "PRAGMA synchronous = FULL",
    "PRAGMA fullfsync = ON",
    "PRAGMA checkpoint_fullfsync = ON",
    "PRAGMA foreign_keys = ON",
    # What a purge removes is overwritten in the file.
    "PRAGMA secure_delete = ON",
    # The file may come from anywhere: trust nothing that is in it.
    "PRAGMA trusted_schema = OFF",
    "PRAGMA cell_size_check = ON",
)

_WORDS = {
    sqlite3.SQLITE_BUSY: "another program is writing to the store; nothing was changed, try again",
    sqlite3.SQLITE_LOCKED: "another program is writing to the store; nothing was changed, try again",
    sqlite3.SQLITE_FULL: "the disk is full; nothing was changed",
    sqlite3.SQLITE_READONLY: "the store can only be read here; nothing was changed",
    sqlite3.SQLITE_PERM: "the store may not be written; nothing was changed",
    sqlite3.SQLITE_CANTOPEN: "the store cannot be opened, or its folder cannot be written",
    sqlite3.SQLITE_CONSTRAINT: "the store's tables refuse this; nothing was changed",
    sqlite3.SQLITE_IOERR: "the disk refused; nothing was changed",
}
_DAMAGE = (
    sqlite3.SQLITE_CORRUPT,
    sqlite3.SQLITE_NOTADB,
    # No such column, unknown function: all our statements are fixed, so it is the text of a table that has changed.
    sqlite3.SQLITE_ERROR,
)
_MET_DAMAGE = "the store is damaged; open it again to set it aside, or restore a backup"
_NONSENSE = "the store is damaged: a row makes no sense; restore a backup"

Row = TypeVar("Row")


def primary_code(error: sqlite3.Error) -> int:
    """Say which kind of error the database reports; 0 where the fault is not the database's."""
    return int(getattr(error, "sqlite_errorcode", 0)) & 0xFF


def is_damage(error: sqlite3.Error) -> bool:
    """Say whether an error means that the file itself is damaged."""
    # Text that is no UTF-8 is met by Python's side, which gives no code.
    return primary_code(error) in _DAMAGE or str(error).startswith("Could not decode to UTF-8")


def parsed(rows: Iterable[Any], parse: Callable[[Any], Row]) -> Iterator[Row]:
    """Turn rows into values; the database's own check cannot know what a word must mean.

    Args:
        rows: of a query; each begins with its id.
        parse: makes the value of one row.

    Raises:
        DamagedStoreError: a row makes no sense.
    """
    for row in rows:
        try:
            value = parse(row)
        except (ValueError, PitchError) as error:
            raise DamagedStoreError(_NONSENSE, got=str(error), where=f"row {row[0]}") from error
        yield value


@contextmanager
def speaking(path: Path) -> Iterator[None]:
    """Turn the database's errors into the player's words; faults of ours pass through.

    Raises:
        StoreError: disk, lock or permission.
        DamagedStoreError: the file is damaged; opening the store again sets it aside.
    """
    try:
        yield
    except sqlite3.Error as error:
        if is_damage(error):
            raise DamagedStoreError(_MET_DAMAGE, got=str(error), where=str(path)) from error
        words = _WORDS.get(primary_code(error))
        if words is None:
            raise
        raise StoreError(words, got=str(error), where=str(path)) from error
    except UnicodeEncodeError as error:
        # A word of the command line may hold bytes that are no letters.
        raise StoreError("this is no text", got=ascii(error.object), allowed="letters in UTF-8") from error
    except UnicodeDecodeError as error:
        # What the database says of a damaged file may repeat its garbled names.
        raise DamagedStoreError(_MET_DAMAGE, got=str(error), where=str(path)) from error


def _connect(path: Path, mode: str) -> sqlite3.Connection:
    connection = sqlite3.connect(
        f"{path.absolute().as_uri()}?mode={mode}", uri=True, timeout=BUSY_TIMEOUT_S, isolation_level=None
    )
    try:
        for setting in _SETTINGS:
            connection.execute(setting)
    except BaseException:
        connection.close()
        raise
    return connection


def open_writer(path: Path, *, create: bool) -> sqlite3.Connection:
    """Open a connection that may write.

    Args:
        path: the database file.
        create: whether a missing file is made.
    """
    return _connect(path, "rwc" if create else "rw")


def open_reader(path: Path) -> sqlite3.Connection:
    """Open a connection that can only read."""
    return _connect(path, "ro")


@contextmanager
def writing(connection: sqlite3.Connection, path: Path) -> Iterator[None]:
    """Do all of the block in one transaction, or nothing of it.

    The lock is taken at once, so that what the block reads cannot be changed by another program before it writes.

    Args:
        connection: one that may write.
        path: the store, for messages.
    """
    with speaking(path):
        connection.execute("BEGIN IMMEDIATE")
        try:
            yield
            connection.execute("COMMIT")
        except BaseException:
            # On some errors the database has rolled back already; the first error is the one to tell.
            with suppress(sqlite3.Error):
                if connection.in_transaction:
                    connection.execute("ROLLBACK")
            raise


@contextmanager
def reading(connection: sqlite3.Connection, path: Path) -> Iterator[None]:
    """See one state of the store throughout the block, whatever others write meanwhile.

    Args:
        connection: any.
        path: the store, for messages.
    """
    with speaking(path):
        connection.execute("BEGIN")
        try:
            yield
        finally:
            with suppress(sqlite3.Error):
                connection.execute("ROLLBACK")
