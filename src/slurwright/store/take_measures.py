"""What was measured in takes: kept beside its take, given back, and looked through over many takes.

Each verb takes a connection that is in a transaction.
"""

import sqlite3
from collections.abc import Iterator, Mapping
from dataclasses import replace
from datetime import date, datetime
from functools import lru_cache
from typing import Any

from slurwright.errors import DamagedStoreError, StoreError
from slurwright.listen.kept import (
    KeptMeasures,
    KeptNote,
    KeptSlur,
    KeptTake,
    PlayedSlur,
    TakenNote,
    TakeState,
    WholeTake,
)
from slurwright.pitch import SoundingPitch
from slurwright.store.connect import parsed
from slurwright.store.documents import packed, unpacked
from slurwright.store.take_faults import LONGEST_WORDS, measures_faults
from slurwright.store.take_rows import (
    NOTE_COLUMNS,
    SLUR_COLUMNS,
    insert_notes,
    insert_slurs,
    note_from_cells,
    slur_from_cells,
)
from slurwright.store.takes import change_take, every_take, take_of_id

__all__ = [
    "every_whole_take",
    "fail_take",
    "keep_measures",
    "list_slurs",
    "measures_of",
    "put_measures",
    "whole_take",
]

_NOTES = f"SELECT take_id, {', '.join(NOTE_COLUMNS)} FROM take_notes WHERE take_id = ? ORDER BY place"  # noqa: S608
_SLURS = f"SELECT take_id, {', '.join(SLUR_COLUMNS)} FROM take_slurs WHERE take_id = ? ORDER BY place"  # noqa: S608
_ALL = """
    SELECT takes.id, takes.horn_id, takes.played_on, {columns} FROM takes JOIN {table} ON takes.id = {table}.take_id
    WHERE takes.player_id = :player AND takes.deleted_at IS NULL
    AND NOT EXISTS (SELECT 1 FROM horns WHERE id = takes.horn_id AND horns.deleted_at IS NOT NULL)
"""
# By what sounded and by what was asked: a note that never came names the one before it as what sounded.
_LEVEL = """
    (SELECT level_db FROM take_notes WHERE take_notes.take_id = takes.id
    AND take_notes.played = take_slurs.played_{one} AND take_notes.asked = take_slurs.asked_{one})
"""
_LEVELS = tuple(_LEVEL.format(one=one) for one in (1, 2))
_ALL_SLURS = _ALL.format(
    table="take_slurs", columns=", ".join((*_LEVELS, *(f"take_slurs.{name}" for name in SLUR_COLUMNS)))
)
_ALL_NOTES = _ALL.format(table="take_notes", columns=", ".join(f"take_notes.{name}" for name in NOTE_COLUMNS))
_ONLY = {
    "horn": "AND takes.horn_id = :horn",
    "since": "AND takes.played_on >= :since",
    "until": "AND takes.played_on <= :until",
    "midi_1": "AND take_slurs.midi_1 = :midi_1",
    "midi_2": "AND take_slurs.midi_2 = :midi_2",
    "partial_1": "AND take_slurs.partial_1 = :partial_1",
    "partial_2": "AND take_slurs.partial_2 = :partial_2",
    "technique": "AND take_slurs.technique = :technique",
    "midi": "AND take_notes.midi = :midi",
}
_IN_ORDER = "ORDER BY takes.played_on, takes.made_at, takes.id, place"
_WITH_TAKE = 3
"""How many cells stand before those of the note."""
_WITH_LEVELS = 5
"""How many stand before those of the slur."""


def put_measures(connection: sqlite3.Connection, take_id: str, measures: KeptMeasures) -> None:
    """Write the measures of a take in place of any that are there.

    Args:
        connection: in a transaction.
        take_id: of the take.
        measures: without faults.
    """
    for table in ("take_documents", "take_notes", "take_slurs"):
        connection.execute(f"DELETE FROM {table} WHERE take_id = ?", (take_id,))  # noqa: S608
    document = packed(measures.measures_json)
    connection.execute(
        "INSERT INTO take_documents (take_id, schema, document) VALUES (?, ?, ?)",
        (take_id, measures.schema, document),
    )
    insert_notes(connection, take_id, measures.notes)
    insert_slurs(connection, take_id, measures.slurs)


def keep_measures(connection: sqlite3.Connection, take_id: str, measures: KeptMeasures, *, now: datetime) -> KeptTake:
    """Keep what was measured in a take, in place of what was measured before; gives its sound up if it is not wanted.

    Args:
        connection: in a transaction.
        take_id: of the take.
        measures: what was measured.
        now: the time.

    Raises:
        StoreError: the take is gone or deleted, or the measures have faults; all faults at once.
    """
    take = _standing(connection, take_id)
    faults = tuple(measures_faults(measures, f"take {take_id}"))
    if faults:
        raise StoreError(faults=faults)
    put_measures(connection, take_id, measures)
    kept = replace(
        take,
        state=TakeState.MEASURED,
        failure="",
        method=measures.method,
        length_s=measures.length_s,
        sound=take.sound if take.about.keeps_sound else None,
    )
    return change_take(connection, kept, now=now)


def fail_take(connection: sqlite3.Connection, take_id: str, words: str, *, now: datetime) -> KeptTake:
    """Note why a take could not be measured.

    Args:
        connection: in a transaction.
        take_id: of the take.
        words: why; more than can be kept is cut off.
        now: the time.

    Raises:
        StoreError: the take is gone or deleted, or it is measured already.
    """
    take = _standing(connection, take_id)
    if take.state is TakeState.MEASURED:
        raise StoreError("this take is measured already; its figures stand", got=take_id)
    why = words.encode(errors="replace").decode()[:LONGEST_WORDS].strip() or "it is not known why"
    return change_take(connection, replace(take, state=TakeState.FAILED, failure=why), now=now)


