"""Attempts that were logged by ear: added all or none, listed, withdrawn and restored; never changed.

Each verb takes a connection that is in a transaction.
"""

import sqlite3
from collections.abc import Callable, Mapping, Sequence
from datetime import date, datetime
from functools import lru_cache
from typing import Any

from slurwright.errors import Fault, StoreError
from slurwright.evidence.attempts import Ear, Tried
from slurwright.evidence.kept import EarAttempt, LoggedAttempt, WholeAttempt
from slurwright.formats.times import from_text, to_text
from slurwright.horn.owned import Withdrawal, withdrawn_since
from slurwright.horn.technique import Technique
from slurwright.listen.kept import TakenPart
from slurwright.store.connect import parsed
from slurwright.store.owners import after_the_last, refuse_owner
from slurwright.store.practice_faults import attempt_faults
from slurwright.store.take_rows import WAY_COLUMNS, way_cells, way_from_cells
from slurwright.store.withdrawals import ATTEMPTS, add_marks, histories

__all__ = ["every_attempt", "insert_attempts", "list_attempts", "log_attempts"]

_COLUMNS = (
    *("id", "player_id", "horn_id", "model", "file", "fingerprint", "title", "part_name", "label"),
    *(f"{name}_1" for name in WAY_COLUMNS),
    *(f"{name}_2" for name in WAY_COLUMNS),
    *("technique", "dynamic", "tempo_qpm", "time_s", "hold_s", "heard", "played_on"),
    *("trial_id", "arm", "sheet_id", "made_at", "place"),
)
_SELECT = f"SELECT {', '.join(_COLUMNS)} FROM attempts"  # noqa: S608
_INSERT = f"INSERT INTO attempts ({', '.join(_COLUMNS)}) VALUES ({', '.join('?' * len(_COLUMNS))})"  # noqa: S608
_IN_ORDER = "ORDER BY made_at, place, id"
_STANDS = "NOT EXISTS (SELECT 1 FROM horns WHERE id = horn_id AND horns.deleted_at IS NOT NULL)"
_ONLY = {
    "horn": "horn_id = :horn",
    "trial": "trial_id = :trial",
    "since": "played_on >= :since",
    "until": "played_on <= :until",
}


_TECHNIQUES = {technique.value: technique for technique in Technique}
_EARS = {ear.value: ear for ear in Ear}


@lru_cache(maxsize=4096)
def _part(file: str, fingerprint: str, title: str, part_name: str) -> TakenPart:
    return TakenPart(file, fingerprint, title, part_name)


@lru_cache(maxsize=4096)
def _day(text: str) -> date:
    return date.fromisoformat(text)


@lru_cache(maxsize=4096)
def _time(text: str) -> datetime:
    return from_text(text)


def _cells(kept: LoggedAttempt) -> tuple[Any, ...]:
    about, tried, part = kept.about, kept.about.tried, kept.about.part
    return (
        *(kept.id, about.player_id, about.horn_id, about.model),
        *((None,) * 4 if part is None else (part.file, part.fingerprint, part.title, part.name)),
        *(about.label, *way_cells(tried.ways[0]), *way_cells(tried.ways[1])),
        *(tried.technique.value, tried.dynamic, tried.tempo_qpm, tried.time_s, tried.hold_s),
        *(about.heard.value, about.played_on.isoformat(), about.trial_id, about.arm, about.sheet_id),
        *(to_text(kept.made_at), kept.place),
    )


def _from_row(row: tuple[Any, ...]) -> LoggedAttempt:
    attempt_id, player_id, horn_id, model, file, fingerprint, title, part_name, label = row[:9]
    technique, dynamic, tempo_qpm, time_s, hold_s, heard, played_on = row[19:26]
    trial_id, arm, sheet_id, made_at, place = row[26:]
    ways = way_from_cells(*row[9:14]), way_from_cells(*row[14:19])
    about = EarAttempt(
        player_id=player_id,
        horn_id=horn_id,
        model=model,
        part=None if fingerprint is None else _part(file, fingerprint, title, part_name),
        label=label,
        tried=Tried(ways, _TECHNIQUES.get(technique) or Technique(technique), dynamic, tempo_qpm, time_s, hold_s),
        heard=_EARS.get(heard) or Ear(heard),
        played_on=_day(played_on),
        trial_id=trial_id,
        arm=arm,
        sheet_id=sheet_id,
    )
    return LoggedAttempt(attempt_id, about, _time(made_at), place=place)


