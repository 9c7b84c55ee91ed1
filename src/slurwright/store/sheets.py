"""Practice sheets: kept, found, ticked off item by item, deleted and taken back.

Each verb takes a connection that is in a transaction. Every word on an item is kept; the last one counts.
"""

import sqlite3
from collections.abc import Iterable, Sequence
from dataclasses import replace
from datetime import date, datetime, timedelta
from typing import Any

from slurwright.errors import Fault, StoreError
from slurwright.evidence.kept import KeptSheet, SheetAbout, SheetTick, TickState, WholeSheet
from slurwright.formats.times import from_text, to_text
from slurwright.store.beginnings import BEGINS, the_one
from slurwright.store.connect import parsed
from slurwright.store.documents import packed, unpacked
from slurwright.store.owners import after_the_last, refuse_owner
from slurwright.store.practice_faults import MOST_ITEMS, document_faults
from slurwright.store.takes import later_than

__all__ = [
    "add_sheet",
    "delete_sheet",
    "every_sheet",
    "list_sheets",
    "put_sheets",
    "put_ticks",
    "refuse_done",
    "sheet_beginning",
    "sheet_of_id",
    "tick_sheet",
    "ticks_of",
    "undelete_sheet",
]

_COLUMNS = (
    *("id", "player_id", "horn_id", "model", "day", "schema", "document"),
    *("made_at", "changed_at", "deleted_at"),
)
_SELECT = f"SELECT {', '.join(_COLUMNS)} FROM sheets"  # noqa: S608
_PUT = f"""
    INSERT INTO sheets ({", ".join(_COLUMNS)}) VALUES ({", ".join("?" * len(_COLUMNS))}) ON CONFLICT (id) DO UPDATE
    SET changed_at = excluded.changed_at, deleted_at = excluded.deleted_at
"""  # noqa: S608
_STANDS = (
    "deleted_at IS NULL AND NOT EXISTS (SELECT 1 FROM horns WHERE id = horn_id AND horns.deleted_at IS NOT NULL)"
)
_TICKS = "SELECT sheet_id, item, state, at FROM sheet_ticks"


def _from_row(row: tuple[Any, ...]) -> KeptSheet:
    sheet_id, player_id, horn_id, model, day, schema, document, made_at, changed_at, deleted_at = row
    return KeptSheet(
        sheet_id,
        SheetAbout(player_id, horn_id, model, date.fromisoformat(day), unpacked(document), schema),
        from_text(made_at),
        from_text(changed_at),
        None if deleted_at is None else from_text(deleted_at),
    )


def _cells(sheet: KeptSheet) -> tuple[Any, ...]:
    about = sheet.about
    return (
        *(sheet.id, about.player_id, about.horn_id, about.model, about.day.isoformat()),
        *(about.schema, packed(about.document_json), to_text(sheet.made_at), to_text(sheet.changed_at)),
        None if sheet.deleted_at is None else to_text(sheet.deleted_at),
    )


def put_sheets(connection: sqlite3.Connection, sheets: Iterable[KeptSheet]) -> None:
    """Write sheets as they are: new ones, and what may change of known ones in place of what is there.

    Args:
        connection: in a transaction.
        sheets: no two of them with one id.
    """
    connection.executemany(_PUT, map(_cells, sheets))


def sheet_of_id(connection: sqlite3.Connection, sheet_id: str) -> KeptSheet:
    """Find a sheet, deleted or not, by id.

    Raises:
        StoreError: there is none.
    """
    row = connection.execute(f"{_SELECT} WHERE id = ?", (sheet_id,)).fetchone()
    if row is None:
        raise StoreError("there is no such sheet any more", got=sheet_id)
    (found,) = parsed([row], _from_row)
    return found


def sheet_beginning(connection: sqlite3.Connection, beginning: str, *, deleted: bool = False) -> KeptSheet:
    """Find the sheet whose id begins so.

    Args:
        connection: in a transaction.
        beginning: of its id, one sign or more; the whole id is always enough.
        deleted: among those that were deleted, in place of those that stand.

    Raises:
        StoreError: none begins so, or several do.
    """
    rows = connection.execute(f"{_SELECT} WHERE {BEGINS}", (len(beginning), beginning, deleted))
    return the_one(list(parsed(rows, _from_row)), beginning, what="deleted sheet" if deleted else "sheet")


def list_sheets(
    connection: sqlite3.Connection,
    player_id: str,
    *,
    since: date | None = None,
    until: date | None = None,
    deleted: bool = False,
) -> tuple[KeptSheet, ...]:
    """List a player's sheets by their days, then as they were made; those of deleted horns are hidden with them.

    Args:
        connection: in a transaction.
        player_id: whose.
        since: first day that they are for; None for no first.
        until: last day; None for no last.
        deleted: those that were deleted, in place of those that stand.
    """
    rows = connection.execute(
        f"{_SELECT} WHERE player_id = :player AND {'deleted_at IS NOT NULL' if deleted else _STANDS}"
        " AND (:since IS NULL OR day >= :since) AND (:until IS NULL OR day <= :until) ORDER BY day, made_at, id",
        {
            "player": player_id,
            "since": None if since is None else since.isoformat(),
            "until": None if until is None else until.isoformat(),
        },
    )
    return tuple(parsed(rows, _from_row))


def every_sheet(connection: sqlite3.Connection) -> tuple[WholeSheet, ...]:
    """List all sheets of all players with every word on their items, in the order in which they were made."""
    ticks: dict[str, list[SheetTick]] = {}
    for tick in parsed(connection.execute(f"{_TICKS} ORDER BY at, item"), _tick_from_row):
        ticks.setdefault(tick.sheet_id, []).append(tick)
    sheets = parsed(connection.execute(f"{_SELECT} ORDER BY made_at, id"), _from_row)
    return tuple(WholeSheet(sheet, tuple(ticks.get(sheet.id, ()))) for sheet in sheets)


