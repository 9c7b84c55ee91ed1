"""Takes of another store joined with those that are here; see `exchange` for the rules."""

import sqlite3
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from slurwright.errors import Fault
from slurwright.formats.collection import Collection
from slurwright.listen.kept import KeptTake, WholeTake
from slurwright.store.take_faults import measures_faults, take_faults
from slurwright.store.take_measures import put_measures, whole_take
from slurwright.store.takes import every_take, put_takes

__all__ = ["TakesWork", "dangling_takes", "known_takes", "takes_work", "unlikely_takes", "write_takes"]


@dataclass(frozen=True, slots=True)
class TakesWork:
    """What is to be written of takes."""

    new: tuple[WholeTake, ...]
    changed: tuple[WholeTake, ...]


def known_takes(connection: sqlite3.Connection) -> dict[str, KeptTake]:
    """Give the takes that are here by their ids.

    Args:
        connection: in a transaction.
    """
    return {take.id: take for take in every_take(connection)}


def dangling_takes(incoming: Collection) -> Iterator[Fault]:
    """Say which takes, and readings of takes, point to what is not there."""
    players = {player.id for player in incoming.players}
    owners = {horn.id: horn.player_id for horn in incoming.horns}
    horns = {whole.take.id: whole.take.about.horn_id for whole in incoming.takes}
    for whole in incoming.takes:
        about, where = whole.take.about, f"take {whole.take.id}"
        if about.player_id not in players:
            yield Fault("a take of nobody", got=about.player_id, where=where)
        if about.horn_id is not None and owners.get(about.horn_id) != about.player_id:
            yield Fault("a take on a horn that its player does not have", got=about.horn_id, where=where)
    for kept in incoming.readings:
        if kept.take is not None and horns.get(kept.take.take_id) != kept.horn_id:
            yield Fault("a reading of no take on its horn", got=kept.take.take_id, where=f"reading {kept.id}")


def unlikely_takes(incoming: Collection) -> Iterator[Fault]:
    """Say what cannot be true of takes and their measures."""
    for whole in incoming.takes:
        take, where = whole.take, f"take {whole.take.id}"
        yield from take_faults(take, where)
        if (whole.measures is None) is (take.length_s is not None):
            yield Fault("its state and its measures contradict each other", got=take.state.value, where=where)
        if whole.measures is not None:
            yield from measures_faults(whole.measures, where)
            if (whole.measures.length_s, whole.measures.method) != (take.length_s, take.method):
                yield Fault("its measures are of another measuring", got=whole.measures.method, where=where)


def takes_work(
    connection: sqlite3.Connection, here: Mapping[str, KeptTake], incoming: Sequence[WholeTake], faults: list[Fault]
) -> TakesWork:
    """Work out which takes are new and which stand differently since a later change.

    Args:
        connection: in a transaction.
        here: takes that are here, by id.
        incoming: takes that come, without faults of their own.
        faults: contradictions are added here.
    """
    changed = []
    for whole in incoming:
        known = here.get(whole.take.id)
        if known is None:
            continue
        where = f"take {known.id}"
        if _core(known) != _core(whole.take) or _other_sound(known, whole.take):
            faults.append(Fault("this take is another one here", where=where))
        elif known.changed_at == whole.take.changed_at:
            if whole != whole_take(connection, known):
                faults.append(Fault("this take stands differently here since the same moment", where=where))
        elif whole.take.changed_at > known.changed_at:
            changed.append(whole)
    return TakesWork(tuple(whole for whole in incoming if whole.take.id not in here), tuple(changed))


def _core(take: KeptTake) -> KeptTake:
    """Give what never changes of a take."""
    return KeptTake(take.id, replace(take.about, note="", keeps_sound=True), take.made_at, take.made_at)


def _other_sound(known: KeptTake, come: KeptTake) -> bool:
    return known.sound is not None and come.sound is not None and known.sound != come.sound


def write_takes(connection: sqlite3.Connection, work: TakesWork) -> None:
    """Write what was worked out.

    Args:
        connection: in a transaction; players and horns are written.
        work: what is to be written.
    """
    for whole in (*work.changed, *work.new):
        put_takes(connection, [whole.take])
        if whole.measures is not None:
            put_measures(connection, whole.take.id, whole.measures)
