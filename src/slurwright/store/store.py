"""The store itself: opened once, then asked; each question is one transaction."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime
from pathlib import Path

from slurwright.formats.collection import Collection
from slurwright.horn.owned import KeptReading, OwnedHorn, PlayedTone, Player
from slurwright.store import exchange, horns, players, readings
from slurwright.store.backup import Backup, Why, make_backup
from slurwright.store.exchange import Imported
from slurwright.store.store_practice import StoreOfPractice

__all__ = ["Store"]


class Store(StoreOfPractice):
    """Players' horns, readings, takes and practice, opened; made by `open_store`."""

    def add_player(self, name: str, *, now: datetime) -> Player:
        """Add a player; raises `StoreError` if the name is taken."""
        with self._changing():
            return players.add_player(self._writer, self._new_id(), name, now=now)

    def players(self, *, deleted: bool = False) -> tuple[Player, ...]:
        """List the players by name, or those that were deleted."""
        with self._seeing() as connection:
            return players.list_players(connection, deleted=deleted)

    def player_named(self, name: str, *, deleted: bool = False) -> Player:
        """Find a player by name; raises `StoreError` with the names there are."""
        with self._seeing() as connection:
            return players.player_named(connection, name, deleted=deleted)

    def rename_player(self, player_id: str, name: str, *, now: datetime) -> Player:
        """Give a player another name."""
        with self._changing():
            return players.rename_player(self._writer, player_id, name, now=now)

    def delete_player(self, player_id: str, *, now: datetime) -> Player:
        """Hide a player and all that is theirs; ask the player before, and say that it can be taken back."""
        with self._changing():
            return players.delete_player(self._writer, player_id, now=now)

    def undelete_player(self, player_id: str, *, now: datetime) -> Player:
        """Take the deletion of a player back."""
        with self._changing():
            return players.undelete_player(self._writer, player_id, now=now)

    def purge_player(self, player_id: str) -> Player:
        """Remove a deleted player for good; ask before. Backups made before still hold them."""
        with self._changing():
            player = players.purge_player(self._writer, player_id)
        self.finish_removals()
        return player

    def add_horn(
        self, player_id: str, name: str, *, model: str, tuning: str | None = None, notes: str = "", now: datetime
    ) -> OwnedHorn:
        """Add a horn to a player's; raises `StoreError` if the player has one of that name."""
        with self._changing():
            return horns.add_horn(
                self._writer,
                self._new_id(),
                player_id=player_id,
                name=name,
                model=model,
                tuning=tuning,
                notes=notes,
                now=now,
            )

    def horns(self, player_id: str, *, deleted: bool = False) -> tuple[OwnedHorn, ...]:
        """List a player's horns by name, or those that were deleted."""
        with self._seeing() as connection:
            return horns.list_horns(connection, player_id, deleted=deleted)

    def horn_named(self, player_id: str, name: str, *, deleted: bool = False) -> OwnedHorn:
        """Find a player's horn by name; raises `StoreError` with the names there are."""
        with self._seeing() as connection:
            return horns.horn_named(connection, player_id, name, deleted=deleted)

    def rename_horn(self, horn_id: str, name: str, *, now: datetime) -> OwnedHorn:
        """Give a horn another name."""
        with self._changing():
            return horns.rename_horn(self._writer, horn_id, name, now=now)

    def note_on_horn(self, horn_id: str, notes: str, *, now: datetime) -> OwnedHorn:
        """Set what the player wants to remember about a horn."""
        with self._changing():
            return horns.note_on_horn(self._writer, horn_id, notes, now=now)

    def delete_horn(self, horn_id: str, *, now: datetime) -> OwnedHorn:
        """Hide a horn and its readings; ask the player before, and say that it can be taken back."""
        with self._changing():
            return horns.delete_horn(self._writer, horn_id, now=now)

    def undelete_horn(self, horn_id: str, *, now: datetime) -> OwnedHorn:
        """Take the deletion of a horn back."""
        with self._changing():
            return horns.undelete_horn(self._writer, horn_id, now=now)

    def purge_horn(self, horn_id: str) -> OwnedHorn:
        """Remove a deleted horn for good; ask before. Backups made before still hold it."""
        with self._changing():
            horn = horns.purge_horn(self._writer, horn_id)
        self.finish_removals()
        return horn

    def add_readings(self, horn_id: str, played: Sequence[PlayedTone], *, now: datetime) -> tuple[KeptReading, ...]:
        """Add readings to a horn, all of them or none; on the disk when this comes back."""
        with self._changing():
            return readings.add_readings(self._writer, horn_id, played, now=now, new_id=self._new_id)

    def readings_of(self, horn_id: str, *, withdrawn: bool = False) -> tuple[KeptReading, ...]:
        """List a horn's readings in the order in which they came; the withdrawn ones too if asked."""
        with self._seeing() as connection:
            return readings.list_readings(connection, horn_id, withdrawn=withdrawn)

    def withdraw(self, reading_ids: Sequence[str], *, now: datetime) -> None:
        """Leave readings out of account from now on, all of them or none; `restore` undoes it."""
        with self._changing():
            readings.mark_readings(self._writer, reading_ids, withdrawn=True, now=now)

    def restore(self, reading_ids: Sequence[str], *, now: datetime) -> None:
        """Take withdrawals back, all of them or none."""
        with self._changing():
            readings.mark_readings(self._writer, reading_ids, withdrawn=False, now=now)

    def export_all(self) -> Collection:
        """Give everything that is kept, deleted and withdrawn included."""
        with self._seeing() as connection:
            return exchange.export_all(connection)

    def import_all(self, incoming: Collection, *, sounds: Path | None = None) -> Imported:
        """Join another store's content with this one's, all of it or none.

        Recordings that are not here are taken from the folder ``sounds`` if they lie there; those that lie in
        neither are said by `sounds_astray`.
        """
        with self._brought(incoming, sounds) as waiting, self._changing():
            done = exchange.import_all(self._writer, incoming)
            brought = self._settle(waiting)
        self.finish_removals()
        return replace(done, sounds_added=brought)

    def back_up(self, *, now: datetime) -> Backup:
        """Make a backup because the player wants one."""
        return make_backup(self.path, why=Why.ASKED, now=now)
