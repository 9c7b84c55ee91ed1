"""Readings that takes gave to a horn: given once, withdrawn with their take, restored with it.

Each verb takes a connection that is in a transaction.
"""

import sqlite3
from collections.abc import Callable, Sequence
from dataclasses import replace
from datetime import datetime

from slurwright.errors import StoreError
from slurwright.formats.times import from_text, to_text
from slurwright.horn.owned import FromTake, KeptReading, PlayedTone
from slurwright.listen.kept import KeptTake
from slurwright.store.readings import add_readings, mark_readings
from slurwright.store.takes import change_take, later_than, take_of_id

__all__ = ["delete_take", "give_tones", "let_speak_once", "undelete_take"]

_STANDING = (
    "SELECT reading_id, added_at, coalesce((SELECT max(at) FROM withdrawals WHERE reading_id = readings.id), '')"
    " FROM take_tones JOIN readings ON readings.id = reading_id WHERE take_id = ?"
    " AND coalesce("
    "(SELECT withdrawn FROM withdrawals WHERE reading_id = readings.id ORDER BY at DESC LIMIT 1), 0) = 0"
    " ORDER BY added_at, place, reading_id"
)
"""Readings of a take that stand, when they were added, and when they were restored last."""
_WITHDRAWN_WITH_TAKE = (
    # What was withdrawn when the take was deleted, and not touched since.
    "SELECT reading_id FROM take_tones JOIN withdrawals USING (reading_id) WHERE take_id = ? AND at >= ?"
    " GROUP BY reading_id HAVING count(*) = 1 AND min(withdrawn) = 1 ORDER BY reading_id"
)


def give_tones(
    connection: sqlite3.Connection,
    take_id: str,
    tones: Sequence[tuple[int, PlayedTone]],
    *,
    now: datetime,
    new_id: Callable[[], str],
) -> tuple[KeptReading, ...]:
    """Give steady notes of a take to the readings of its horn; those that it gave before are withdrawn.

    Args:
        connection: in a transaction.
        take_id: of the take.
        tones: index of the asked note, and the tone.
        now: the time.
        new_id: makes ids.

    Raises:
        StoreError: the take is on no horn of the player's own, or is gone or deleted, or a tone cannot be true.
    """
    take = take_of_id(connection, take_id)
    if take.deleted_at is not None:
        raise StoreError("this take is deleted", got=take_id, allowed="take the deletion back first")
    if take.about.horn_id is None:
        raise StoreError("this take is not on a horn of the player's own", got=take.about.model)
    if _withdraw_standing(connection, take_id, now=later_than(take, now)):
        change_take(connection, take, now=now)
    sources = [FromTake(take_id, asked) for asked, _ in tones]
    played = [tone for _, tone in tones]
    return add_readings(connection, take.about.horn_id, played, now=now, new_id=new_id, sources=sources)


def _withdraw_standing(connection: sqlite3.Connection, take_id: str, *, now: datetime) -> bool:
    """Withdraw what a take gave; says whether there was anything."""
    standing = [reading_id for reading_id, _, _ in connection.execute(_STANDING, (take_id,))]
    mark_readings(connection, standing, withdrawn=True, now=now)
    return bool(standing)


def let_speak_once(connection: sqlite3.Connection, take_id: str) -> None:
    """Withdraw what a take gave before it was measured again elsewhere; comes to the same in every store.

    What the player restored since then stays.

    Args:
        connection: in a transaction.
        take_id: of a take that was joined with another store's.
    """
    standing = connection.execute(_STANDING, (take_id,)).fetchall()
    newest = max((added_at for _, added_at, _ in standing), default="")
    for reading_id, added_at, restored_at in standing:
        if max(added_at, restored_at) < newest:
            mark_readings(connection, [reading_id], withdrawn=True, now=from_text(newest))


def delete_take(connection: sqlite3.Connection, take_id: str, *, now: datetime) -> KeptTake:
    """Hide a take and withdraw the readings that it gave, until it is taken back or purged.

    Args:
        connection: in a transaction.
        take_id: which.
        now: the time.

    Raises:
        StoreError: there is no such take, or it is deleted already.
    """
    take = take_of_id(connection, take_id)
    if take.deleted_at is not None:
        raise StoreError("this take is deleted already", got=take_id)
    # The same moment for all, later than any change before, so that taking it back finds what belonged to it.
    at = from_text(to_text(later_than(take, now)))
    _withdraw_standing(connection, take_id, now=at)
    return change_take(connection, replace(take, deleted_at=at), now=at)


def undelete_take(connection: sqlite3.Connection, take_id: str, *, now: datetime) -> KeptTake:
    """Take a deletion back, and restore the readings that were withdrawn by it.

    Args:
        connection: in a transaction.
        take_id: which.
        now: the time.

    Raises:
        StoreError: there is no such take, or it is not deleted.
    """
    take = take_of_id(connection, take_id)
    if take.deleted_at is None:
        raise StoreError("this take is not deleted", got=take_id)
    marked = connection.execute(_WITHDRAWN_WITH_TAKE, (take_id, to_text(take.deleted_at)))
    mark_readings(connection, [reading_id for (reading_id,) in marked], withdrawn=False, now=now)
    return change_take(connection, replace(take, deleted_at=None), now=now)
