"""What belongs to a player: who they are, the horns they own, and every tone measured on them."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime
from enum import Enum

from slurwright.horn.learnt.values import ToneReading
from slurwright.pitch import WrittenPitch

__all__ = ["FromTake", "KeptReading", "OwnedHorn", "PlayedTone", "Player", "Source", "Withdrawal", "withdrawn_since"]


class Source(Enum):
    """How a reading came in."""

    TYPED = "typed"
    """Read off a tuner and typed."""
    CSV = "csv"
    """From a table."""
    TAKE = "take"
    """Measured in a recording."""


@dataclass(frozen=True, slots=True)
class PlayedTone:
    """A reading as it comes in, before it is kept: the tone and how it came about."""

    tone: ToneReading
    played_on: date
    """Day on the player's calendar."""
    source: Source
    written: WrittenPitch | None = None
    """The note as the player read it, where they said it so."""
    note: str = ""
    """What the player wants to remember about it."""


@dataclass(frozen=True, slots=True)
class Withdrawal:
    """Something that is never changed was withdrawn, or a withdrawal was taken back."""

    at: datetime
    withdrawn: bool
    """False where it was taken back."""


def withdrawn_since(withdrawals: Sequence[Withdrawal]) -> datetime | None:
    """Say since when what has this history is withdrawn; None where it stands.

    Args:
        withdrawals: in order of time; the last one holds.
    """
    return withdrawals[-1].at if withdrawals and withdrawals[-1].withdrawn else None


@dataclass(frozen=True, slots=True)
class FromTake:
    """Which note of a kept take a reading is."""

    take_id: str
    asked: int
    """Index into the passage that was asked for."""


@dataclass(frozen=True, slots=True)
class KeptReading:
    """A reading that is kept; it is never changed, only withdrawn and restored."""

    id: str
    horn_id: str
    played: PlayedTone
    added_at: datetime
    place: int
    """Which of the readings that were added together, from 0."""
    withdrawals: tuple[Withdrawal, ...] = ()
    """Its history in order of time; the last one holds."""
    take: FromTake | None = None
    """Where it comes from; None where it comes from no take, or the take was removed for good."""

    @property
    def withdrawn(self) -> bool:
        """Whether it is left out of account at present."""
        return withdrawn_since(self.withdrawals) is not None


@dataclass(frozen=True, slots=True)
class Player:
    """Somebody who plays."""

    id: str
    name: str
    created_at: datetime
    changed_at: datetime
    deleted_at: datetime | None = None
    """When the player was deleted; None while they stand. Deletion can be taken back."""


@dataclass(frozen=True, slots=True)
class OwnedHorn:
    """A player's own instrument: a model of the catalogue, and a name to tell it from the others.

    Its tuning is how its valve slides are set. A horn whose slides are set anew for good is another horn here,
    because what was measured before no longer holds for it.
    """

    id: str
    player_id: str
    name: str
    model: str
    """Id in the catalogue."""
    tuning: str | None
    """Scheme by which the valve slides are set; None for the model's usual one."""
    notes: str
    created_at: datetime
    changed_at: datetime
    deleted_at: datetime | None = None
    """When it was deleted; None while it stands. Deletion can be taken back."""
