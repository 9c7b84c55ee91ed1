"""A practice sheet as values: its items in the order in which they are played, rests among them."""

from dataclasses import dataclass
from datetime import date
from enum import StrEnum

from slurwright.evidence.attempts import Tried
from slurwright.pitch import Reading
from slurwright.practice.sheet.targets import Target

__all__ = ["Coming", "ItemKind", "KeptPlan", "Sheet", "SheetItem", "SheetPart"]


class ItemKind(StrEnum):
    """What an item of a sheet is."""

    WARM_UP = "warm-up"
    LIP_SLURS = "daily lip slurs"
    EASE = "slur, made easy"
    """A slur alone, louder and slower than the part asks for."""
    SLUR = "slur"
    """A slur alone, as the part asks for it."""
    RESCUE = "rescue"
    """The same slur in the technique or on the fingering that is kept for the day."""
    PASSAGE = "passage"
    """The bars around it."""
    REST = "rest"


@dataclass(frozen=True, slots=True)
class SheetItem:
    """One thing to play, or a rest."""

    kind: ItemKind
    play_s: float
    """How long is played [s]."""
    rest_s: float
    """How long is rested within it; of a rest all of it [s]."""
    tries: int = 0
    """How many tries of a slur."""
    set_tries: int = 0
    """After so many of them there is a rest within the item."""
    target: int | None = None
    """Which of the sheet's targets it is about."""
    tried: Tried | None = None
    """How the slur is to be tried."""
    seed: int = 0
    """From which its exercises are made, so that they are the same whenever the sheet is shown."""

    @property
    def lasts_s(self) -> float:
        """How long it takes [s]."""
        return self.play_s + self.rest_s


@dataclass(frozen=True, slots=True)
class Coming:
    """A slur that is not on the sheet because it holds."""

    names: tuple[str, str]
    label: str
    due: date
    """When it is looked at again."""


@dataclass(frozen=True, slots=True)
class Sheet:
    """What to play today."""

    day: date
    minutes: float
    """Time that was asked for [min]."""
    concert: date | None
    """The day it is planned for; None where there is none, or it is over."""
    items: tuple[SheetItem, ...]
    """In the order in which they are played."""
    targets: tuple[Target, ...]
    """The slurs on the sheet, as they stood when it was made."""
    considered: int
    """How many slurs there were to choose from."""
    before: float
    """Expected chance that all of these speak on the day without this sheet's tries, 0..1 [1]."""
    after: float
    """The same with them [1]."""
    settle_s: float = 0.0
    """To find the places and read them, beside play and rest [s]."""
    coming: tuple[Coming, ...] = ()
    notices: tuple[str, ...] = ()

    @property
    def work(self) -> tuple[int, ...]:
        """Indices of what is to be played; its numbers on paper and screen count from 1."""
        return tuple(index for index, item in enumerate(self.items) if item.kind is not ItemKind.REST)

    @property
    def play_s(self) -> float:
        """How long is played altogether [s]."""
        return sum(item.play_s for item in self.items)

    @property
    def rest_s(self) -> float:
        """How long is rested altogether [s]."""
        return sum(item.rest_s for item in self.items)


@dataclass(frozen=True, slots=True)
class SheetPart:
    """One of the parts that a sheet is for, so that it can be studied again."""

    path: str
    """Of its file."""
    name: str
    """What the part is called in words."""
    fingerprint: str
    """Of its content, see ``score.fingerprint``."""
    part: str | None = None
    """Which part of the file, as it was asked for."""
    voice: str | None = None
    written_for: str | None = None


@dataclass(frozen=True, slots=True)
class KeptPlan:
    """A sheet as it is kept: with its parts, and all that is needed to plan another like it."""

    sheet: Sheet
    parts: tuple[SheetPart, ...]
    horn: str
    """Name of the player's own horn, or id of a model."""
    reading: Reading
    """How the player reads."""
    asked_reading: bool = False
    """True if the player asked for that reading, which may not be the parts' own."""
    dynamic: str | None = None
    """Mark that was asked for throughout; None for the parts' own."""
    tempo_qpm: float | None = None
    """Tempo that was asked for; None for the parts' own [quarters per minute]."""
    tuning: str | None = None
    """Scheme by which the valve slides of a model are set."""
