"""What a store is asked about practice: attempts that were logged by ear, trials and sheets."""

from collections.abc import Sequence
from datetime import date, datetime

from slurwright.evidence.kept import (
    EarAttempt,
    KeptSheet,
    KeptTrial,
    LoggedAttempt,
    SheetAbout,
    SheetTick,
    TickState,
    TrialAbout,
    TrialTake,
)
from slurwright.store import attempts as logged
from slurwright.store import sheets, trials
from slurwright.store.store_takes import StoreOfTakes
from slurwright.store.withdrawals import ATTEMPTS, mark

__all__ = ["StoreOfPractice"]


class StoreOfPractice(StoreOfTakes):
    """Attempts, trials and sheets."""

    def log_attempts(self, attempts: Sequence[EarAttempt], *, now: datetime) -> tuple[LoggedAttempt, ...]:
        """Log attempts, all of them or none; on the disk when this comes back."""
        with self._changing():
            return logged.log_attempts(self._writer, attempts, now=now, new_id=self._new_id)

    def log_item(
        self, sheet_id: str, item: int, attempts: Sequence[EarAttempt], *, once: bool = False, now: datetime
    ) -> tuple[LoggedAttempt, ...]:
        """Log what was tried at an item of a sheet and tick the item as done, both or neither.

        With ``once`` an item that is done already is refused, also where another program has just ticked it.
        """
        with self._changing():
            if once:
                sheets.refuse_done(self._writer, sheet_id, item)
            kept = logged.log_attempts(self._writer, attempts, now=now, new_id=self._new_id)
            sheets.tick_sheet(self._writer, sheet_id, [(item, TickState.DONE)], now=now)
        return kept

    def attempts_of(
        self,
        player_id: str,
        *,
        horn_id: str | None = None,
        trial_id: str | None = None,
        since: date | None = None,
        until: date | None = None,
        withdrawn: bool = False,
    ) -> tuple[LoggedAttempt, ...]:
        """List a player's attempts in the order in which they were logged; the withdrawn ones too if asked."""
        with self._seeing() as connection:
            return logged.list_attempts(
                connection,
                player_id,
                horn_id=horn_id,
                trial_id=trial_id,
                since=since,
                until=until,
                withdrawn=withdrawn,
            )

    def withdraw_attempts(self, ids: Sequence[str], *, now: datetime) -> None:
        """Leave attempts out of account from now on, all of them or none; `restore_attempts` undoes it."""
        with self._changing():
            mark(self._writer, ATTEMPTS, ids, withdrawn=True, now=now)

    def restore_attempts(self, ids: Sequence[str], *, now: datetime) -> None:
        """Take withdrawals of attempts back, all of them or none."""
        with self._changing():
            mark(self._writer, ATTEMPTS, ids, withdrawn=False, now=now)

    def add_trial(self, about: TrialAbout, *, now: datetime) -> KeptTrial:
        """Begin a trial."""
        with self._changing():
            return trials.add_trial(self._writer, self._new_id(), about, now=now)

    def trial_of(self, beginning: str, *, deleted: bool = False) -> KeptTrial:
        """Find a trial by the beginning of its id; raises `StoreError` if none or several begin so."""
        with self._seeing() as connection:
            return trials.trial_beginning(connection, beginning, deleted=deleted)

    def trials_of(self, player_id: str, *, deleted: bool = False) -> tuple[KeptTrial, ...]:
        """List a player's trials in the order in which they were begun, or those that were deleted."""
        with self._seeing() as connection:
            return trials.list_trials(connection, player_id, deleted=deleted)

    def end_trial(self, trial_id: str, *, now: datetime) -> KeptTrial:
        """Say that a trial is over; `reopen_trial` undoes it."""
        with self._changing():
            return trials.end_trial(self._writer, trial_id, now=now)

    def reopen_trial(self, trial_id: str, *, now: datetime) -> KeptTrial:
        """Say that a trial goes on after all."""
        with self._changing():
            return trials.reopen_trial(self._writer, trial_id, now=now)

    def delete_trial(self, trial_id: str, *, now: datetime) -> KeptTrial:
        """Hide a trial; its attempts and takes stay. Say that it can be taken back."""
        with self._changing():
            return trials.delete_trial(self._writer, trial_id, now=now)

    def undelete_trial(self, trial_id: str, *, now: datetime) -> KeptTrial:
        """Take the deletion of a trial back."""
        with self._changing():
            return trials.undelete_trial(self._writer, trial_id, now=now)

    def add_trial_take(self, trial_id: str, take_id: str, *, block: int, now: datetime) -> TrialTake:
        """Say that a take holds a block of a trial; saying it again changes nothing."""
        del now  # nothing in it has a time of its own
        with self._changing():
            return trials.add_trial_take(self._writer, trial_id, take_id, block=block)

    def trial_takes(self, trial_id: str) -> tuple[TrialTake, ...]:
        """List the takes of a trial that stand, in order of blocks, then as they were received."""
        with self._seeing() as connection:
            return trials.list_trial_takes(connection, trial_id)

    def add_sheet(self, about: SheetAbout, *, now: datetime) -> KeptSheet:
        """Keep a practice sheet."""
        with self._changing():
            return sheets.add_sheet(self._writer, self._new_id(), about, now=now)

    def sheet_of(self, beginning: str, *, deleted: bool = False) -> KeptSheet:
        """Find a sheet by the beginning of its id; raises `StoreError` if none or several begin so."""
        with self._seeing() as connection:
            return sheets.sheet_beginning(connection, beginning, deleted=deleted)

    def sheets_of(
        self, player_id: str, *, since: date | None = None, until: date | None = None, deleted: bool = False
    ) -> tuple[KeptSheet, ...]:
        """List a player's sheets by their days, then as they were made; or those that were deleted."""
        with self._seeing() as connection:
            return sheets.list_sheets(connection, player_id, since=since, until=until, deleted=deleted)

    def tick_sheet(
        self, sheet_id: str, ticks: Sequence[tuple[int, TickState]], *, now: datetime
    ) -> tuple[SheetTick, ...]:
        """Say what became of items of a sheet, of all of them or none; on the disk when this comes back."""
        with self._changing():
            return sheets.tick_sheet(self._writer, sheet_id, ticks, now=now)

    def ticks_of(self, sheet_id: str) -> tuple[SheetTick, ...]:
        """Give the last word on each item of a sheet that was spoken of, in order of items."""
        with self._seeing() as connection:
            return sheets.ticks_of(connection, sheet_id)

    def delete_sheet(self, sheet_id: str, *, now: datetime) -> KeptSheet:
        """Hide a sheet; attempts that were logged with it stay. Say that it can be taken back."""
        with self._changing():
            return sheets.delete_sheet(self._writer, sheet_id, now=now)

    def undelete_sheet(self, sheet_id: str, *, now: datetime) -> KeptSheet:
        """Take the deletion of a sheet back."""
        with self._changing():
            return sheets.undelete_sheet(self._writer, sheet_id, now=now)
