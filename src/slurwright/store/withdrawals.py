"""Histories of what is never changed but can be withdrawn: each change is a line of its own."""

import sqlite3
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from slurwright.errors import Fault, StoreError
from slurwright.formats.times import from_text, to_text
from slurwright.horn.owned import Withdrawal
from slurwright.store.connect import parsed

__all__ = ["ATTEMPTS", "READINGS", "Withdrawable", "add_marks", "histories", "mark", "new_marks"]


@dataclass(frozen=True, slots=True)
class Withdrawable:
    """Rows that can be withdrawn, and where their histories stand."""

    rows: str
    """Their table."""
    made: str
    """The column that says when a row was added."""
    marks: str
    """The table of their histories."""
    key: str
    """The column in it that names the row."""
    what: str
    """How to call one of them in messages."""


READINGS = Withdrawable("readings", "added_at", "withdrawals", "reading_id", "reading")
ATTEMPTS = Withdrawable("attempts", "made_at", "attempt_withdrawals", "attempt_id", "attempt")


def histories(
    connection: sqlite3.Connection, of: Withdrawable, where: str, values: Sequence[str] | Mapping[str, str | None]
) -> dict[str, tuple[Withdrawal, ...]]:
    """Give histories by the id of what they are of, in order of time; what has none is left out.

    Args:
        connection: in a transaction.
        of: what they are of.
        where: condition on the table of histories, "" for all.
        values: that it asks for.
    """
    found: dict[str, tuple[Withdrawal, ...]] = {}
    rows = connection.execute(
        f"SELECT {of.key}, at, withdrawn FROM {of.marks} {where} ORDER BY {of.key}, at",  # noqa: S608
        values,
    )
    for row_id, line in parsed(rows, lambda row: (row[0], Withdrawal(from_text(row[1]), bool(row[2])))):
        found[row_id] = (*found.get(row_id, ()), line)
    return found


def add_marks(connection: sqlite3.Connection, of: Withdrawable, row_id: str, marks: Iterable[Withdrawal]) -> None:
    """Write lines of a history beside those that are there.

    Args:
        connection: in a transaction.
        of: what it is of.
        row_id: which.
        marks: none of them is there yet.
    """
    connection.executemany(
        f"INSERT INTO {of.marks} ({of.key}, at, withdrawn) VALUES (?, ?, ?)",  # noqa: S608
        [(row_id, to_text(line.at), line.withdrawn) for line in marks],
    )


def new_marks(known: Sequence[Withdrawal], come: Sequence[Withdrawal]) -> tuple[Withdrawal, ...] | None:
    """Give the lines of a history that come and are not known; None where the two contradict each other.

    Args:
        known: the history here.
        come: the history elsewhere.
    """
    states = {line.at: line.withdrawn for line in known}
    if any(states.get(line.at, line.withdrawn) is not line.withdrawn for line in come):
        return None
    return tuple(line for line in come if line.at not in states)


def mark(
    connection: sqlite3.Connection, of: Withdrawable, ids: Sequence[str], *, withdrawn: bool, now: datetime
) -> None:
    """Withdraw rows, or restore withdrawn ones; each becomes a line of its history.

    Args:
        connection: in a transaction.
        of: what they are.
        ids: which.
        withdrawn: True withdraws, False restores.
        now: the time.

    Raises:
        StoreError: one or more do not exist, or are so already; all faults at once and nothing marked.
    """
    faults = []
    for row_id in dict.fromkeys(ids):
        row = connection.execute(f"SELECT id, {of.made} FROM {of.rows} WHERE id = ?", (row_id,)).fetchone()  # noqa: S608
        if row is None:
            faults.append(Fault(f"there is no such {of.what}", got=row_id))
            continue
        history = histories(connection, of, f"WHERE {of.key} = ?", (row_id,)).get(row_id, ())
        if (bool(history) and history[-1].withdrawn) is withdrawn:
            state = "withdrawn already" if withdrawn else "not withdrawn"
            faults.append(Fault(f"this {of.what} is {state}", got=row_id))
            continue
        (made_at,) = parsed([row], lambda cells: from_text(cells[1]))
        # The clock may have gone back; the order of what happened must not.
        at = max(now, made_at, *(line.at + timedelta(microseconds=1) for line in history))
        add_marks(connection, of, row_id, [Withdrawal(at, withdrawn)])
    if faults:
        raise StoreError(faults=tuple(faults))