def _listed(connection: sqlite3.Connection, where: str, values: Mapping[str, str | None]) -> tuple[WholeAttempt, ...]:
    of_these = f"WHERE attempt_id IN (SELECT id FROM attempts {where})"  # noqa: S608
    history = histories(connection, ATTEMPTS, of_these, values)
    return tuple(
        _with_history(kept, history.get(kept.id, ()))
        for kept in parsed(connection.execute(f"{_SELECT} {where} {_IN_ORDER}", values), _from_row)
    )


def _with_history(kept: LoggedAttempt, history: tuple[Withdrawal, ...]) -> WholeAttempt:
    if not history:
        return WholeAttempt(kept)
    at = withdrawn_since(history)
    return WholeAttempt(LoggedAttempt(kept.id, kept.about, kept.made_at, at, kept.place), history)


def list_attempts(
    connection: sqlite3.Connection,
    player_id: str,
    *,
    horn_id: str | None = None,
    trial_id: str | None = None,
    since: date | None = None,
    until: date | None = None,
    withdrawn: bool = False,
) -> tuple[LoggedAttempt, ...]:
    """List a player's attempts in the order in which they were logged; those on deleted horns are hidden with them.

    Args:
        connection: in a transaction.
        player_id: whose.
        horn_id: on which horn; None for all.
        trial_id: of which trial; None for all.
        since: first day on which they were played; None for no first.
        until: last day; None for no last.
        withdrawn: the withdrawn ones too, in their places.
    """
    wanted = {
        "player": player_id,
        "horn": horn_id,
        "trial": trial_id,
        "since": None if since is None else since.isoformat(),
        "until": None if until is None else until.isoformat(),
    }
    only = [_ONLY[name] for name, value in wanted.items() if name in _ONLY and value is not None]
    found = _listed(connection, f"WHERE {' AND '.join(['player_id = :player', _STANDS, *only])}", wanted)
    return tuple(whole.attempt for whole in found if withdrawn or whole.attempt.withdrawn_at is None)


def every_attempt(connection: sqlite3.Connection) -> tuple[WholeAttempt, ...]:
    """List the attempts of all players, withdrawn or not, in the order in which they were logged."""
    return _listed(connection, "", {})


def insert_attempts(connection: sqlite3.Connection, attempts: Sequence[WholeAttempt]) -> None:
    """Write attempts and their histories.

    Args:
        connection: in a transaction.
        attempts: without faults; their ids are not used yet.
    """
    connection.executemany(_INSERT, (_cells(whole.attempt) for whole in attempts))
    for whole in attempts:
        if whole.withdrawals:
            add_marks(connection, ATTEMPTS, whole.attempt.id, whole.withdrawals)


def log_attempts(
    connection: sqlite3.Connection,
    attempts: Sequence[EarAttempt],
    *,
    now: datetime,
    new_id: Callable[[], str],
) -> tuple[LoggedAttempt, ...]:
    """Log attempts, all of them or none.

    Args:
        connection: in a transaction.
        attempts: in the player's order.
        now: the time.
        new_id: makes ids.

    Raises:
        StoreError: an owner, trial or sheet does not stand, or something cannot be true; all faults at once.
    """
    for player_id, horn_id in dict.fromkeys((about.player_id, about.horn_id) for about in attempts):
        refuse_owner(connection, player_id, horn_id)
    faults = []
    for at, about in enumerate(attempts, start=1):
        where = f"attempt {at}"
        faults += [*attempt_faults(about, where), *_foreign(connection, about, where)]
    if faults:
        raise StoreError(faults=tuple(faults))
    made_at = {
        player_id: after_the_last(connection, "attempts", player_id, now=now)
        for player_id in dict.fromkeys(about.player_id for about in attempts)
    }
    logged = tuple(
        LoggedAttempt(new_id(), about, made_at[about.player_id], place=place) for place, about in enumerate(attempts)
    )
    insert_attempts(connection, [WholeAttempt(kept) for kept in logged])
    return logged


def _foreign(connection: sqlite3.Connection, about: EarAttempt, where: str) -> list[Fault]:
    """Say which of the trial and the sheet that asked for an attempt cannot have done so."""
    faults = []
    for table, what, row_id in (("trials", "trial", about.trial_id), ("sheets", "sheet", about.sheet_id)):
        if row_id is None:
            continue
        row = connection.execute(
            f"SELECT player_id, horn_id, deleted_at FROM {table} WHERE id = ?",  # noqa: S608
            (row_id,),
        ).fetchone()
        if row is None:
            faults.append(Fault(f"there is no such {what}", got=row_id, where=where))
        elif row[:2] != (about.player_id, about.horn_id):
            faults.append(Fault(f"the {what} is of another player or horn", got=row_id, where=where))
        elif row[2] is not None:
            faults.append(
                Fault(f"the {what} is deleted", got=row_id, allowed="take the deletion back first", where=where)
            )
    return faults
