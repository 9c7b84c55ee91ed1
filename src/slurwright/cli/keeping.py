"""What players keep, opened for one command; what was assumed on the way is said on standard error."""

from collections.abc import Iterator
from contextlib import contextmanager
from typing import TYPE_CHECKING

import click

if TYPE_CHECKING:
    from slurwright.horn import Horn
    from slurwright.jobs.known_player import KnownPlayer
    from slurwright.store import Store
    from slurwright.wiring.horns import FoundHorn

__all__ = ["found_for", "horn_for", "keeping", "player_of", "tell"]


def tell(words: str) -> None:
    """Say something beside the answer."""
    click.echo(f"note: {words}", err=True)


@contextmanager
def keeping() -> "Iterator[Store]":
    """Open what players keep."""
    from slurwright.wiring.horns import opened_store  # noqa: PLC0415

    with opened_store() as store:
        for words in store.notices:
            tell(words)
        yield store


def horn_for(
    name: str, *, player: str | None = None, tuning: str | None = None, tendencies: tuple[str, ...] = ()
) -> "Horn":
    """Find the horn that a command is about.

    Args:
        name: of a horn that is kept, or an id of the catalogue.
        player: whose; None for the only player.
        tuning: how the valve slides of a model are set.
        tendencies: what the player knows of single ways.
    """
    return found_for(name, player=player, tuning=tuning, tendencies=tendencies).horn


def found_for(
    name: str, *, player: str | None = None, tuning: str | None = None, tendencies: tuple[str, ...] = ()
) -> "FoundHorn":
    """Find the horn that a command is about, and whose it is.

    Args:
        name: of a horn that is kept, or an id of the catalogue.
        player: whose; None for the only player.
        tuning: how the valve slides of a model are set.
        tendencies: what the player knows of single ways.
    """
    from slurwright.wiring.horns import find_horn  # noqa: PLC0415

    found = find_horn(name, player=player, tuning=tuning, tendencies=tendencies)
    for words in found.notices:
        tell(words)
    return found


def player_of(found: "FoundHorn") -> "KnownPlayer | None":
    """Learn the player of a horn from all that they tried; None for a model, or where there is nothing to learn from.

    Args:
        found: the horn.
    """
    if found.owned is None:
        return None
    from slurwright.cli.study_output import working  # noqa: PLC0415
    from slurwright.wiring.known_player import find_player  # noqa: PLC0415  heavy, and a model has no player

    with working("learning from what you played"):
        known = find_player(found.owned)
    for words in known.notices:
        tell(words)
    return known.player
