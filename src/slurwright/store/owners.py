"""Whose something is that is added: a player, and a horn of theirs, that both stand."""

import sqlite3

from slurwright.errors import StoreError
from slurwright.store.horns import horn_of_id
from slurwright.store.players import player_of_id

__all__ = ["refuse_owner"]


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
