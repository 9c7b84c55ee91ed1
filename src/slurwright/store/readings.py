"""Readings: added all or none, listed, withdrawn and restored; never changed.

Each verb takes a connection that is in a transaction.
"""

import math
import sqlite3
from collections.abc import Callable, Iterator, Sequence
from datetime import date, datetime
from functools import lru_cache
from itertools import zip_longest
from typing import Any

from slurwright.errors import Fault, StoreError
from slurwright.formats.times import from_text, to_text
from slurwright.horn.learnt.values import ToneReading
from slurwright.horn.owned import FromTake, KeptReading, PlayedTone, Source, Withdrawal
from slurwright.pitch import SoundingPitch, WrittenPitch
from slurwright.store.connect import parsed
from slurwright.store.horns import horn_of_id
from slurwright.store.names import writable
from slurwright.store.withdrawals import READINGS, add_marks, histories, mark

__all__ = [
    "FURTHEST_CENTS",
    "LONGEST_TEXT",
    "add_readings",
    "every_reading",
    "insert_marks",
    "insert_reading",
    "insert_source",
    "list_readings",
    "mark_readings",
    "tone_faults",
]

FURTHEST_CENTS = 1200.0
"""Further out than an octave it is a slip of the hand; ours [cents]."""
LONGEST_TEXT = 1000
"""Most letters of a session's name or a note; ours [characters]."""
_SELECT = (
    "SELECT id, horn_id, added_at, place, sounding, written, fingering, partial, cents, sd_cents, session, played_on,"
    " dynamic, temperature_c, source, note, take_id, asked FROM readings LEFT JOIN take_tones ON reading_id = id"
)
_INSERT = (
    "INSERT INTO readings (id, horn_id, added_at, place, sounding, written, fingering, partial, cents, sd_cents,"
    " session, played_on, dynamic, temperature_c, source, note)"
    " VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)"
)


@lru_cache(maxsize=1024)
def _sounding(name: str) -> SoundingPitch:
    return SoundingPitch.named(name)


def tone_faults(played: PlayedTone, where: str) -> Iterator[Fault]:
    """Say what cannot be true of a reading.

    Args:
        played: the reading.
        where: how to call it in messages.
    """
    tone = played.tone
    if not abs(tone.cents) <= FURTHEST_CENTS:
        yield Fault("cents out of reach", got=f"{tone.cents:g}", allowed=f"±{FURTHEST_CENTS:g}", where=where)
    if not 0 <= tone.sd_cents <= FURTHEST_CENTS:
        yield Fault("an uncertainty out of reach", got=f"{tone.sd_cents:g} cents", allowed="0 or more", where=where)
    if not 1 <= tone.partial <= 64:
        yield Fault("no such partial", got=str(tone.partial), allowed="1 to 64", where=where)
    if not math.isfinite(tone.dynamic) or abs(tone.dynamic) > 10:
        yield Fault("a dynamic out of reach", got=f"{tone.dynamic:g} steps from mf", allowed="±10", where=where)
    if tone.temperature_c is not None and not -40 <= tone.temperature_c <= 60:
        yield Fault("air out of reach", got=f"{tone.temperature_c:g} degC", allowed="-40 to 60", where=where)
    for what, text in (("session", tone.session), ("fingering", tone.fingering)):
        if not text.strip() or len(text) > LONGEST_TEXT or not writable(text):
            yield Fault(f"no {what}", got=repr(text[:40]), allowed=f"1 to {LONGEST_TEXT} letters", where=where)
    for pitch in (tone.sounding, played.written):
        if pitch is not None and abs(pitch.alter) > 2:
            yield Fault("a pitch that cannot be named", got=str(pitch), allowed="at most two signs", where=where)
    if not writable(played.note):
        yield Fault("the note is garbled", got=ascii(played.note[:40]), allowed="Unicode text", where=where)
    if len(played.note) > LONGEST_TEXT:
        yield Fault("the note is too long", got=f"{len(played.note)} letters", allowed=f"{LONGEST_TEXT}", where=where)


def insert_reading(connection: sqlite3.Connection, kept: KeptReading) -> None:
    """Write one reading and its history.

    Args:
        connection: in a transaction.
        kept: the reading; its id is not used yet.
    """
    played, tone = kept.played, kept.played.tone
    connection.execute(
        _INSERT,
        (
            kept.id,
            kept.horn_id,
            to_text(kept.added_at),
            kept.place,
            str(tone.sounding),
            None if played.written is None else str(played.written),
            tone.fingering,
            tone.partial,
            tone.cents,
            tone.sd_cents,
            tone.session,
            played.played_on.isoformat(),
            tone.dynamic,
            tone.temperature_c,
            played.source.value,
            played.note,
        ),
    )
    insert_source(connection, kept)
    insert_marks(connection, kept)


