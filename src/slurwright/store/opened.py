"""A store that is open: its connections, and the transactions that all questions to it are asked in.

Plain SQLite through the standard library: it is one file on the player's own machine with a handful of tables,
importing it costs nothing at start-up, and what matters here (which lock is taken when, what is on the disk when a
call comes back, what happens at a damaged page) is said in the open by the statements themselves, where a mapping
layer would hide it.

Many readers and one writer at a time, of several programs together: the write-ahead log lets readers see the last
commit while a write goes on, and a write takes its lock at once (``BEGIN IMMEDIATE``). A store that is open belongs
to the thread that opened it; another thread opens its own.
"""

import sqlite3
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from types import TracebackType
from typing import Self

from slurwright.store.backup import set_change_mark
from slurwright.store.connect import reading, writing

__all__ = ["OpenedStore"]


class OpenedStore:
    """The file of a store, opened; what it is asked stands in the classes that are built on this one."""

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

    @contextmanager
    def _seeing(self) -> Iterator[sqlite3.Connection]:
        with reading(self._reader, self.path):
            yield self._reader
