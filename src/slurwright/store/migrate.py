"""Bringing a store up to date: numbered steps in SQL that are never edited once they have been given out."""

import re
import sqlite3
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from functools import cache
from importlib import resources
from pathlib import Path

from slurwright.errors import StoreError
from slurwright.store.connect import APPLICATION_ID, primary_code, speaking, writing

__all__ = ["Migration", "known_version", "migrate", "migrations", "schema_version"]

_FILE = re.compile(r"(\d{4})_([a-z_]+)\.sql")


@dataclass(frozen=True, slots=True)
class Migration:
    """One step from a schema to the next."""

    number: int
    name: str
    sql: str


@cache
def migrations() -> tuple[Migration, ...]:
    """Give the steps of the package in order; the first one has number 1."""
    found = []
    for entry in (resources.files("slurwright.store") / "migrations").iterdir():
        match = _FILE.fullmatch(entry.name)
        if match is not None:
            found.append(Migration(int(match[1]), match[2], entry.read_text(encoding="utf-8")))
    return tuple(sorted(found, key=lambda migration: migration.number))


def schema_version(connection: sqlite3.Connection) -> int:
    """Say how many steps a store has behind it."""
    (version,) = connection.execute("PRAGMA user_version").fetchone()
    return int(version)


def _statements(sql: str) -> Iterator[str]:
    """Cut a script into statements; a trigger's own semicolons do not end it."""
    waiting = ""
    for piece in sql.splitlines(keepends=True):
        waiting += piece
        if sqlite3.complete_statement(waiting):
            yield waiting
            waiting = ""
    if waiting.strip():
        yield waiting


def migrate(
    connection: sqlite3.Connection, path: Path, *, steps: Sequence[Migration], before: Callable[[], object]
) -> int:
    """Take a store through the steps that it still lacks, all of them in one transaction or none.

    Args:
        connection: one that may write, in no transaction.
        path: the store, for messages.
        steps: all steps from the first on.
        before: makes a backup; called once, with all other writers kept out, if an existing store is changed.

    Returns:
        How many steps were taken.

    Raises:
        StoreError: the store is newer than this program, or a step fails on it; it is as it was.
    """
    with speaking(path):
        version = known_version(connection, path, steps=steps)
        if version == len(steps):
            return 0
        # Steps may rebuild a table that others point to; what they leave is checked before it is committed.
        connection.execute("PRAGMA foreign_keys = OFF")
    try:
        with writing(connection, path):
            version = known_version(connection, path, steps=steps)
            if 0 < version < len(steps):
                before()
            for step in steps[version:]:
                _take(connection, path, step)
            connection.execute(f"PRAGMA application_id = {APPLICATION_ID}")
    finally:
        connection.execute("PRAGMA foreign_keys = ON")
    return len(steps) - version


def known_version(connection: sqlite3.Connection, path: Path, *, steps: Sequence[Migration]) -> int:
    """Say how many of the steps a store has behind it.

    Args:
        connection: any.
        path: the store, for messages.
        steps: all steps from the first on.

    Raises:
        StoreError: it has more behind it than there are.
    """
    version = schema_version(connection)
    if version > len(steps):
        raise StoreError(
            "the store was written by a newer version of this program; it was left alone",
            got=f"schema {version}",
            allowed=f"up to schema {len(steps)}",
            where=str(path),
        )
    return version


def _take(connection: sqlite3.Connection, path: Path, step: Migration) -> None:
    try:
        for statement in _statements(step.sql):
            connection.execute(statement)
        broken = connection.execute("PRAGMA foreign_key_check").fetchall()
    except sqlite3.Error as error:
        if primary_code(error) not in (sqlite3.SQLITE_ERROR, sqlite3.SQLITE_CONSTRAINT):
            raise
        raise StoreError(_failed(step), got=str(error), where=str(path)) from error
    if broken:
        raise StoreError(_failed(step), got=f"{len(broken)} rows that point to nothing", where=str(path))
    connection.execute(f"PRAGMA user_version = {step.number}")


def _failed(step: Migration) -> str:
    return f"the store could not be brought up to date and is as it was (step {step.number}, {step.name})"
