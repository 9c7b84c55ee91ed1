"""Players: added, found by name, renamed, deleted, taken back, and removed for good.

Each verb takes a connection that is in a transaction.
"""

import sqlite3
from collections.abc import Iterable
from datetime import datetime

from slurwright.errors import StoreError
from slurwright.formats.times import from_text, to_text
from slurwright.horn.owned import Player
from slurwright.store.connect import parsed
from slurwright.store.names import clean_name, no_such, same_name

__all__ = [
    "add_player",
    "delete_player",
    "every_player",
    "list_players",
    "player_named",
    "player_of_id",
    "purge_player",
    "put_players",
    "rename_player",
    "undelete_player",
]

_SELECT = "SELECT id, name, created_at, changed_at, deleted_at FROM players"


def _from_row(row: tuple[str, str, str, str, str | None]) -> Player:
    """Read one row."""
    player_id, name, created, changed, deleted = row
    return Player(
        player_id, name, from_text(created), from_text(changed), None if deleted is None else from_text(deleted)
    )


def list_players(connection: sqlite3.Connection, *, deleted: bool = False) -> tuple[Player, ...]:
    """List the players by name.

    Args:
        connection: in a transaction.
        deleted: those that were deleted, in place of those that stand.
    """
    rows = connection.execute(f"{_SELECT} WHERE (deleted_at IS NOT NULL) = ?", (deleted,))
    return tuple(sorted(parsed(rows, _from_row), key=lambda player: (same_name(player.name), player.id)))


def every_player(connection: sqlite3.Connection) -> tuple[Player, ...]:
    """List all players, deleted or not, in the order in which they were added."""
    return tuple(parsed(connection.execute(f"{_SELECT} ORDER BY created_at, id"), _from_row))


def put_players(connection: sqlite3.Connection, players: Iterable[Player]) -> None:
    """Write players as they are: new ones, and known ones in place of what is there.

    Args:
        connection: in a transaction.
        players: no two of them with one id.
    """
    connection.executemany(
        "INSERT INTO players (id, name, created_at, changed_at, deleted_at) VALUES (?, ?, ?, ?, ?) ON CONFLICT (id)"
        " DO UPDATE SET name = excluded.name, changed_at = excluded.changed_at, deleted_at = excluded.deleted_at",
        [
            (
                player.id,
                player.name,
                to_text(player.created_at),
                to_text(player.changed_at),
                None if player.deleted_at is None else to_text(player.deleted_at),
            )
            for player in players
        ],
    )


def player_of_id(connection: sqlite3.Connection, player_id: str) -> Player:
    """Find a player, deleted or not, by id.

    Raises:
        StoreError: there is none.
    """
    row = connection.execute(f"{_SELECT} WHERE id = ?", (player_id,)).fetchone()
    if row is None:
        raise StoreError("there is no such player any more", got=player_id)
    (found,) = parsed([row], _from_row)
    return found


def player_named(connection: sqlite3.Connection, name: str, *, deleted: bool = False) -> Player:
    """Find a player by name; capitals do not matter. Of several deleted ones the last deleted is meant.

    Args:
        connection: in a transaction.
        name: as typed.
        deleted: among those that were deleted, in place of those that stand.

    Raises:
        StoreError: there is none of that name.
    """
    players = list_players(connection, deleted=deleted)
    same = [player for player in players if same_name(player.name) == same_name(name)]
    if not same:
        raise no_such("deleted player" if deleted else "player", name, [player.name for player in players])
    return max(same, key=lambda player: (player.deleted_at or player.created_at, player.id))


def _free(connection: sqlite3.Connection, name: str, *, but: str = "") -> str:
    kept = clean_name(name, "player")
    for player in list_players(connection):
        if same_name(player.name) == same_name(kept) and player.id != but:
            raise StoreError("there is a player of that name already", got=player.name, allowed="another name")
    return kept


def add_player(connection: sqlite3.Connection, player_id: str, name: str, *, now: datetime) -> Player:
    """Add a player.

    Args:
        connection: in a transaction.
        player_id: an id that is not used.
        name: as typed.
        now: the time.

    Raises:
        StoreError: the name is taken or is none.
    """
    kept = _free(connection, name)
    put_players(connection, [Player(player_id, kept, now, now)])
    return player_of_id(connection, player_id)


def rename_player(connection: sqlite3.Connection, player_id: str, name: str, *, now: datetime) -> Player:
    """Give a player another name.

    Args:
        connection: in a transaction.
        player_id: who.
        name: as typed.
        now: the time.

    Raises:
        StoreError: the name is taken or is none, or there is no such player.
    """
    player_of_id(connection, player_id)
    kept = _free(connection, name, but=player_id)
    connection.execute("UPDATE players SET name = ?, changed_at = ? WHERE id = ?", (kept, to_text(now), player_id))
    return player_of_id(connection, player_id)


def delete_player(connection: sqlite3.Connection, player_id: str, *, now: datetime) -> Player:
    """Hide a player and all that is theirs, until it is taken back or purged.

    Args:
        connection: in a transaction.
        player_id: who.
        now: the time.

    Raises:
        StoreError: there is no such player, or they are deleted already.
    """
    player = player_of_id(connection, player_id)
    if player.deleted_at is not None:
        raise StoreError("this player is deleted already", got=player.name)
    connection.execute(
        "UPDATE players SET deleted_at = ?, changed_at = ? WHERE id = ?", (to_text(now), to_text(now), player_id)
    )
    return player_of_id(connection, player_id)


def undelete_player(connection: sqlite3.Connection, player_id: str, *, now: datetime) -> Player:
    """Take a deletion back.

    Args:
        connection: in a transaction.
        player_id: who.
        now: the time.

    Raises:
        StoreError: there is no such player, they are not deleted, or their name was taken meanwhile.
    """
    player = player_of_id(connection, player_id)
    if player.deleted_at is None:
        raise StoreError("this player is not deleted", got=player.name)
    _free(connection, player.name)
    connection.execute("UPDATE players SET deleted_at = NULL, changed_at = ? WHERE id = ?", (to_text(now), player_id))
    return player_of_id(connection, player_id)


def purge_player(connection: sqlite3.Connection, player_id: str) -> Player:
    """Remove a deleted player and all that is theirs for good.

    Args:
        connection: in a transaction.
        player_id: who.

    Raises:
        StoreError: there is no such player, or they are not deleted.
    """
    player = player_of_id(connection, player_id)
    if player.deleted_at is None:
        raise StoreError("only what is deleted can be removed for good", got=player.name, allowed="delete it first")
    connection.execute("DELETE FROM players WHERE id = ?", (player_id,))
    return player
