"""What a sheet can be made of: weak slurs with their chances and their history, and what the player asks for today.

A target is one slur that may be practised: the same two ways in the same technique, however often the part has it.
Its history counts tries day by day, whichever part they were made in.
"""

from dataclasses import dataclass
from datetime import date

from slurwright.evidence.attempts import Tried
from slurwright.plan import Technique

__all__ = ["Rescue", "SheetRequest", "SpentToday", "Target", "TriedDay"]


@dataclass(frozen=True, slots=True)
class TriedDay:
    """How a slur went on one day, try by try."""

    played_on: date
    good: int = 0
    rough: int = 0
    """It came, but not cleanly."""
    missed: int = 0

    @property
    def tries(self) -> int:
        """How many tries there were [1]."""
        return self.good + self.rough + self.missed


@dataclass(frozen=True, slots=True)
class Rescue:
    """The choice at a slur that is kept for the day on which the normal way does not hold."""

    name: str
    """As the plan's table calls it: "legato tongue", "4 on F3"."""
    tried: Tried
    risk: float
    """Chance that the slur breaks so, 0..1 [1]."""


@dataclass(frozen=True, slots=True)
class Target:
    """One slur that may be practised."""

    key: str
    """The same for the same two ways and technique in any part."""
    tried: Tried
    """Ways, technique, dynamic and tempo that the part asks for."""
    names: tuple[str, str]
    """The two notes as the player reads them."""
    risk: float
    """Chance that it breaks now, 0..1 [1]."""
    low: float
    """End of the interval that holds that risk nine times in ten, 0..1 [1]."""
    high: float
    """Its other end [1]."""
    prior: float = 0.0
    """What the priors alone say of it, 0..1 [1]."""
    attempts: float = 0.0
    """How many attempts the risk is learnt from; 0 is the prior [1]."""
    times: int = 1
    """How often the part asks for it."""
    height: float = 0.0
    """Where its upper note lies in the horn's comfortable range, 0 at the bottom to 1 at the top [1]."""
    passage_s: float = 8.0
    """How long the bars around it last as they are asked for [s]."""
    dotted: bool = False
    """True where the part beats in dotted quarters there."""
    bars: str = ""
    """What these bars are called: "bars 3 to 5"; empty where they cannot stand one after the other."""
    part: int = 0
    """Which of the sheet's parts it stands in, counted from 0."""
    move: int = 0
    """Index into ``Line.moves`` of that part."""
    fingerprint: str = ""
    """Of that part, see ``score.fingerprint``."""
    label: str = ""
    """Where its first note stands in print, "12:3"."""
    rescue: Rescue | None = None
    days: tuple[TriedDay, ...] = ()
    """Its tries so far, oldest first, one entry a day."""

    @property
    def rescue_named(self) -> str:
        """Say what its rescue is called; empty where it has none."""
        return self.rescue.name if self.rescue else ""

    @property
    def plain(self) -> bool:
        """Say whether it is played without a technique."""
        return self.tried.technique is Technique.PLAIN


@dataclass(frozen=True, slots=True)
class SpentToday:
    """What was done earlier on the same day."""

    play_s: float = 0.0
    """How long was played [s]."""
    warmed_up: bool = False
    lip_slurs: bool = False
    """The daily lip slurs were played."""


@dataclass(frozen=True, slots=True)
class SheetRequest:
    """What the player asks of today's sheet."""

    minutes: float
    """Time there is, rests counted [min]."""
    today: date
    concert: date | None = None
    """None where no date is set."""
    spent: SpentToday = SpentToday()
    rescues: bool = True
    """False leaves the rescue techniques out."""
