"""A player's horns: added, found by name, renamed, noted on, deleted, taken back, and removed for good.

Each verb takes a connection that is in a transaction.
"""

import sqlite3
from collections.abc import Iterable
from datetime import datetime

from slurwright.errors import StoreError
from slurwright.formats.times import from_text, to_text
from slurwright.horn.owned import OwnedHorn
from slurwright.store.connect import parsed
from slurwright.store.names import clean_name, no_such, same_name, writable
from slurwright.store.players import player_of_id

__all__ = [
    "LONGEST_NOTES",
    "add_horn",
    "delete_horn",
    "every_horn",
    "horn_named",
    "horn_of_id",
    "list_horns",
    "note_on_horn",
    "purge_horn",
    "put_horns",
    "rename_horn",
    "undelete_horn",
]

LONGEST_NOTES = 10_000
"""Most letters of a player's notes on a horn; ours [characters]."""
_SELECT = "SELECT id, player_id, name, model, tuning, notes, created_at, changed_at, deleted_at FROM horns"


def _from_row(row: tuple[str, str, str, str, str | None, str, str, str, str | None]) -> OwnedHorn:
    """Read one row."""
    horn_id, player_id, name, model, tuning, notes, created, changed, deleted = row
    return OwnedHorn(
        horn_id,
        player_id,
        name,
        model,
        tuning,
        notes,
        from_text(created),
        from_text(changed),
        None if deleted is None else from_text(deleted),
    )


def list_horns(connection: sqlite3.Connection, player_id: str, *, deleted: bool = False) -> tuple[OwnedHorn, ...]:
    """List a player's horns by name.

    Args:
        connection: in a transaction.
        player_id: whose.
        deleted: those that were deleted, in place of those that stand.
    """
    rows = connection.execute(f"{_SELECT} WHERE player_id = ? AND (deleted_at IS NOT NULL) = ?", (player_id, deleted))
    return tuple(sorted(parsed(rows, _from_row), key=lambda horn: (same_name(horn.name), horn.id)))


def every_horn(connection: sqlite3.Connection) -> tuple[OwnedHorn, ...]:
    """List all horns of all players, deleted or not, in the order in which they were added."""
    return tuple(parsed(connection.execute(f"{_SELECT} ORDER BY created_at, id"), _from_row))


def put_horns(connection: sqlite3.Connection, horns: Iterable[OwnedHorn]) -> None:
    """Write horns as they are: new ones, and known ones in place of what is there.

    Args:
        connection: in a transaction.
        horns: no two of them with one id.
    """
    connection.executemany(
        "INSERT INTO horns (id, player_id, name, model, tuning, notes, created_at, changed_at, deleted_at)"
        " VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?) ON CONFLICT (id) DO UPDATE SET"
        " name = excluded.name, notes = excluded.notes, changed_at = excluded.changed_at,"
        " deleted_at = excluded.deleted_at",
        [
            (
                horn.id,
                horn.player_id,
                horn.name,
                horn.model,
                horn.tuning,
                horn.notes,
                to_text(horn.created_at),
                to_text(horn.changed_at),
                None if horn.deleted_at is None else to_text(horn.deleted_at),
            )
            for horn in horns
        ],
    )


def horn_of_id(connection: sqlite3.Connection, horn_id: str) -> OwnedHorn:
    """Find a horn, deleted or not, by id.

    Raises:
        StoreError: there is none.
    """
    row = connection.execute(f"{_SELECT} WHERE id = ?", (horn_id,)).fetchone()
    if row is None:
        raise StoreError("there is no such horn any more", got=horn_id)
    (found,) = parsed([row], _from_row)
    return found


def horn_named(connection: sqlite3.Connection, player_id: str, name: str, *, deleted: bool = False) -> OwnedHorn:
    """Find a player's horn by name; capitals do not matter. Of several deleted ones the last deleted is meant.

    Args:
        connection: in a transaction.
        player_id: whose.
        name: as typed.
        deleted: among those that were deleted, in place of those that stand.

    Raises:
        StoreError: there is none of that name.
    """
    horns = list_horns(connection, player_id, deleted=deleted)
    same = [horn for horn in horns if same_name(horn.name) == same_name(name)]
    if not same:
        raise no_such("deleted horn" if deleted else "horn", name, [horn.name for horn in horns])
    return max(same, key=lambda horn: (horn.deleted_at or horn.created_at, horn.id))


def _free(connection: sqlite3.Connection, player_id: str, name: str, *, but: str = "") -> str:
    kept = clean_name(name, "horn")
    for horn in list_horns(connection, player_id):
        if same_name(horn.name) == same_name(kept) and horn.id != but:
            raise StoreError("this player has a horn of that name already", got=horn.name, allowed="another name")
    return kept


