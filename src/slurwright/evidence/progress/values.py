"""What is said of a player's progress, as values: curves with intervals, counts beside them, changes and verdicts."""

from dataclasses import dataclass
from datetime import date
from enum import StrEnum

from slurwright.evidence.attempts import Tried
from slurwright.listen.figure import Figure
from slurwright.listen.kept import TakenWay

__all__ = [
    "Change",
    "CurvePoint",
    "NoteCurve",
    "NotePoint",
    "Progress",
    "SlurCurve",
    "SlurProgress",
    "TakeOffset",
    "Verdict",
    "Versus",
    "WeekCount",
]


class Verdict(StrEnum):
    """What is said of a slur or a note."""

    BETTER = "better"
    WORSE = "worse"
    HOLDS = "holds"
    """Good, and no clear change."""
    SAME = "not clearly changed"
    """It was practised, and there is no clear change."""
    UNKNOWN = "too little known"


@dataclass(frozen=True, slots=True)
class CurvePoint:
    """A figure on a day, with the interval that holds the truth nine times in ten."""

    day: date
    value: Figure


@dataclass(frozen=True, slots=True)
class Change:
    """From the first day to the last that it was tried."""

    better: float
    """Chance that it is better at the end than at the start, 0..1."""
    size: Figure
    """By how much; above 0 is better: chance of speaking, 0..1, or cents nearer to the target."""
    start: CurvePoint
    end: CurvePoint


@dataclass(frozen=True, slots=True)
class WeekCount:
    """Raw counts of one week."""

    monday: date
    tried: int
    spoke: int
    """How many of them spoke cleanly, as far as could be told."""


@dataclass(frozen=True, slots=True)
class Versus:
    """A way to play a slur against its normal one, both under the same circumstances."""

    better: float
    """Chance that it speaks more surely than the normal one, 0..1."""
    size: Figure
    """By how much its chance of speaking is higher, -1..1."""
    drop: bool
    """After enough attempts it is as good as sure that it is not worth its departure."""


@dataclass(frozen=True, slots=True)
class SlurCurve:
    """One way to play a slur: the ways of its two notes and the technique."""

    ways: tuple[TakenWay, TakenWay]
    technique: str
    normal: bool
    """Normal fingerings, played as a matter of course."""
    tried: int
    spoke: int
    days: int
    """On how many days."""
    weeks: tuple[WeekCount, ...]
    """Those in which it was tried."""
    at: Tried
    """Under which circumstances the chances are meant."""
    prior: float
    """Chance of speaking under them before anything was learnt, 0..1."""
    curve: tuple[CurvePoint, ...]
    """Chance of speaking, 0..1."""
    change: Change
    verdict: Verdict
    versus: Versus | None = None
    """Against the normal way to play this slur; None for that one itself, or where it was never tried."""


@dataclass(frozen=True, slots=True)
class SlurProgress:
    """One slur on one horn, in every way in which it was tried."""

    horn: str
    """Id of the player's own horn; of the catalogue's model where it is none."""
    label: str
    """Where it was tried last, by ear if it ever was: "12:3"; empty where it is of no part."""
    curves: tuple[SlurCurve, ...]
    """The normal one first, the others by how often they were tried."""

    @property
    def notes(self) -> tuple[str, str]:
        """Its two notes as the player read them last."""
        first, second = self.curves[0].ways
        return str(first.written), str(second.written)

    @property
    def tried(self) -> int:
        """How often in all [1]."""
        return sum(curve.tried for curve in self.curves)


@dataclass(frozen=True, slots=True)
class NotePoint:
    """A note in one take."""

    take_id: str
    day: date
    times: int
    """How often it was measured there."""
    cents: Figure
    """Against its target, what the whole take is off taken out [cents]."""


@dataclass(frozen=True, slots=True)
class NoteCurve:
    """One note on one fingering."""

    horn: str
    way: TakenWay
    points: tuple[NotePoint, ...]
    days: int
    curve: tuple[CurvePoint, ...]
    """Against its target [cents]."""
    change: Change
    """How much nearer to its target it came [cents]."""
    verdict: Verdict


@dataclass(frozen=True, slots=True)
class TakeOffset:
    """How far off a whole take is from the player's other takes."""

    take_id: str
    horn: str
    day: date
    notes: int
    """From how many different notes."""
    cents: Figure
    told: bool
    """It is far and sure enough to be told."""


@dataclass(frozen=True, slots=True)
class Progress:
    """All of it."""

    slurs: tuple[SlurProgress, ...]
    """The most tried first."""
    notes: tuple[NoteCurve, ...]
    """Lowest first."""
    offsets: tuple[TakeOffset, ...]
    """In order of time."""
    notices: tuple[str, ...] = ()
    """What was left out, and what was assumed."""
