"""Whose something is that is added: a player, and a horn of theirs, that both stand; and when it was added."""

import sqlite3
from datetime import datetime, timedelta
from typing import Literal

from slurwright.errors import StoreError
from slurwright.formats.times import from_text, to_text
from slurwright.store.connect import parsed
from slurwright.store.horns import horn_of_id
from slurwright.store.players import player_of_id

__all__ = ["after_the_last", "refuse_owner"]


def refuse_owner(connection: sqlite3.Connection, player_id: str, horn_id: str | None) -> None:
    """See to it that what is added has an owner who stands.

    Args:
        connection: in a transaction.
        player_id: whose it is.
        horn_id: on which horn; None for a model of the catalogue.

    Raises:
        StoreError: there is no such player or horn, one of them is deleted, or the horn is another player's.
    """
    if player_of_id(connection, player_id).deleted_at is not None:
        raise StoreError("this player is deleted", allowed="take the deletion back first")
    if horn_id is None:
        return
    horn = horn_of_id(connection, horn_id)
    if horn.player_id != player_id:
        raise StoreError("this horn belongs to another player", got=horn.name)
    if horn.deleted_at is not None:
        raise StoreError("this horn is deleted", allowed="take the deletion back first")


def after_the_last(
    connection: sqlite3.Connection, table: Literal["attempts", "sheets"], player_id: str, *, now: datetime
) -> datetime:
    """Give the time at which something is added: now, and never before what a player added before it.

    The clock may have gone back; the order of what happened must not.

    Args:
        connection: in a transaction.
        table: where it is added.
        player_id: whose it is.
        now: the time.
    """
    at = from_text(to_text(now))
    row = connection.execute(f"SELECT max(made_at) FROM {table} WHERE player_id = ?", (player_id,)).fetchone()  # noqa: S608
    if row[0] is None:
        return at
    (last,) = parsed([(player_id, row[0])], lambda cells: from_text(cells[1]))
    return at if at > last else last + timedelta(microseconds=1)
