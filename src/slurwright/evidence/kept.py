"""What is kept of practice beside takes: attempts that were logged by ear, trials, sheets and what was done of them.

What a trial or a sheet says stands in its document, which the store does not look into; see ``formats``.
"""

from dataclasses import dataclass
from datetime import date, datetime
from enum import StrEnum

from slurwright.evidence.attempts import Ear, Tried
from slurwright.horn.owned import Withdrawal
from slurwright.listen.kept import TakenPart

__all__ = [
    "EarAttempt",
    "KeptSheet",
    "KeptTrial",
    "LoggedAttempt",
    "SheetAbout",
    "SheetTick",
    "TickState",
    "TrialAbout",
    "TrialTake",
    "WholeAttempt",
    "WholeSheet",
    "WholeTrial",
]


@dataclass(frozen=True, slots=True)
class EarAttempt:
    """An attempt as it is logged by ear."""

    player_id: str
    horn_id: str | None
    """The player's own horn; None for a model of the catalogue."""
    model: str
    """Id in the catalogue."""
    part: TakenPart | None
    """What it is out of; None for a slur out of no part."""
    label: str
    """Where its first note stands in print, "12:3"; empty where there is no part."""
    tried: Tried
    heard: Ear
    played_on: date
    """Day on the player's calendar."""
    trial_id: str | None = None
    arm: str = ""
    """Which of the trial's choices it was; empty where there is no trial."""
    sheet_id: str | None = None


@dataclass(frozen=True, slots=True)
class LoggedAttempt:
    """An attempt that is kept. It is never changed; it can be withdrawn, and that can be taken back."""

    id: str
    about: EarAttempt
    made_at: datetime
    """When it was logged."""
    withdrawn_at: datetime | None = None
    place: int = 0
    """Index among those that were logged together."""


@dataclass(frozen=True, slots=True)
class WholeAttempt:
    """An attempt with its history, as it is exchanged between stores."""

    attempt: LoggedAttempt
    withdrawals: tuple[Withdrawal, ...] = ()
    """In order of time; the last one says whether it is withdrawn."""


@dataclass(frozen=True, slots=True)
class TrialAbout:
    """A designed comparison when it starts."""

    player_id: str
    horn_id: str | None
    model: str
    document_json: str
    """The design, see ``formats.trial_json``."""
    schema: int
    """Version of that document."""


@dataclass(frozen=True, slots=True)
class KeptTrial:
    """A designed comparison that is going on or over."""

    id: str
    about: TrialAbout
    made_at: datetime
    changed_at: datetime
    ended_at: datetime | None = None
    """When the player ended it; None while it goes on."""
    deleted_at: datetime | None = None


@dataclass(frozen=True, slots=True)
class TrialTake:
    """A take that holds a block of a trial."""

    trial_id: str
    take_id: str
    block: int
    """Which block of the trial's order it holds, counted from 0."""


@dataclass(frozen=True, slots=True)
class WholeTrial:
    """A trial with all its takes, deleted ones included, as it is exchanged between stores."""

    trial: KeptTrial
    takes: tuple[TrialTake, ...] = ()
    """In order of blocks, then of ids."""


@dataclass(frozen=True, slots=True)
class SheetAbout:
    """A practice sheet for one day, when it is made."""

    player_id: str
    horn_id: str | None
    model: str
    day: date
    """Day on the player's calendar."""
    document_json: str
    """The whole sheet, see ``formats.sheet_json``."""
    schema: int
    """Version of that document."""


@dataclass(frozen=True, slots=True)
class KeptSheet:
    """A practice sheet that is kept."""

    id: str
    about: SheetAbout
    made_at: datetime
    changed_at: datetime
    deleted_at: datetime | None = None


class TickState(StrEnum):
    """What became of an item of a sheet."""

    DONE = "done"
    SKIPPED = "skipped"


@dataclass(frozen=True, slots=True)
class SheetTick:
    """One item of a sheet that was done or skipped; the last word on an item counts."""

    sheet_id: str
    item: int
    """Index into the sheet's items."""
    state: TickState
    at: datetime


@dataclass(frozen=True, slots=True)
class WholeSheet:
    """A sheet with every word on its items, as it is exchanged between stores."""

    sheet: KeptSheet
    ticks: tuple[SheetTick, ...] = ()
    """In order of time, then of items."""