def _clean_notes(notes: str) -> str:
    if not writable(notes):
        raise StoreError("the notes are garbled", got=ascii(notes[:40]), allowed="Unicode text")
    if len(notes) > LONGEST_NOTES:
        raise StoreError("the notes are too long", got=f"{len(notes)} letters", allowed=f"up to {LONGEST_NOTES}")
    return notes


def add_horn(
    connection: sqlite3.Connection,
    horn_id: str,
    *,
    player_id: str,
    name: str,
    model: str,
    tuning: str | None,
    notes: str,
    now: datetime,
) -> OwnedHorn:
    """Add a horn to a player's.

    Args:
        connection: in a transaction.
        horn_id: an id that is not used.
        player_id: whose.
        name: what the player calls it.
        model: id in the catalogue.
        tuning: scheme by which the valve slides are set; None for the model's usual one.
        notes: what the player wants to remember.
        now: the time.

    Raises:
        StoreError: the name is taken or is none, or there is no such player.
    """
    if player_of_id(connection, player_id).deleted_at is not None:
        raise StoreError("this player is deleted", allowed="take the deletion back first")
    if not model.strip():
        raise StoreError("a horn needs a model", got=repr(model), allowed="an id of the catalogue")
    kept = _free(connection, player_id, name)
    put_horns(connection, [OwnedHorn(horn_id, player_id, kept, model, tuning, _clean_notes(notes), now, now)])
    return horn_of_id(connection, horn_id)


def rename_horn(connection: sqlite3.Connection, horn_id: str, name: str, *, now: datetime) -> OwnedHorn:
    """Give a horn another name.

    Args:
        connection: in a transaction.
        horn_id: which.
        name: as typed.
        now: the time.

    Raises:
        StoreError: the name is taken or is none, or there is no such horn.
    """
    horn = horn_of_id(connection, horn_id)
    kept = _free(connection, horn.player_id, name, but=horn_id)
    connection.execute("UPDATE horns SET name = ?, changed_at = ? WHERE id = ?", (kept, to_text(now), horn_id))
    return horn_of_id(connection, horn_id)


def note_on_horn(connection: sqlite3.Connection, horn_id: str, notes: str, *, now: datetime) -> OwnedHorn:
    """Set what the player wants to remember about a horn.

    Args:
        connection: in a transaction.
        horn_id: which.
        notes: in place of the notes so far.
        now: the time.

    Raises:
        StoreError: the notes are too long, or there is no such horn.
    """
    horn_of_id(connection, horn_id)
    connection.execute(
        "UPDATE horns SET notes = ?, changed_at = ? WHERE id = ?", (_clean_notes(notes), to_text(now), horn_id)
    )
    return horn_of_id(connection, horn_id)


def delete_horn(connection: sqlite3.Connection, horn_id: str, *, now: datetime) -> OwnedHorn:
    """Hide a horn and its readings, until it is taken back or purged.

    Args:
        connection: in a transaction.
        horn_id: which.
        now: the time.

    Raises:
        StoreError: there is no such horn, or it is deleted already.
    """
    horn = horn_of_id(connection, horn_id)
    if horn.deleted_at is not None:
        raise StoreError("this horn is deleted already", got=horn.name)
    connection.execute(
        "UPDATE horns SET deleted_at = ?, changed_at = ? WHERE id = ?", (to_text(now), to_text(now), horn_id)
    )
    return horn_of_id(connection, horn_id)


def undelete_horn(connection: sqlite3.Connection, horn_id: str, *, now: datetime) -> OwnedHorn:
    """Take a deletion back.

    Args:
        connection: in a transaction.
        horn_id: which.
        now: the time.

    Raises:
        StoreError: there is no such horn, it is not deleted, or its name was taken meanwhile.
    """
    horn = horn_of_id(connection, horn_id)
    if horn.deleted_at is None:
        raise StoreError("this horn is not deleted", got=horn.name)
    _free(connection, horn.player_id, horn.name)
    connection.execute("UPDATE horns SET deleted_at = NULL, changed_at = ? WHERE id = ?", (to_text(now), horn_id))
    return horn_of_id(connection, horn_id)


def purge_horn(connection: sqlite3.Connection, horn_id: str) -> OwnedHorn:
    """Remove a deleted horn and its readings for good.

    Args:
        connection: in a transaction.
        horn_id: which.

    Raises:
        StoreError: there is no such horn, or it is not deleted.
    """
    horn = horn_of_id(connection, horn_id)
    if horn.deleted_at is None:
        raise StoreError("only what is deleted can be removed for good", got=horn.name, allowed="delete it first")
    connection.execute("DELETE FROM horns WHERE id = ?", (horn_id,))
    return horn
