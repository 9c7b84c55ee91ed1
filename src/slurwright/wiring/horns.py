"""Which horn is meant: one that the player keeps, or a model of the catalogue."""

import os
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from typing import TYPE_CHECKING

from slurwright.devices.clock import now
from slurwright.devices.packaged import horn_ids, load_horn, load_priors
from slurwright.errors import Fault, HornError, RequestError, StoreError
from slurwright.horn import Horn
from slurwright.horn.owned import OwnedHorn
from slurwright.jobs.own_horn import known_horn, learnt_of, own_horn
from slurwright.jobs.tendencies import told_tendencies
from slurwright.store.place import store_path

if TYPE_CHECKING:
    from slurwright.store import Store

__all__ = ["FoundHorn", "find_horn", "kept_here", "opened_store"]


@dataclass(frozen=True, slots=True)
class FoundHorn:
    """A horn to plan for, and what was assumed in finding it."""

    horn: Horn
    notices: tuple[str, ...] = ()
    owned: OwnedHorn | None = None
    """Whose it is and what it is called there; None for a model of the catalogue."""


@contextmanager
def opened_store() -> "Iterator[Store]":
    """Open what players keep on this machine; made if there is nothing yet.

    Raises:
        StoreError: it is damaged or missing, or cannot be used.
    """
    from slurwright.store import open_store  # noqa: PLC0415  a database, and most commands need none

    with open_store(store_path(environment=os.environ), now=now()) as store:
        yield store


def kept_here() -> bool:
    """Say whether anything was ever kept on this machine."""
    path = store_path(environment=os.environ)
    return path.exists() or (path.parent / "backups").exists()


def find_horn(
    name: str, *, player: str | None = None, tuning: str | None = None, tendencies: tuple[str, ...] = ()
) -> FoundHorn:
    """Find a horn by the player's own name for it, or else in the catalogue, and set it as they say.

    A horn that the player keeps comes with what was learnt from its readings.

    Args:
        name: of a horn that is kept, or an id of the catalogue.
        player: whose horn; None for the only player.
        tuning: scheme by which the valve slides of a model are set; None for its usual one.
        tendencies: what the player knows of single ways, such as "F3 4 -12": sounding pitch, fingering, cents.

    Raises:
        HornError: no such horn is kept and none is in the catalogue.
        RequestError: the tuning is not that of the horn that is kept, or a tendency means nothing.
        StoreError: what is kept cannot be read, and the name is none of the catalogue's.
    """
    kept, notices, names = _kept_horn(name, player=player, tuning=tuning)
    if kept is not None:
        return FoundHorn(told_tendencies(kept[0], tendencies), notices, kept[1])
    try:
        model = load_horn(name, tuning=tuning)
    except HornError as error:
        if not names or name in horn_ids():
            raise
        own = Fault("no horn of that name is kept either", allowed=", ".join(names))
        raise HornError(faults=(*error.faults, own)) from error
    return FoundHorn(told_tendencies(model, tendencies), notices)


def _kept_horn(
    name: str, *, player: str | None, tuning: str | None
) -> tuple[tuple[Horn, OwnedHorn] | None, tuple[str, ...], tuple[str, ...]]:
    """Look among the horns that are kept: the horn, notices, and the names that there are."""
    if not kept_here():
        if player is not None:
            raise RequestError("no player keeps a horn here yet", got=player, allowed="slurwright horn add")
        return None, (), ()
    try:
        with opened_store() as store:
            players = store.players() if player is None else (store.player_named(player),)
            owned = [(one, horn) for one in players for horn in store.horns(one.id)]
            names = tuple(dict.fromkeys(horn.name for _, horn in owned))
            same = [one for one, horn in owned if horn.name.casefold() == " ".join(name.split()).casefold()]
            if not same:
                return None, store.notices, names
            if len(same) > 1:
                whose = ", ".join(one.name for one in same)
                raise RequestError(
                    "several players keep a horn of that name", got=name, allowed=f"--player with one of: {whose}"
                )
            own = own_horn(store, name, player=same[0].name, catalogue=load_horn)
            notices = store.notices
    except StoreError as error:
        if name not in horn_ids() or player is not None:
            raise
        return None, tuple(f"{fault}; {name} is taken from the catalogue" for fault in error.faults), ()
    if tuning is not None and tuning != own.model.tuning:
        raise RequestError(
            "this horn was measured with its slides set otherwise; another setting is another horn",
            got=tuning,
            allowed=own.model.tuning,
            where=own.owned.name,
        )
    horn = known_horn(own, learnt_of(own, load_priors()) if own.readings else None)
    return (horn, own.owned), notices, names
