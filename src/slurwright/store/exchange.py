"""Everything out of a store as values, and everything of another store in: joined, never overwritten.

Rows are the same where their ids are the same. What both know and one of them has changed later (a name, notes, a
deletion, the measures of a take) is taken from the later one; readings, attempts and their histories are put
together. So importing twice changes nothing, and two stores that import each other hold the same.
"""

import sqlite3
from collections import Counter
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, replace
from typing import TypeVar

from slurwright.errors import Fault, StoreError
from slurwright.formats.collection import Collection
from slurwright.formats.times import to_text
from slurwright.horn.owned import KeptReading, OwnedHorn, Player
from slurwright.store.attempts import every_attempt
from slurwright.store.exchange_practice import (
    PracticeWork,
    dangling_practice,
    practice_work,
    unlikely_practice,
    write_practice,
)
from slurwright.store.exchange_takes import (
    TakesWork,
    dangling_takes,
    known_takes,
    takes_work,
    unlikely_takes,
    write_takes,
)
from slurwright.store.horns import LONGEST_NOTES, every_horn, put_horns
from slurwright.store.names import clean_name, same_name
from slurwright.store.players import every_player, put_players
from slurwright.store.readings import every_reading, insert_marks, insert_reading, insert_source, tone_faults
from slurwright.store.sheets import every_sheet
from slurwright.store.take_measures import every_whole_take
from slurwright.store.take_tones import let_speak_once
from slurwright.store.trials import every_trial
from slurwright.store.withdrawals import new_marks

__all__ = ["Imported", "export_all", "import_all"]

_Row = TypeVar("_Row", Player, OwnedHorn)


@dataclass(frozen=True, slots=True)
class Imported:
    """What an import did."""

    players_added: int
    horns_added: int
    readings_added: int
    changed: int
    """Players, horns, readings, takes, trials, sheets and attempts that were known and stand differently now."""
    takes_added: int = 0
    sounds_added: int = 0
    """Recordings that came with it and were not here."""
    trials_added: int = 0
    sheets_added: int = 0
    attempts_added: int = 0


@dataclass(frozen=True, slots=True)
class _Work:
    """What is to be written, worked out before anything is."""

    new_players: tuple[Player, ...]
    changed_players: tuple[Player, ...]
    new_horns: tuple[OwnedHorn, ...]
    changed_horns: tuple[OwnedHorn, ...]
    new_readings: tuple[KeptReading, ...]
    longer_readings: tuple[KeptReading, ...]
    """Known readings with the lines of their history that are new here, and no others."""
    sourced_readings: tuple[KeptReading, ...]
    """Known readings of which it was not known here that they come from a take."""
    takes: TakesWork
    practice: PracticeWork


def export_all(connection: sqlite3.Connection) -> Collection:
    """Give everything that is kept, deleted and withdrawn included.

    Args:
        connection: in a transaction.
    """
    return Collection(
        every_player(connection),
        every_horn(connection),
        every_reading(connection),
        every_whole_take(connection),
        every_trial(connection),
        every_sheet(connection),
        every_attempt(connection),
    )


def import_all(connection: sqlite3.Connection, incoming: Collection) -> Imported:
    """Join another store's content with this one's.

    Args:
        connection: in a transaction that is rolled back if this raises.
        incoming: what another store gave out.

    Raises:
        StoreError: it contradicts itself or what is kept here, or two would have the same name; all faults at once.
    """
    faults = [*_doubled(incoming), *_dangling(incoming), *dangling_takes(incoming)]
    faults += [*dangling_practice(incoming), *_unlikely(incoming), *unlikely_takes(incoming)]
    faults += unlikely_practice(incoming)
    if faults:
        raise StoreError(faults=tuple(faults))
    here = Collection(every_player(connection), every_horn(connection), every_reading(connection))
    takes = takes_work(connection, known_takes(connection), incoming.takes, faults)
    practice = practice_work(connection, incoming, faults)
    work = _worked_out(here, incoming, faults, takes=takes, practice=practice)
    faults.extend(_name_faults(here, work))
    if faults:
        raise StoreError(faults=tuple(faults))
    _write(connection, work)
    return Imported(
        players_added=len(work.new_players),
        horns_added=len(work.new_horns),
        readings_added=len(work.new_readings),
        changed=sum(map(len, (work.changed_players, work.changed_horns, work.longer_readings, takes.changed)))
        + practice.changed,
        takes_added=len(takes.new),
        trials_added=len(practice.new_trials),
        sheets_added=len(practice.new_sheets),
        attempts_added=len(practice.new_attempts),
    )


