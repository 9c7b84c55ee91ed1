"""Takes: received, found, listed, measured, failed, deleted, taken back, and removed for good.

Each verb takes a connection that is in a transaction. What happens to the files of recordings is in `sounds`.
"""

import sqlite3
from collections.abc import Iterable
from dataclasses import replace
from datetime import date, datetime, timedelta
from typing import Any, Protocol

from slurwright.errors import StoreError
from slurwright.formats.times import from_text, to_text
from slurwright.listen.kept import AskedFor, KeptTake, SoundFile, TakeAbout, TakenPart, TakeState
from slurwright.store.beginnings import BEGINS, the_one
from slurwright.store.connect import parsed
from slurwright.store.owners import refuse_owner
from slurwright.store.take_faults import about_faults

__all__ = [
    "add_take",
    "change_take",
    "every_take",
    "forget_sound",
    "later_than",
    "list_takes",
    "note_on_take",
    "purge_take",
    "put_takes",
    "take_beginning",
    "take_of_id",
]

_COLUMNS = (
    *("id", "player_id", "horn_id", "model", "tuning", "file", "fingerprint", "title", "part_name", "first_asked"),
    *("last_asked", "bars", "reading", "dynamic", "tempo_qpm", "a4_hz", "temperature_c", "played_on", "note"),
    *("keeps_sound", "made_at", "changed_at", "state", "failure", "sound_name", "sound_bytes", "sound_sha256"),
    *("sound_called", "method", "length_s", "deleted_at"),
)
_CHANGING = ("note", "keeps_sound", "changed_at", "state", "failure", "method", "length_s", "deleted_at")
_CHANGING_SOUND = ("sound_name", "sound_bytes", "sound_sha256", "sound_called")
_SELECT = f"SELECT {', '.join(_COLUMNS)} FROM takes"  # noqa: S608
_PUT = f"""
    INSERT INTO takes ({", ".join(_COLUMNS)}) VALUES ({", ".join("?" * len(_COLUMNS))}) ON CONFLICT (id) DO UPDATE
    SET {", ".join(f"{name} = excluded.{name}" for name in (*_CHANGING, *_CHANGING_SOUND))}
"""  # noqa: S608
_STANDS = (
    "deleted_at IS NULL AND NOT EXISTS (SELECT 1 FROM horns WHERE id = horn_id AND horns.deleted_at IS NOT NULL)"
)


def _from_row(row: tuple[Any, ...]) -> KeptTake:
    (
        take_id, player_id, horn_id, model, tuning, file, fingerprint, title, part_name, first, last, bars, reading,
        dynamic, tempo_qpm, a4_hz, temperature_c, played_on, note, keeps_sound, made_at, changed_at, state, failure,
        sound_name, sound_bytes, sound_sha256, sound_called, method, length_s, deleted_at,
    ) = row  # fmt: skip
    about = TakeAbout(
        player_id,
        horn_id,
        model,
        tuning,
        TakenPart(file, fingerprint, title, part_name),
        AskedFor(first, last, bars, reading, dynamic, tempo_qpm, a4_hz, temperature_c),
        date.fromisoformat(played_on),
        note,
        bool(keeps_sound),
    )
    return KeptTake(
        take_id,
        about,
        from_text(made_at),
        from_text(changed_at),
        TakeState(state),
        failure,
        None if sound_name is None else SoundFile(sound_name, sound_bytes, sound_sha256, sound_called),
        method,
        length_s,
        None if deleted_at is None else from_text(deleted_at),
    )


def _cells(take: KeptTake) -> tuple[Any, ...]:
    about, part, asked, sound = take.about, take.about.part, take.about.asked, take.sound
    return (
        *(take.id, about.player_id, about.horn_id, about.model, about.tuning),
        *(part.file, part.fingerprint, part.title, part.name),
        *(asked.first, asked.last, asked.bars, asked.reading, asked.dynamic, asked.tempo_qpm, asked.a4_hz),
        *(asked.temperature_c, about.played_on.isoformat(), about.note, about.keeps_sound),
        *(to_text(take.made_at), to_text(take.changed_at), take.state.value, take.failure),
        *((None,) * 4 if sound is None else (sound.name, sound.size_bytes, sound.sha256, sound.called)),
        *(take.method, take.length_s, None if take.deleted_at is None else to_text(take.deleted_at)),
    )


def put_takes(connection: sqlite3.Connection, takes: Iterable[KeptTake]) -> None:
    """Write takes as they are: new ones, and what may change of known ones in place of what is there.

    Args:
        connection: in a transaction.
        takes: no two of them with one id.
    """
    connection.executemany(_PUT, map(_cells, takes))


def take_of_id(connection: sqlite3.Connection, take_id: str) -> KeptTake:
    """Find a take, deleted or not, by id.

    Raises:
        StoreError: there is none.
    """
    row = connection.execute(f"{_SELECT} WHERE id = ?", (take_id,)).fetchone()
    if row is None:
        raise StoreError("there is no such take any more", got=take_id)
    (found,) = parsed([row], _from_row)
    return found