def insert_source(connection: sqlite3.Connection, kept: KeptReading) -> None:
    """Write from which take a reading comes, if it does.

    Args:
        connection: in a transaction.
        kept: the reading; nothing is there yet of where it comes from.
    """
    if kept.take is not None:
        connection.execute(
            "INSERT INTO take_tones (reading_id, take_id, asked) VALUES (?, ?, ?)",
            (kept.id, kept.take.take_id, kept.take.asked),
        )


def insert_marks(connection: sqlite3.Connection, kept: KeptReading) -> None:
    """Write the history that a reading carries, beside what is there of it.

    Args:
        connection: in a transaction.
        kept: the reading; no line of its history is there yet.
    """
    add_marks(connection, READINGS, kept.id, kept.withdrawals)


def add_readings(
    connection: sqlite3.Connection,
    horn_id: str,
    played: Sequence[PlayedTone],
    *,
    now: datetime,
    new_id: Callable[[], str],
    sources: Sequence[FromTake] = (),
) -> tuple[KeptReading, ...]:
    """Add readings to a horn.

    Args:
        connection: in a transaction.
        horn_id: which horn.
        played: the readings, in the player's order.
        now: the time.
        new_id: makes ids.
        sources: which note of a take each is; none where they come from no take.

    Raises:
        StoreError: one or more cannot be true, all faults at once; or the horn is gone or deleted.
    """
    if horn_of_id(connection, horn_id).deleted_at is not None:
        raise StoreError("this horn is deleted", allowed="take the deletion back first")
    faults = [fault for at, one in enumerate(played, start=1) for fault in tone_faults(one, f"reading {at}")]
    if faults:
        raise StoreError(faults=tuple(faults))
    added_at = from_text(to_text(now))
    kept = tuple(
        KeptReading(new_id(), horn_id, one, added_at, place, take=source)
        for place, (one, source) in enumerate(zip_longest(played, sources))
    )
    for one in kept:
        insert_reading(connection, one)
    return kept


def _kept(row: tuple[Any, ...], history: dict[str, tuple[Withdrawal, ...]]) -> KeptReading:
    (
        reading_id, horn_id, added_at, place, sounding, written, fingering, partial, cents, sd_cents, session,
        played_on, dynamic, temperature_c, source, note, take_id, asked,
    ) = row  # fmt: skip
    tone = ToneReading(
        sounding=_sounding(sounding),
        fingering=fingering,
        partial=partial,
        cents=cents,
        session=session,
        dynamic=dynamic,
        temperature_c=temperature_c,
        sd_cents=sd_cents,
    )
    played = PlayedTone(
        tone,
        date.fromisoformat(played_on),
        Source(source),
        None if written is None else WrittenPitch.named(written),
        note,
    )
    take = None if take_id is None else FromTake(take_id, asked)
    return KeptReading(reading_id, horn_id, played, from_text(added_at), place, history.get(reading_id, ()), take)


def list_readings(connection: sqlite3.Connection, horn_id: str, *, withdrawn: bool) -> tuple[KeptReading, ...]:
    """List a horn's readings in the order in which they came.

    Args:
        connection: in a transaction.
        horn_id: which horn.
        withdrawn: the withdrawn ones too, in their places.
    """
    of_horn = "WHERE reading_id IN (SELECT id FROM readings WHERE horn_id = ?)"
    history = histories(connection, READINGS, of_horn, (horn_id,))
    rows = connection.execute(f"{_SELECT} WHERE horn_id = ? ORDER BY added_at, place, id", (horn_id,))
    readings = parsed(rows, lambda row: _kept(row, history))
    return tuple(reading for reading in readings if withdrawn or not reading.withdrawn)


def every_reading(connection: sqlite3.Connection) -> tuple[KeptReading, ...]:
    """List the readings of all horns, withdrawn or not, in the order in which they came."""
    history = histories(connection, READINGS, "", ())
    rows = connection.execute(f"{_SELECT} ORDER BY added_at, place, id")
    return tuple(parsed(rows, lambda row: _kept(row, history)))


def mark_readings(
    connection: sqlite3.Connection, reading_ids: Sequence[str], *, withdrawn: bool, now: datetime
) -> None:
    """Withdraw readings, or restore withdrawn ones; each becomes a line of its history.

    Args:
        connection: in a transaction.
        reading_ids: which.
        withdrawn: True withdraws, False restores.
        now: the time.

    Raises:
        StoreError: one or more do not exist, or are so already; all faults at once and nothing marked.
    """
    mark(connection, READINGS, reading_ids, withdrawn=withdrawn, now=now)
