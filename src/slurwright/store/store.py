"""The store itself: opened once, then asked; each question is one transaction.

Plain SQLite through the standard library: it is one file on the player's own machine with a handful of tables,
importing it costs nothing at start-up, and what matters here (which lock is taken when, what is on the disk when a
call comes back, what happens at a damaged page) is said in the open by the statements themselves, where a mapping
layer would hide it.

Many readers and one writer at a time, of several programs together: the write-ahead log lets readers see the last
commit while a write goes on, and a write takes its lock at once (``BEGIN IMMEDIATE``). A store that is open belongs
to the thread that opened it; another thread opens its own.
"""

import sqlite3
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager, suppress
from datetime import datetime
from pathlib import Path
from types import TracebackType
from typing import Self

from slurwright.horn.owned import Collection, KeptReading, OwnedHorn, PlayedTone, Player
from slurwright.store import exchange, horns, players, readings
from slurwright.store.backup import Backup, Why, make_backup, set_change_mark
from slurwright.store.connect import reading, writing
from slurwright.store.exchange import Imported

__all__ = ["Store"]


class Store:
    """A player's horns and readings, opened; made by `open_store`."""

    def __init__(
        self,
        path: Path,
        *,
        writer: sqlite3.Connection,
        reader: sqlite3.Connection,
        new_id: Callable[[], str],
        notices: tuple[str, ...] = (),
    ) -> None:
        self.path = path
        self.notices = notices
        """What was assumed or passed over at opening."""
        self._writer = writer
        self._reader = reader
        self._new_id = new_id

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()

    def close(self) -> None:
        """Let go of the file; nothing is lost without it."""
        # The writer last: the last connection tidies up, and one that may only read cannot.
        for connection in (self._reader, self._writer):
            with suppress(sqlite3.Error):
                connection.close()

    @contextmanager
    def _changing(self) -> Iterator[None]:
        with writing(self._writer, self.path):
            before = self._writer.total_changes
            yield
            if self._writer.total_changes != before:
                set_change_mark(self._writer, self._new_id())

    def add_player(self, name: str, *, now: datetime) -> Player:
        """Add a player; raises `StoreError` if the name is taken."""
        with self._changing():
            return players.add_player(self._writer, self._new_id(), name, now=now)

    def players(self, *, deleted: bool = False) -> tuple[Player, ...]:
        """List the players by name, or those that were deleted."""
        with reading(self._reader, self.path):
            return players.list_players(self._reader, deleted=deleted)

    def player_named(self, name: str, *, deleted: bool = False) -> Player:
        """Find a player by name; raises `StoreError` with the names there are."""
        with reading(self._reader, self.path):
            return players.player_named(self._reader, name, deleted=deleted)

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
            return players.purge_player(self._writer, player_id)

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
        with reading(self._reader, self.path):
            return horns.list_horns(self._reader, player_id, deleted=deleted)

    def horn_named(self, player_id: str, name: str, *, deleted: bool = False) -> OwnedHorn:
        """Find a player's horn by name; raises `StoreError` with the names there are."""
        with reading(self._reader, self.path):
            return horns.horn_named(self._reader, player_id, name, deleted=deleted)

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
            return horns.purge_horn(self._writer, horn_id)

    def add_readings(self, horn_id: str, played: Sequence[PlayedTone], *, now: datetime) -> tuple[KeptReading, ...]:
        """Add readings to a horn, all of them or none; on the disk when this comes back."""
        with self._changing():
            return readings.add_readings(self._writer, horn_id, played, now=now, new_id=self._new_id)

    def readings_of(self, horn_id: str, *, withdrawn: bool = False) -> tuple[KeptReading, ...]:
        """List a horn's readings in the order in which they came; the withdrawn ones too if asked."""
        with reading(self._reader, self.path):
            return readings.list_readings(self._reader, horn_id, withdrawn=withdrawn)

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
        with reading(self._reader, self.path):
            return exchange.export_all(self._reader)

    def import_all(self, incoming: Collection) -> Imported:
        """Join another store's content with this one's, all of it or none."""
        with self._changing():
            return exchange.import_all(self._writer, incoming)

    def back_up(self, *, now: datetime) -> Backup:
        """Make a backup because the player wants one."""
        return make_backup(self.path, why=Why.ASKED, now=now)
