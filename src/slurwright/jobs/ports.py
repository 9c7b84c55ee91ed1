"""Ports: what jobs need from outside, as protocols, so that they know nothing of files or databases."""

from collections.abc import Sequence
from datetime import date, datetime
from pathlib import Path
from typing import BinaryIO, Protocol

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
from slurwright.horn import Horn
from slurwright.horn.owned import KeptReading, OwnedHorn, PlayedTone, Player
from slurwright.listen.kept import KeptMeasures, KeptTake, PlayedSlur, TakeAbout, TakenNote
from slurwright.pitch import SoundingPitch

__all__ = ["Catalogue", "Keeping", "KeptHorns", "KeptPractice", "KeptReadings", "KeptTakes"]


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


class KeptTakes(Protocol):
    """Recordings and what was measured in them."""

    def receive_take(self, about: TakeAbout, sound: BinaryIO, *, called: str, ending: str, now: datetime) -> KeptTake:
        """Keep a recording; it is safe on the disk when this comes back, and waits to be measured."""
        ...

    def keep_measures(
        self, take_id: str, measures: KeptMeasures, *, tones: Sequence[tuple[int, PlayedTone]] = (), now: datetime
    ) -> KeptTake:
        """Keep what was measured, and give steady notes (asked index, tone) to the horn's readings.

        The recording is removed after that if the player does not keep it.
        """
        ...

    def fail_take(self, take_id: str, words: str, *, now: datetime) -> KeptTake:
        """Note why a take could not be measured; its sound stays."""
        ...

    def take_of(self, beginning: str, *, deleted: bool = False) -> KeptTake:
        """Find a take by the beginning of its id; raises `StoreError` if none or several begin so."""
        ...

    def takes_of(
        self,
        player_id: str,
        *,
        horn_id: str | None = None,
        fingerprint: str | None = None,
        since: date | None = None,
        until: date | None = None,
        deleted: bool = False,
    ) -> tuple[KeptTake, ...]:
        """List a player's takes in the order in which they were received; some of them if asked."""
        ...

    def measures_of(self, take_id: str) -> KeptMeasures:
        """Give what was measured in a take; raises `StoreError` if it is not measured."""
        ...

    def sound_of(self, take_id: str) -> Path | None:
        """Say in which file a take's recording is; None where it is not kept or not on this machine."""
        ...

    def slurs_of(
        self,
        player_id: str,
        *,
        horn_id: str | None = None,
        pair: tuple[SoundingPitch, SoundingPitch] | None = None,
        partials: tuple[int, int] | None = None,
        technique: str | None = None,
        since: date | None = None,
        until: date | None = None,
    ) -> tuple[PlayedSlur, ...]:
        """List measured slurs of all takes that stand; ``pair`` is two sounding pitches."""
        ...

    def notes_of(
        self,
        player_id: str,
        *,
        horn_id: str | None = None,
        sounding: SoundingPitch | None = None,
        since: date | None = None,
        until: date | None = None,
    ) -> tuple[TakenNote, ...]:
        """List measured notes of all takes that stand; ``sounding`` was asked for."""
        ...

    def delete_take(self, take_id: str, *, now: datetime) -> KeptTake:
        """Hide a take, and withdraw the readings that it gave."""
        ...

    def undelete_take(self, take_id: str, *, now: datetime) -> KeptTake:
        """Take the deletion of a take back, and restore its readings."""
        ...

    def forget_sound(self, take_id: str, *, now: datetime) -> KeptTake:
        """Remove a measured take's recording for good; its figures stay."""
        ...


class KeptPractice(Protocol):
    """Attempts that were logged by ear, trials and sheets."""

    def log_attempts(self, attempts: Sequence[EarAttempt], *, now: datetime) -> tuple[LoggedAttempt, ...]:
        """Log attempts, all of them or none; on the disk when this comes back."""
        ...

    def log_item(
        self, sheet_id: str, item: int, attempts: Sequence[EarAttempt], *, once: bool = False, now: datetime
    ) -> tuple[LoggedAttempt, ...]:
        """Log what was tried at an item of a sheet and tick the item as done, both or neither.

        With ``once`` an item that is done already is refused.
        """
        ...

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
        ...

    def withdraw_attempts(self, ids: Sequence[str], *, now: datetime) -> None:
        """Leave attempts out of account from now on, all of them or none; `restore_attempts` undoes it."""
        ...

    def restore_attempts(self, ids: Sequence[str], *, now: datetime) -> None:
        """Take withdrawals of attempts back, all of them or none."""
        ...

    def add_trial(self, about: TrialAbout, *, now: datetime) -> KeptTrial:
        """Begin a trial."""
        ...

    def trial_of(self, beginning: str, *, deleted: bool = False) -> KeptTrial:
        """Find a trial by the beginning of its id; raises `StoreError` if none or several begin so."""
        ...

    def trials_of(self, player_id: str, *, deleted: bool = False) -> tuple[KeptTrial, ...]:
        """List a player's trials in the order in which they were begun, or those that were deleted."""
        ...

    def end_trial(self, trial_id: str, *, now: datetime) -> KeptTrial:
        """Say that a trial is over; `reopen_trial` undoes it."""
        ...

    def reopen_trial(self, trial_id: str, *, now: datetime) -> KeptTrial:
        """Say that a trial goes on after all."""
        ...

    def delete_trial(self, trial_id: str, *, now: datetime) -> KeptTrial:
        """Hide a trial; its attempts and takes stay. Say that it can be taken back."""
        ...

    def undelete_trial(self, trial_id: str, *, now: datetime) -> KeptTrial:
        """Take the deletion of a trial back."""
        ...

    def add_trial_take(self, trial_id: str, take_id: str, *, block: int, now: datetime) -> TrialTake:
        """Say that a take holds a block of a trial; saying it again changes nothing."""
        ...

    def trial_takes(self, trial_id: str) -> tuple[TrialTake, ...]:
        """List the takes of a trial that stand, in order of blocks, then as they were received."""
        ...

    def add_sheet(self, about: SheetAbout, *, now: datetime) -> KeptSheet:
        """Keep a practice sheet."""
        ...

    def sheet_of(self, beginning: str, *, deleted: bool = False) -> KeptSheet:
        """Find a sheet by the beginning of its id; raises `StoreError` if none or several begin so."""
        ...

    def sheets_of(
        self, player_id: str, *, since: date | None = None, until: date | None = None, deleted: bool = False
    ) -> tuple[KeptSheet, ...]:
        """List a player's sheets by their days, then as they were made; or those that were deleted."""
        ...

    def tick_sheet(
        self, sheet_id: str, ticks: Sequence[tuple[int, TickState]], *, now: datetime
    ) -> tuple[SheetTick, ...]:
        """Say what became of items of a sheet, of all of them or none; on the disk when this comes back."""
        ...

    def ticks_of(self, sheet_id: str) -> tuple[SheetTick, ...]:
        """Give the last word on each item of a sheet that was spoken of, in order of items."""
        ...

    def delete_sheet(self, sheet_id: str, *, now: datetime) -> KeptSheet:
        """Hide a sheet; attempts that were logged with it stay. Say that it can be taken back."""
        ...

    def undelete_sheet(self, sheet_id: str, *, now: datetime) -> KeptSheet:
        """Take the deletion of a sheet back."""
        ...


class Keeping(KeptHorns, KeptReadings, Protocol):
    """All that a player keeps."""