def _doubled(incoming: Collection) -> Iterator[Fault]:
    ids = (
        ("player", [player.id for player in incoming.players]),
        ("horn", [horn.id for horn in incoming.horns]),
        ("reading", [kept.id for kept in incoming.readings]),
        ("take", [whole.take.id for whole in incoming.takes]),
        ("trial", [whole.trial.id for whole in incoming.trials]),
        ("sheet", [whole.sheet.id for whole in incoming.sheets]),
        ("attempt", [whole.attempt.id for whole in incoming.attempts]),
    )
    for what, names in ids:
        for name, count in Counter(names).items():
            if count > 1:
                yield Fault(f"one {what} stands there {count} times", got=name)


def _dangling(incoming: Collection) -> Iterator[Fault]:
    players = {player.id for player in incoming.players}
    horns = {horn.id for horn in incoming.horns}
    for horn in incoming.horns:
        if horn.player_id not in players:
            yield Fault("a horn of nobody", got=horn.player_id, where=f"horn {horn.id}")
    for kept in incoming.readings:
        if kept.horn_id not in horns:
            yield Fault("a reading of no horn", got=kept.horn_id, where=f"reading {kept.id}")


def _unlikely(incoming: Collection) -> Iterator[Fault]:
    for player in incoming.players:
        yield from _unclean(player.name, "player")
    for horn in incoming.horns:
        yield from _unclean(horn.name, "horn")
        if not horn.model.strip():
            yield Fault("a horn needs a model", got=repr(horn.model), where=f"horn {horn.id}")
        if len(horn.notes) > LONGEST_NOTES:
            yield Fault("the notes are too long", got=f"{len(horn.notes)} letters", where=f"horn {horn.id}")
    for kept in incoming.readings:
        where = f"reading {kept.id}"
        yield from tone_faults(kept.played, where)
        times = [mark.at for mark in kept.withdrawals]
        if sorted(set(times)) != times:
            yield Fault("its history is out of order", got=", ".join(map(to_text, times)), where=where)


def _unclean(name: str, what: str) -> Iterator[Fault]:
    try:
        clean = clean_name(name, what)
    except StoreError as error:
        yield from error.faults
    else:
        if clean != name:
            yield Fault(f"a {what}'s name is not as names are kept", got=repr(name), allowed=repr(clean))


def _worked_out(
    here: Collection, incoming: Collection, faults: list[Fault], *, takes: TakesWork, practice: PracticeWork
) -> _Work:
    known_players = {player.id: player for player in here.players}
    known_horns = {horn.id: horn for horn in here.horns}
    known_readings = {kept.id: kept for kept in here.readings}
    changed_players: list[Player] = []
    changed_horns: list[OwnedHorn] = []
    longer: list[KeptReading] = []
    sourced: list[KeptReading] = []
    for player in incoming.players:
        known = known_players.get(player.id)
        if known is not None and known != player and _is_later(player, known, _core_of_player, faults):
            changed_players.append(player)
    for horn in incoming.horns:
        known_horn = known_horns.get(horn.id)
        if known_horn is not None and known_horn != horn and _is_later(horn, known_horn, _core_of_horn, faults):
            changed_horns.append(horn)
    for kept in incoming.readings:
        known_kept = known_readings.get(kept.id)
        if known_kept is not None and known_kept != kept:
            longer.extend(_new_history(known_kept, kept, faults))
            if known_kept.take is None and kept.take is not None:
                sourced.append(kept)
    return _Work(
        tuple(player for player in incoming.players if player.id not in known_players),
        tuple(changed_players),
        tuple(horn for horn in incoming.horns if horn.id not in known_horns),
        tuple(changed_horns),
        tuple(kept for kept in incoming.readings if kept.id not in known_readings),
        tuple(longer),
        tuple(sourced),
        takes,
        practice,
    )


