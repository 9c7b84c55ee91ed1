"""Trials: begun, found, ended and taken up again, deleted and taken back; and the takes that hold their blocks.

Each verb takes a connection that is in a transaction. What happens to a trial changes neither attempts nor takes:
they stay what the player did.
"""

import sqlite3
from collections.abc import Iterable
from dataclasses import replace
from datetime import datetime
from typing import Any

from slurwright.errors import StoreError
from slurwright.evidence.kept import KeptTrial, TrialAbout, TrialTake, WholeTrial
from slurwright.formats.times import from_text, to_text
from slurwright.store.beginnings import BEGINS, the_one
from slurwright.store.connect import parsed
from slurwright.store.documents import packed, unpacked
from slurwright.store.owners import refuse_owner
from slurwright.store.practice_faults import MOST_ITEMS, document_faults
from slurwright.store.takes import later_than, take_of_id

__all__ = [
    "add_trial",
    "add_trial_take",
    "delete_trial",
    "end_trial",
    "every_trial",
    "list_trial_takes",
    "list_trials",
    "put_trial_takes",
    "put_trials",
    "reopen_trial",
    "trial_beginning",
    "trial_of_id",
    "undelete_trial",
]

_COLUMNS = (
    *("id", "player_id", "horn_id", "model", "schema", "document"),
    *("made_at", "changed_at", "ended_at", "deleted_at"),
)
_SELECT = f"SELECT {', '.join(_COLUMNS)} FROM trials"  # noqa: S608
_PUT = f"""
    INSERT INTO trials ({", ".join(_COLUMNS)}) VALUES ({", ".join("?" * len(_COLUMNS))}) ON CONFLICT (id) DO UPDATE
    SET changed_at = excluded.changed_at, ended_at = excluded.ended_at, deleted_at = excluded.deleted_at
"""  # noqa: S608
_STANDS = (
    "deleted_at IS NULL AND NOT EXISTS (SELECT 1 FROM horns WHERE id = horn_id AND horns.deleted_at IS NOT NULL)"
)
_TAKES = "SELECT take_id, trial_id, block FROM trial_takes"
_TAKES_THAT_STAND = f"""
    {_TAKES} JOIN takes ON takes.id = take_id WHERE trial_id = ? AND takes.deleted_at IS NULL
    AND NOT EXISTS (SELECT 1 FROM horns WHERE id = takes.horn_id AND horns.deleted_at IS NOT NULL)
    ORDER BY block, takes.made_at, take_id
"""  # noqa: S608


def _from_row(row: tuple[Any, ...]) -> KeptTrial:
    trial_id, player_id, horn_id, model, schema, document, made_at, changed_at, ended_at, deleted_at = row
    return KeptTrial(
        trial_id,
        TrialAbout(player_id, horn_id, model, unpacked(document), schema),
        from_text(made_at),
        from_text(changed_at),
        None if ended_at is None else from_text(ended_at),
        None if deleted_at is None else from_text(deleted_at),
    )


def _cells(trial: KeptTrial) -> tuple[Any, ...]:
    about = trial.about
    return (
        *(trial.id, about.player_id, about.horn_id, about.model, about.schema, packed(about.document_json)),
        *(to_text(trial.made_at), to_text(trial.changed_at)),
        None if trial.ended_at is None else to_text(trial.ended_at),
        None if trial.deleted_at is None else to_text(trial.deleted_at),
    )


def put_trials(connection: sqlite3.Connection, trials: Iterable[KeptTrial]) -> None:
    """Write trials as they are: new ones, and what may change of known ones in place of what is there.

    Args:
        connection: in a transaction.
        trials: no two of them with one id.
    """
    connection.executemany(_PUT, map(_cells, trials))