def add_sheet(connection: sqlite3.Connection, sheet_id: str, about: SheetAbout, *, now: datetime) -> KeptSheet:
    """Keep a sheet.

    Args:
        connection: in a transaction.
        sheet_id: an id that is not used.
        about: as it is made.
        now: the time.

    Raises:
        StoreError: its owner does not stand, or something cannot be true; all faults at once.
    """
    refuse_owner(connection, about.player_id, about.horn_id)
    faults = tuple(document_faults(about, "the sheet"))
    if faults:
        raise StoreError(faults=faults)
    at = after_the_last(connection, "sheets", about.player_id, now=now)
    put_sheets(connection, [KeptSheet(sheet_id, about, at, at)])
    return sheet_of_id(connection, sheet_id)


def delete_sheet(connection: sqlite3.Connection, sheet_id: str, *, now: datetime) -> KeptSheet:
    """Hide a sheet until it is taken back; attempts that were logged with it stay.

    Args:
        connection: in a transaction.
        sheet_id: which.
        now: the time.

    Raises:
        StoreError: there is no such sheet, or it is deleted already.
    """
    sheet = sheet_of_id(connection, sheet_id)
    if sheet.deleted_at is not None:
        raise StoreError("this sheet is deleted already", got=sheet_id)
    at = later_than(sheet, now)
    put_sheets(connection, [replace(sheet, changed_at=at, deleted_at=at)])
    return sheet_of_id(connection, sheet_id)


def undelete_sheet(connection: sqlite3.Connection, sheet_id: str, *, now: datetime) -> KeptSheet:
    """Take the deletion of a sheet back.

    Args:
        connection: in a transaction.
        sheet_id: which.
        now: the time.

    Raises:
        StoreError: there is no such sheet, or it is not deleted.
    """
    sheet = sheet_of_id(connection, sheet_id)
    if sheet.deleted_at is None:
        raise StoreError("this sheet is not deleted", got=sheet_id)
    put_sheets(connection, [replace(sheet, changed_at=later_than(sheet, now), deleted_at=None)])
    return sheet_of_id(connection, sheet_id)


def _tick_from_row(row: tuple[str, int, str, str]) -> SheetTick:
    sheet_id, item, state, at = row
    return SheetTick(sheet_id, item, TickState(state), from_text(at))


def put_ticks(connection: sqlite3.Connection, ticks: Iterable[SheetTick]) -> None:
    """Write words on items beside those that are there.

    Args:
        connection: in a transaction.
        ticks: none of them is there yet.
    """
    connection.executemany(
        "INSERT INTO sheet_ticks (sheet_id, item, at, state) VALUES (?, ?, ?, ?)",
        [(tick.sheet_id, tick.item, to_text(tick.at), tick.state.value) for tick in ticks],
    )


def tick_sheet(
    connection: sqlite3.Connection, sheet_id: str, ticks: Sequence[tuple[int, TickState]], *, now: datetime
) -> tuple[SheetTick, ...]:
    """Say what became of items of a sheet, all of it or none; of an item that is named twice the last word counts.

    Args:
        connection: in a transaction.
        sheet_id: which.
        ticks: index of the item, and what became of it.
        now: the time.

    Returns:
        What was written, in order of items.

    Raises:
        StoreError: there is no such sheet or item, or the sheet is deleted.
    """
    sheet = sheet_of_id(connection, sheet_id)
    if sheet.deleted_at is not None:
        raise StoreError("this sheet is deleted", got=sheet_id, allowed="take the deletion back first")
    faults = tuple(
        Fault("no such item", got=str(item), allowed=f"0 to {MOST_ITEMS - 1}", where=f"sheet {sheet_id}")
        for item, _ in ticks
        if not 0 <= item < MOST_ITEMS
    )
    if faults:
        raise StoreError(faults=faults)
    (last,) = connection.execute("SELECT max(at) FROM sheet_ticks WHERE sheet_id = ?", (sheet_id,)).fetchone()
    # After the last word on this sheet, also where the clock went back.
    at = max(now, sheet.made_at)
    if last is not None:
        (last_at,) = parsed([(sheet_id, last)], lambda row: from_text(row[1]))
        at = max(at, last_at + timedelta(microseconds=1))
    at = from_text(to_text(at))
    written = tuple(SheetTick(sheet_id, item, state, at) for item, state in sorted(dict(ticks).items()))
    put_ticks(connection, written)
    return written


def refuse_done(connection: sqlite3.Connection, sheet_id: str, item: int) -> None:
    """Refuse an item of a sheet that is done already.

    Args:
        connection: in a transaction.
        sheet_id: which sheet.
        item: index of the item [1].

    Raises:
        StoreError: it is done.
    """
    if any(tick.item == item and tick.state is TickState.DONE for tick in ticks_of(connection, sheet_id)):
        raise StoreError("this item was ticked just now, by another program", where=f"sheet {sheet_id}")


def ticks_of(connection: sqlite3.Connection, sheet_id: str) -> tuple[SheetTick, ...]:
    """Give the last word on each item of a sheet that was spoken of, in order of items.

    Args:
        connection: in a transaction.
        sheet_id: which.
    """
    rows = connection.execute(f"{_TICKS} WHERE sheet_id = ? ORDER BY item, at", (sheet_id,))
    last = {tick.item: tick for tick in parsed(rows, _tick_from_row)}
    return tuple(last.values())
