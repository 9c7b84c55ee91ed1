"""What can go wrong in a take, and how it is played otherwise; ``at`` is an index into the notes that are asked.

Values only.
"""

from dataclasses import dataclass, field
from typing import Protocol

from slurwright.synth.script import Slur, Vibrato
from slurwright.synth.voices import EUPHONIUM, Voice

__all__ = [
    "Breathing",
    "Excerpt",
    "ExtraNote",
    "Fault",
    "GoBack",
    "LeaveOut",
    "Manner",
    "OctaveAway",
    "OutOfTune",
    "Pause",
    "ScoopInto",
    "SlurAs",
    "TongueAgain",
    "Wanted",
    "WrongNote",
]


class Wanted(Protocol):
    """A note that is asked, as a sound."""

    @property
    def hz(self) -> float:
        """Target pitch [Hz]."""
        ...

    @property
    def onset_s(self) -> float:
        """When it starts at the marked tempo [s]."""
        ...

    @property
    def length_s(self) -> float:
        """How long it sounds at the marked tempo [s]."""
        ...

    @property
    def slurred_to_next(self) -> bool:
        """One breath leads to the next note."""
        ...

    @property
    def series_hz(self) -> tuple[float, ...]:
        """What its fingering sounds, partial 1 first; empty where that is not known [Hz]."""
        ...


@dataclass(frozen=True, slots=True)
class WrongNote:
    """Another note sounds in place of the asked one."""

    at: int
    hz: float


@dataclass(frozen=True, slots=True)
class OctaveAway:
    """The note sounds some octaves off."""

    at: int
    octaves: int


@dataclass(frozen=True, slots=True)
class LeaveOut:
    """The note does not sound."""

    at: int
    closed_up: bool = False
    """The next note comes in its place; otherwise its time is silent."""


@dataclass(frozen=True, slots=True)
class ExtraNote:
    """A note that nobody asked for sounds before the asked one."""

    before: int
    hz: float
    length_s: float


@dataclass(frozen=True, slots=True)
class GoBack:
    """The player stops after a note, and takes up again at another, mostly an earlier one."""

    after: int
    to: int
    pause_s: float = 0.8


@dataclass(frozen=True, slots=True)
class Excerpt:
    """Only these notes are played."""

    first: int
    last: int


@dataclass(frozen=True, slots=True)
class Pause:
    """Silence before a note that nobody asked for."""

    before: int
    length_s: float


@dataclass(frozen=True, slots=True)
class Breathing:
    """The player breathes before a note; the time is taken from the note before where that is long enough."""

    before: int
    length_s: float = 0.3


@dataclass(frozen=True, slots=True)
class OutOfTune:
    """The note is off by some cents, each time it is played."""

    at: int
    cents: float


@dataclass(frozen=True, slots=True)
class ScoopInto:
    """A tongued note starts from below."""

    at: int
    cents: float
    time_s: float = 0.12


@dataclass(frozen=True, slots=True)
class SlurAs:
    """The slur that leads on from a note is played so."""

    at: int
    slur: Slur


@dataclass(frozen=True, slots=True)
class TongueAgain:
    """The tongue touches the sounding note at a place where a slur was asked, or a gap."""

    at: int
    """The note it leads on from."""


Fault = (
    WrongNote
    | OctaveAway
    | LeaveOut
    | ExtraNote
    | GoBack
    | Excerpt
    | Pause
    | Breathing
    | OutOfTune
    | ScoopInto
    | SlurAs
    | TongueAgain
)


@dataclass(frozen=True, slots=True)
class Manner:
    """How a player plays when nothing goes wrong."""

    voice: Voice = EUPHONIUM
    tempo: float = 1.0
    """How much faster than marked it is played."""
    rubato: float = 0.0
    """How freely: standard deviation of the tempo, as a part of it, wandering from note to note."""
    timing_s: float = 0.0
    """How unevenly: standard deviation of each onset [s]."""
    tune_cents: float = 0.0
    """How far out of tune a note is, standard deviation [cents]."""
    level_db: float = -20.0
    level_sd_db: float = 0.0
    gap_s: float = 0.04
    """Silence before a tongued note that follows at once; 0 for none: the tongue only touches the sound [s]."""
    slur: Slur = field(default_factory=Slur)
    """How a slur is played when nothing goes wrong; its times vary by a third."""
    vibrato: Vibrato | None = None
    """On notes that are long enough for it."""
    lead_s: float = 0.6
    """Silence before the first note [s]."""
    tail_s: float = 1.0
    """Silence after the last note [s]."""