def trial_of_id(connection: sqlite3.Connection, trial_id: str) -> KeptTrial:
    """Find a trial, deleted or not, by id.

    Raises:
        StoreError: there is none.
    """
    row = connection.execute(f"{_SELECT} WHERE id = ?", (trial_id,)).fetchone()
    if row is None:
        raise StoreError("there is no such trial any more", got=trial_id)
    (found,) = parsed([row], _from_row)
    return found


def trial_beginning(connection: sqlite3.Connection, beginning: str, *, deleted: bool = False) -> KeptTrial:
    """Find the trial whose id begins so.

    Args:
        connection: in a transaction.
        beginning: of its id, one sign or more; the whole id is always enough.
        deleted: among those that were deleted, in place of those that stand.

    Raises:
        StoreError: none begins so, or several do.
    """
    rows = connection.execute(f"{_SELECT} WHERE {BEGINS}", (len(beginning), beginning, deleted))
    return the_one(list(parsed(rows, _from_row)), beginning, what="deleted trial" if deleted else "trial")


def list_trials(connection: sqlite3.Connection, player_id: str, *, deleted: bool = False) -> tuple[KeptTrial, ...]:
    """List a player's trials in the order in which they were begun; those on deleted horns are hidden with them.

    Args:
        connection: in a transaction.
        player_id: whose.
        deleted: those that were deleted, in place of those that stand.
    """
    only = "deleted_at IS NOT NULL" if deleted else _STANDS
    rows = connection.execute(f"{_SELECT} WHERE player_id = ? AND {only} ORDER BY made_at, id", (player_id,))
    return tuple(parsed(rows, _from_row))


def every_trial(connection: sqlite3.Connection) -> tuple[WholeTrial, ...]:
    """List all trials of all players with all their takes, in the order in which they were begun."""
    takes: dict[str, list[TrialTake]] = {}
    for take in parsed(connection.execute(f"{_TAKES} ORDER BY block, take_id"), _take_from_row):
        takes.setdefault(take.trial_id, []).append(take)
    trials = parsed(connection.execute(f"{_SELECT} ORDER BY made_at, id"), _from_row)
    return tuple(WholeTrial(trial, tuple(takes.get(trial.id, ()))) for trial in trials)


def add_trial(connection: sqlite3.Connection, trial_id: str, about: TrialAbout, *, now: datetime) -> KeptTrial:
    """Begin a trial.

    Args:
        connection: in a transaction.
        trial_id: an id that is not used.
        about: as it starts.
        now: the time.

    Raises:
        StoreError: its owner does not stand, or something cannot be true; all faults at once.
    """
    refuse_owner(connection, about.player_id, about.horn_id)
    faults = tuple(document_faults(about, "the trial"))
    if faults:
        raise StoreError(faults=faults)
    put_trials(connection, [KeptTrial(trial_id, about, now, now)])
    return trial_of_id(connection, trial_id)


def _changed(connection: sqlite3.Connection, trial: KeptTrial, *, now: datetime) -> KeptTrial:
    put_trials(connection, [replace(trial, changed_at=later_than(trial, now))])
    return trial_of_id(connection, trial.id)


def _standing(connection: sqlite3.Connection, trial_id: str) -> KeptTrial:
    trial = trial_of_id(connection, trial_id)
    if trial.deleted_at is not None:
        raise StoreError("this trial is deleted", got=trial_id, allowed="take the deletion back first")
    return trial


def end_trial(connection: sqlite3.Connection, trial_id: str, *, now: datetime) -> KeptTrial:
    """Say that a trial is over.

    Args:
        connection: in a transaction.
        trial_id: which.
        now: the time.

    Raises:
        StoreError: there is no such trial, it is deleted, or it is over already.
    """
    trial = _standing(connection, trial_id)
    if trial.ended_at is not None:
        raise StoreError("this trial is over already", got=trial_id)
    return _changed(connection, replace(trial, ended_at=later_than(trial, now)), now=now)


