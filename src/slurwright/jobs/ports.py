"""Ports: what jobs need from outside, as protocols, so that they know nothing of files or databases."""

from collections.abc import Sequence
from datetime import datetime
from typing import Protocol

from slurwright.horn import Horn
from slurwright.horn.owned import KeptReading, OwnedHorn, PlayedTone, Player

__all__ = ["Catalogue", "Keeping", "KeptHorns", "KeptReadings"]


class Catalogue(Protocol):
    """Where models of horns come from."""

    def __call__(self, horn_id: str, *, tuning: str | None = None) -> Horn:
        """Give a model with its slides set; raises `HornError` with the nearest ids."""
        ...


class KeptHorns(Protocol):
    """Whose horns there are."""

    def add_player(self, name: str, *, now: datetime) -> Player:
        """Add a player."""
        ...

    def player_named(self, name: str) -> Player:
        """Find a player by name; raises `StoreError` with the names there are."""
        ...

    def players(self) -> tuple[Player, ...]:
        """List the players by name."""
        ...

    def add_horn(
        self, player_id: str, name: str, *, model: str, tuning: str | None = None, now: datetime
    ) -> OwnedHorn:
        """Add a horn to a player's."""
        ...

    def horn_named(self, player_id: str, name: str, *, deleted: bool = False) -> OwnedHorn:
        """Find a player's horn by name; raises `StoreError` with the names there are."""
        ...

    def horns(self, player_id: str) -> tuple[OwnedHorn, ...]:
        """List a player's horns by name."""
        ...


class KeptReadings(Protocol):
    """What was measured on a horn."""

    def add_readings(self, horn_id: str, played: Sequence[PlayedTone], *, now: datetime) -> tuple[KeptReading, ...]:
        """Keep readings, all of them or none."""
        ...

    def readings_of(self, horn_id: str, *, withdrawn: bool = False) -> tuple[KeptReading, ...]:
        """List a horn's readings in the order in which they came; the withdrawn ones too if asked."""
        ...

    def withdraw(self, reading_ids: Sequence[str], *, now: datetime) -> None:
        """Leave readings out of account from now on."""
        ...

    def restore(self, reading_ids: Sequence[str], *, now: datetime) -> None:
        """Take withdrawals back."""
        ...


class Keeping(KeptHorns, KeptReadings, Protocol):
    """All that a player keeps."""
