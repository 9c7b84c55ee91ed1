"""Everything that is kept, as one value: what a store gives out and takes in, and what its document holds."""

from dataclasses import dataclass

from slurwright.evidence.kept import WholeAttempt, WholeSheet, WholeTrial
from slurwright.horn.owned import KeptReading, OwnedHorn, Player
from slurwright.listen.kept import WholeTake

__all__ = ["Collection"]


@dataclass(frozen=True, slots=True)
class Collection:
    """Everything that is kept, deleted and withdrawn included, in an order that depends on nothing but itself.

    The recordings themselves are no part of it, only what is known of their files.
    """

    players: tuple[Player, ...] = ()
    horns: tuple[OwnedHorn, ...] = ()
    readings: tuple[KeptReading, ...] = ()
    takes: tuple[WholeTake, ...] = ()
    """In the order in which they were received."""
    trials: tuple[WholeTrial, ...] = ()
    """In the order in which they were begun."""
    sheets: tuple[WholeSheet, ...] = ()
    """In the order in which they were made."""
    attempts: tuple[WholeAttempt, ...] = ()
    """In the order in which they were logged."""