def _is_later(one: _Row, known: _Row, core: Callable[[_Row], _Row], faults: list[Fault]) -> bool:
    """Say whether what comes was changed after what is known; what never changes must be the same."""
    if core(one) != core(known):
        faults.append(Fault(f"{one.name} is another one here", got=one.id, where=known.name))
    elif one.changed_at == known.changed_at:
        faults.append(
            Fault(f"{one.name} stands differently here since the same moment", got=one.id, where=known.name)
        )
    return one.changed_at > known.changed_at


def _core_of_player(player: Player) -> Player:
    return replace(player, name="", changed_at=player.created_at, deleted_at=None)


def _core_of_horn(horn: OwnedHorn) -> OwnedHorn:
    return replace(horn, name="", notes="", changed_at=horn.created_at, deleted_at=None)


def _new_history(known: KeptReading, kept: KeptReading, faults: list[Fault]) -> Iterator[KeptReading]:
    other_take = known.take is not None and kept.take is not None and known.take != kept.take
    if other_take or replace(known, withdrawals=(), take=None) != replace(kept, withdrawals=(), take=None):
        faults.append(Fault("this reading is another one here", where=f"reading {kept.id}"))
        return
    new = new_marks(known.withdrawals, kept.withdrawals)
    if new is None:
        faults.append(Fault("this reading has another history here", where=f"reading {kept.id}"))
    elif new:
        yield replace(kept, withdrawals=new)


def _name_faults(here: Collection, work: _Work) -> Iterator[Fault]:
    players = {player.id: player for player in (*here.players, *work.new_players, *work.changed_players)}
    horns = {horn.id: horn for horn in (*here.horns, *work.new_horns, *work.changed_horns)}
    standing = (player for player in players.values() if player.deleted_at is None)
    for name in _twice(player.name for player in standing):
        yield Fault("two players would have the same name", got=name, allowed="rename one of them first")
    for player in players.values():
        own = (horn for horn in horns.values() if horn.player_id == player.id and horn.deleted_at is None)
        for name in _twice(horn.name for horn in own):
            yield Fault(f"two horns of {player.name} would have the same name", got=name, allowed="rename one first")


def _twice(names: Iterable[str]) -> Iterator[str]:
    seen: set[str] = set()
    for name in names:
        if same_name(name) in seen:
            yield name
        seen.add(same_name(name))


def _write(connection: sqlite3.Connection, work: _Work) -> None:
    # Names may change hands among those that change: all of them first give theirs up.
    for table, ids in (
        ("players", [player.id for player in work.changed_players]),
        ("horns", [horn.id for horn in work.changed_horns]),
    ):
        for row_id in ids:
            connection.execute(f"UPDATE {table} SET deleted_at = changed_at WHERE id = ?", (row_id,))  # noqa: S608
    put_players(connection, (*work.changed_players, *work.new_players))
    put_horns(connection, (*work.changed_horns, *work.new_horns))
    write_takes(connection, work.takes)
    write_practice(connection, work.practice)
    for kept in work.new_readings:
        insert_reading(connection, kept)
    for kept in work.longer_readings:
        insert_marks(connection, kept)
    for kept in work.sourced_readings:
        insert_source(connection, kept)
    spoke = (kept.take for kept in (*work.new_readings, *work.longer_readings, *work.sourced_readings))
    for take_id in sorted({source.take_id for source in spoke if source is not None}):
        let_speak_once(connection, take_id)
