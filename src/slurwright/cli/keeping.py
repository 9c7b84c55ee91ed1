"""What players keep, opened for one command; what was assumed on the way is said on standard error."""

from collections.abc import Iterator
from contextlib import contextmanager
from typing import TYPE_CHECKING

import click

if TYPE_CHECKING:
    from slurwright.horn import Horn
    from slurwright.store import Store

__all__ = ["horn_for", "keeping", "tell"]


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
    from slurwright.wiring.horns import find_horn  # noqa: PLC0415

    found = find_horn(name, player=player, tuning=tuning, tendencies=tendencies)
    for words in found.notices:
        tell(words)
    return found.horn
