"""A player's own horns: whose they are, what each is made of, and what was learnt of each."""

from dataclasses import dataclass, replace
from datetime import datetime
from typing import TYPE_CHECKING

from slurwright.errors import RequestError
from slurwright.horn import Horn
from slurwright.horn.learnt import Priors
from slurwright.horn.owned import KeptReading, OwnedHorn, Player
from slurwright.jobs.ports import Catalogue, Keeping, KeptHorns

if TYPE_CHECKING:
    from slurwright.horn.learnt.learn import LearntHorn

__all__ = [
    "FIRST_PLAYER",
    "HornOverview",
    "OwnHorn",
    "add_own_horn",
    "known_horn",
    "learnt_of",
    "overview_of",
    "own_horn",
    "player_for",
]

FIRST_PLAYER = "me"
"""Name of the player that is made with the first horn, where none is said."""


@dataclass(frozen=True, slots=True)
class OwnHorn:
    """A horn that a player keeps, with the model that it is one of and everything measured on it."""

    owned: OwnedHorn
    model: Horn
    """As the catalogue has it, its slides set as the player says."""
    readings: tuple[KeptReading, ...]
    """Those in force, in the order in which they came."""


@dataclass(frozen=True, slots=True)
class HornOverview:
    """One line of a list of horns."""

    player: Player
    owned: OwnedHorn
    readings: int
    """In force."""
    withdrawn: int


def player_for(kept: KeptHorns, name: str | None) -> Player:
    """Say who is meant: the one that is named, or the only one there is.

    Args:
        kept: whose horns there are.
        name: as typed; None where nothing was said.

    Raises:
        StoreError: there is no player of that name.
        RequestError: nothing was said, and there is none or more than one.
    """
    if name is not None:
        return kept.player_named(name)
    players = kept.players()
    if len(players) == 1:
        return players[0]
    if not players:
        raise RequestError("no horn has been added yet", allowed="slurwright horn add NAME --model ID")
    names = ", ".join(player.name for player in players)
    raise RequestError("several players keep their horns here", allowed=f"--player with one of: {names}")


def add_own_horn(
    kept: KeptHorns,
    name: str,
    *,
    model: str,
    catalogue: Catalogue,
    tuning: str | None = None,
    player: str | None = None,
    now: datetime,
) -> OwnedHorn:
    """Add a horn to a player's; the first player is made along with their first horn.

    Args:
        kept: whose horns there are.
        name: what the player calls it.
        model: id in the catalogue.
        catalogue: where models come from.
        tuning: scheme by which the valve slides are set; None for the model's usual one.
        player: whose; None for the only player. A player that is not known yet is made.
        now: the time.

    Raises:
        HornError: no such model, or the tuning does not suit it.
        StoreError: the player has a horn of that name, or a name is none.
        RequestError: there are several players and none was named.
    """
    catalogue(model, tuning=tuning)
    players = kept.players()
    known = {one.name.casefold(): one for one in players}
    if player is None and players:
        owner = player_for(kept, None)
    else:
        wanted = " ".join((player or FIRST_PLAYER).split())
        owner = known.get(wanted.casefold()) or kept.add_player(wanted, now=now)
    return kept.add_horn(owner.id, name, model=model, tuning=tuning, now=now)


def own_horn(kept: Keeping, name: str, *, player: str | None, catalogue: Catalogue) -> OwnHorn:
    """Find a player's horn with all that is known of it.

    Args:
        kept: what players keep.
        name: of the horn, as typed.
        player: whose; None for the only player.
        catalogue: where models come from.

    Raises:
        StoreError: there is no such player or horn.
        RequestError: it is not clear which player is meant.
        HornError: its model is not in the catalogue.
    """
    owned = kept.horn_named(player_for(kept, player).id, name)
    return OwnHorn(owned, catalogue(owned.model, tuning=owned.tuning), kept.readings_of(owned.id))


def learnt_of(own: OwnHorn, priors: Priors) -> "LearntHorn":
    """Learn a player's horn from its readings.

    Args:
        own: the horn.
        priors: what is believed of any horn.

    Raises:
        FingeringError: a reading is of a fingering that the model does not have.
    """
    from slurwright.horn.learnt.learn import learn  # noqa: PLC0415  numpy, and most commands do not need it

    return learn(own.model, [kept.played.tone for kept in own.readings], priors)


def known_horn(own: OwnHorn, learnt: "LearntHorn | None") -> Horn:
    """Give a player's horn as the plan takes it: under its own name, with what was learnt of its ways.

    Args:
        own: the horn.
        learnt: what was learnt; None or without readings leaves the model as it is.
    """
    horn = own.model
    if learnt is not None and learnt.readings:
        from slurwright.horn.learnt.predict import as_horn  # noqa: PLC0415

        used = len(learnt.readings) - len(learnt.rejected)
        horn = replace(as_horn(learnt), measured_tones=used)
    return replace(horn, name=f"{own.owned.name}, {horn.name}")


def overview_of(kept: Keeping, *, player: str | None = None) -> tuple[HornOverview, ...]:
    """List the horns of all players, or of one, with how much was measured on each.

    Args:
        kept: what players keep.
        player: whose; None for everybody's.

    Raises:
        StoreError: there is no such player.
    """
    players = kept.players() if player is None else (kept.player_named(player),)
    found = []
    for one in players:
        for owned in kept.horns(one.id):
            readings = kept.readings_of(owned.id, withdrawn=True)
            gone = sum(reading.withdrawn for reading in readings)
            found.append(HornOverview(one, owned, len(readings) - gone, gone))
    return tuple(found)