def reopen_trial(connection: sqlite3.Connection, trial_id: str, *, now: datetime) -> KeptTrial:
    """Say that a trial goes on after all.

    Args:
        connection: in a transaction.
        trial_id: which.
        now: the time.

    Raises:
        StoreError: there is no such trial, it is deleted, or it is not over.
    """
    trial = _standing(connection, trial_id)
    if trial.ended_at is None:
        raise StoreError("this trial is not over", got=trial_id)
    return _changed(connection, replace(trial, ended_at=None), now=now)


def delete_trial(connection: sqlite3.Connection, trial_id: str, *, now: datetime) -> KeptTrial:
    """Hide a trial until it is taken back; its attempts and takes stay.

    Args:
        connection: in a transaction.
        trial_id: which.
        now: the time.

    Raises:
        StoreError: there is no such trial, or it is deleted already.
    """
    trial = trial_of_id(connection, trial_id)
    if trial.deleted_at is not None:
        raise StoreError("this trial is deleted already", got=trial_id)
    return _changed(connection, replace(trial, deleted_at=later_than(trial, now)), now=now)


def undelete_trial(connection: sqlite3.Connection, trial_id: str, *, now: datetime) -> KeptTrial:
    """Take the deletion of a trial back.

    Args:
        connection: in a transaction.
        trial_id: which.
        now: the time.

    Raises:
        StoreError: there is no such trial, or it is not deleted.
    """
    trial = trial_of_id(connection, trial_id)
    if trial.deleted_at is None:
        raise StoreError("this trial is not deleted", got=trial_id)
    return _changed(connection, replace(trial, deleted_at=None), now=now)


def _take_from_row(row: tuple[str, str, int]) -> TrialTake:
    take_id, trial_id, block = row
    return TrialTake(trial_id, take_id, block)


def put_trial_takes(connection: sqlite3.Connection, takes: Iterable[TrialTake]) -> None:
    """Write which takes hold which blocks.

    Args:
        connection: in a transaction.
        takes: none of them holds a block of any trial yet.
    """
    connection.executemany(
        "INSERT INTO trial_takes (take_id, trial_id, block) VALUES (?, ?, ?)",
        [(take.take_id, take.trial_id, take.block) for take in takes],
    )


def add_trial_take(connection: sqlite3.Connection, trial_id: str, take_id: str, *, block: int) -> TrialTake:
    """Say that a take holds a block of a trial; saying it again changes nothing.

    Args:
        connection: in a transaction.
        trial_id: which trial.
        take_id: which take.
        block: which block, counted from 0.

    Raises:
        StoreError: trial or take do not stand, are of two players or horns, or the take holds another block already.
    """
    trial, take = _standing(connection, trial_id), take_of_id(connection, take_id)
    if take.deleted_at is not None:
        raise StoreError("this take is deleted", got=take_id, allowed="take the deletion back first")
    if (take.about.player_id, take.about.horn_id) != (trial.about.player_id, trial.about.horn_id):
        raise StoreError("the take is of another player or horn than the trial", got=take_id, where=trial_id)
    if not 0 <= block < MOST_ITEMS:
        raise StoreError("no such block", got=str(block), allowed=f"0 to {MOST_ITEMS - 1}")
    wanted = TrialTake(trial_id, take_id, block)
    row = connection.execute(f"{_TAKES} WHERE take_id = ?", (take_id,)).fetchone()
    if row is None:
        put_trial_takes(connection, [wanted])
    elif _take_from_row(row) != wanted:
        raise StoreError("this take holds a block already", got=f"block {row[2]} of trial {row[1]}", where=take_id)
    return wanted


def list_trial_takes(connection: sqlite3.Connection, trial_id: str) -> tuple[TrialTake, ...]:
    """List the takes of a trial that stand, in order of blocks, then as they were received.

    Args:
        connection: in a transaction.
        trial_id: which trial.
    """
    return tuple(parsed(connection.execute(_TAKES_THAT_STAND, (trial_id,)), _take_from_row))