def _standing(connection: sqlite3.Connection, take_id: str) -> KeptTake:
    take = take_of_id(connection, take_id)
    if take.deleted_at is not None:
        raise StoreError("this take is deleted", got=take_id, allowed="take the deletion back first")
    return take


def measures_of(connection: sqlite3.Connection, take_id: str) -> KeptMeasures:
    """Give what was measured in a take.

    Args:
        connection: in a transaction.
        take_id: of the take.

    Raises:
        StoreError: there is no such take, or it is not measured.
    """
    whole = whole_take(connection, take_of_id(connection, take_id))
    if whole.measures is None:
        raise StoreError("this take is not measured", got=whole.take.state.value, where=f"take {take_id}")
    return whole.measures


def whole_take(connection: sqlite3.Connection, take: KeptTake) -> WholeTake:
    """Put a take and its measures together.

    Args:
        connection: in a transaction.
        take: as it is.
    """
    if take.length_s is None:
        return WholeTake(take, None)
    row = connection.execute(
        "SELECT take_id, schema, document FROM take_documents WHERE take_id = ?", (take.id,)
    ).fetchone()
    if row is None:
        raise DamagedStoreError("the store is damaged: a take has lost its measures", where=f"take {take.id}")
    ((schema, document),) = parsed([row], _document)
    measures = KeptMeasures(
        notes=tuple(parsed(connection.execute(_NOTES, (take.id,)), _note)),
        slurs=tuple(parsed(connection.execute(_SLURS, (take.id,)), _slur)),
        length_s=take.length_s,
        method=take.method,
        measures_json=document,
        schema=schema,
    )
    return WholeTake(take, measures)


def _document(row: tuple[str, int, bytes]) -> tuple[int, str]:
    return row[1], unpacked(row[2])


def _note(row: tuple[Any, ...]) -> KeptNote:
    return note_from_cells(row[1:])


def _slur(row: tuple[Any, ...]) -> KeptSlur:
    return slur_from_cells(row[1:])


def every_whole_take(connection: sqlite3.Connection) -> tuple[WholeTake, ...]:
    """Give all takes of all players with their measures, in the order in which they were received."""
    return tuple(whole_take(connection, take) for take in every_take(connection))


def list_slurs(
    connection: sqlite3.Connection,
    player_id: str,
    *,
    horn_id: str | None = None,
    pair: tuple[SoundingPitch, SoundingPitch] | None = None,
    partials: tuple[int, int] | None = None,
    technique: str | None = None,
    since: date | None = None,
    until: date | None = None,
) -> Iterator[PlayedSlur]:
    """Go through the measured slurs of all takes that stand, in the order in which they were played.

    Args:
        connection: in a transaction, until the last one is taken.
        player_id: whose.
        horn_id: on which horn; None for all.
        pair: from which sounding pitch to which, however they are spelled; None for all.
        partials: from which partial to which; None for all [1].
        technique: which was tried; None for all.
        since: first day; None for no first.
        until: last day; None for no last.
    """
    rows = _all(
        connection,
        _ALL_SLURS,
        {
            "player": player_id,
            "horn": horn_id,
            "since": None if since is None else since.isoformat(),
            "until": None if until is None else until.isoformat(),
            "midi_1": None if pair is None else pair[0].midi,
            "midi_2": None if pair is None else pair[1].midi,
            "partial_1": None if partials is None else partials[0],
            "partial_2": None if partials is None else partials[1],
            "technique": technique,
        },
    )
    return parsed(rows, _played_slur)


def list_notes(
    connection: sqlite3.Connection,
    player_id: str,
    *,
    horn_id: str | None = None,
    sounding: SoundingPitch | None = None,
    since: date | None = None,
    until: date | None = None,
) -> Iterator[TakenNote]:
    """Go through the measured notes of all takes that stand, in the order in which they were played.

    Args:
        connection: in a transaction, until the last one is taken.
        player_id: whose.
        horn_id: on which horn; None for all.
        sounding: which was asked for, however it is spelled; None for all.
        since: first day; None for no first.
        until: last day; None for no last.
    """
    rows = _all(
        connection,
        _ALL_NOTES,
        {
            "player": player_id,
            "horn": horn_id,
            "since": None if since is None else since.isoformat(),
            "until": None if until is None else until.isoformat(),
            "midi": None if sounding is None else sounding.midi,
        },
    )
    return parsed(rows, _taken_note)


def _all(connection: sqlite3.Connection, select: str, wanted: Mapping[str, str | int | None]) -> sqlite3.Cursor:
    only = " ".join(_ONLY[name] for name, value in wanted.items() if name in _ONLY and value is not None)
    return connection.execute(f"{select} {only} {_IN_ORDER}", wanted)


@lru_cache(maxsize=4096)
def _day(text: str) -> date:
    return date.fromisoformat(text)


def _taken_note(row: tuple[Any, ...]) -> TakenNote:
    take_id, horn_id, played_on = row[:_WITH_TAKE]
    return TakenNote(take_id, horn_id, _day(played_on), note_from_cells(row[_WITH_TAKE:]))


def _played_slur(row: tuple[Any, ...]) -> PlayedSlur:
    take_id, horn_id, played_on, first_db, second_db = row[:_WITH_LEVELS]
    levels_db = None if first_db is None or second_db is None else (first_db, second_db)
    slur = slur_from_cells(row[_WITH_LEVELS:])
    return PlayedSlur(take_id, horn_id, _day(played_on), slur, levels_db)