def take_beginning(connection: sqlite3.Connection, beginning: str, *, deleted: bool = False) -> KeptTake:
    """Find the take whose id begins so.

    Args:
        connection: in a transaction.
        beginning: of its id, one sign or more; the whole id is always enough.
        deleted: among those that were deleted, in place of those that stand.

    Raises:
        StoreError: none begins so, or several do.
    """
    rows = connection.execute(f"{_SELECT} WHERE {BEGINS}", (len(beginning), beginning, deleted))
    return the_one(list(parsed(rows, _from_row)), beginning, what="deleted take" if deleted else "take")


def list_takes(
    connection: sqlite3.Connection,
    player_id: str,
    *,
    horn_id: str | None = None,
    fingerprint: str | None = None,
    since: date | None = None,
    until: date | None = None,
    deleted: bool = False,
) -> tuple[KeptTake, ...]:
    """List a player's takes in the order in which they were received; those of deleted horns are hidden with them.

    Args:
        connection: in a transaction.
        player_id: whose.
        horn_id: on which horn; None for all.
        fingerprint: of which part; None for all.
        since: first day on which they were played; None for no first.
        until: last day; None for no last.
        deleted: those that were deleted, in place of those that stand.
    """
    rows = connection.execute(
        f"{_SELECT} WHERE player_id = :player AND {'deleted_at IS NOT NULL' if deleted else _STANDS}"
        " AND (:horn IS NULL OR horn_id = :horn) AND (:part IS NULL OR fingerprint = :part)"
        " AND (:since IS NULL OR played_on >= :since) AND (:until IS NULL OR played_on <= :until)"
        " ORDER BY made_at, id",
        {
            "player": player_id,
            "horn": horn_id,
            "part": fingerprint,
            "since": None if since is None else since.isoformat(),
            "until": None if until is None else until.isoformat(),
        },
    )
    return tuple(parsed(rows, _from_row))


def every_take(connection: sqlite3.Connection) -> tuple[KeptTake, ...]:
    """List all takes of all players, deleted or not, in the order in which they were received."""
    return tuple(parsed(connection.execute(f"{_SELECT} ORDER BY made_at, id"), _from_row))


def add_take(
    connection: sqlite3.Connection, take_id: str, about: TakeAbout, sound: SoundFile, *, now: datetime
) -> KeptTake:
    """Put a take that waits to be measured into the store.

    Args:
        connection: in a transaction.
        take_id: an id that is not used.
        about: what is known of it.
        sound: its recording, safe on the disk.
        now: the time.

    Raises:
        StoreError: there is no such player or horn, or something cannot be true; all faults at once.
    """
    refuse_owner(connection, about.player_id, about.horn_id)
    faults = tuple(about_faults(about, "the take"))
    if faults:
        raise StoreError(faults=faults)
    put_takes(connection, [KeptTake(take_id, about, now, now, sound=sound)])
    return take_of_id(connection, take_id)


class _Changed(Protocol):
    """What says when it was last changed."""

    @property
    def changed_at(self) -> datetime: ...


def later_than(kept: _Changed, now: datetime) -> datetime:
    """Give the time of a change: now, and always after the last one, also where the clock went back.

    Args:
        kept: as it is.
        now: the time.
    """
    return max(now, kept.changed_at + timedelta(microseconds=1))


def change_take(connection: sqlite3.Connection, take: KeptTake, *, now: datetime) -> KeptTake:
    """Write a take that is there as it is now.

    Args:
        connection: in a transaction.
        take: with its changes.
        now: the time.
    """
    put_takes(connection, [replace(take, changed_at=later_than(take_of_id(connection, take.id), now))])
    return take_of_id(connection, take.id)


def note_on_take(connection: sqlite3.Connection, take_id: str, note: str, *, now: datetime) -> KeptTake:
    """Set what the player wants to remember about a take.

    Args:
        connection: in a transaction.
        take_id: which.
        note: in place of the note so far.
        now: the time.

    Raises:
        StoreError: the note is too long, or there is no such take.
    """
    take = take_of_id(connection, take_id)
    about = replace(take.about, note=note)
    faults = tuple(about_faults(about, "the note"))
    if faults:
        raise StoreError(faults=faults)
    return change_take(connection, replace(take, about=about), now=now)


def forget_sound(connection: sqlite3.Connection, take_id: str, *, now: datetime) -> KeptTake:
    """Give the recording of a measured take up.

    Args:
        connection: in a transaction.
        take_id: which.
        now: the time.

    Raises:
        StoreError: there is no such take, it has no recording, or it is not measured yet.
    """
    take = take_of_id(connection, take_id)
    if take.sound is None:
        raise StoreError("the recording of this take is not kept", got=take_id)
    if take.state is not TakeState.MEASURED:
        raise StoreError(
            "this take is not measured yet, its recording is all there is", got=take_id, allowed="delete the take"
        )
    given_up = replace(take, sound=None, about=replace(take.about, keeps_sound=False))
    return change_take(connection, given_up, now=now)


def purge_take(connection: sqlite3.Connection, take_id: str) -> KeptTake:
    """Remove a deleted take and its measures for good; its recording is given up.

    Args:
        connection: in a transaction.
        take_id: which.

    Raises:
        StoreError: there is no such take, or it is not deleted.
    """
    take = take_of_id(connection, take_id)
    if take.deleted_at is None:
        raise StoreError("only what is deleted can be removed for good", got=take.id, allowed="delete it first")
    connection.execute("DELETE FROM takes WHERE id = ?", (take_id,))
    return take
