"""What was measured in a take: of its sound, its room, each note and each slur. Values only."""

from dataclasses import dataclass
from enum import Enum

from slurwright.listen.figure import Figure, Measured

__all__ = [
    "Foreign",
    "LevelCheck",
    "LevelFault",
    "NoteMeasure",
    "Reason",
    "Room",
    "SlurMeasure",
    "SlurOutcome",
    "SlurPath",
    "Vibrato",
]


class LevelFault(Enum):
    """What can be wrong with a recording as such."""

    CLIPPED = "clipped"
    SOFT = "soft"
    NOISY = "noisy"
    ECHO = "echo"
    PROCESSED = "processed"
    """Noise suppression or automatic gain was at work."""
    DROPOUTS = "dropouts"
    """The device lost sound."""
    SILENT = "silent"


@dataclass(frozen=True, slots=True)
class LevelCheck:
    """How good a recording is to measure from."""

    peak_db: float
    """Largest sample against full scale [dB]."""
    loud_db: float
    """Level of the louder half of what was played [dB]."""
    noise_db: float
    """Level of the noise where nothing was played [dB]."""
    clipped_share: float
    """Share of samples at the limit, 0..1."""
    faults: tuple[LevelFault, ...] = ()


@dataclass(frozen=True, slots=True)
class Room:
    """How the room answers, judged from the take itself."""

    decay_s: Measured
    """Time in which the sound falls by 60 dB [s]."""
    direct_db: Measured
    """Level of what comes straight from the bell against what the room adds [dB]."""


@dataclass(frozen=True, slots=True)
class Vibrato:
    """A regular wave of the pitch."""

    rate_hz: Figure
    extent_cents: Figure
    """From the centre to one side [cents]."""


@dataclass(frozen=True, slots=True)
class NoteMeasure:
    """One note, measured where it is steady."""

    played: int
    """Index into ``Following.played``."""
    cents: Measured
    """Its pitch against the target, at the centre of a vibrato [cents]."""
    steady_s: tuple[float, float]
    """From when to when it was measured [s]."""
    drift_cents_s: Measured
    """Slope of the pitch inside the note [cents a second]."""
    wander_cents: Measured
    """How unsteady the pitch is, drift and vibrato apart; standard deviation [cents]."""
    scoop_cents: Measured
    """How far below its pitch the note starts; 0 for a clean start [cents]."""
    vibrato: Vibrato | None
    level_db: float
    """Level against full scale [dB]."""
    brightness: Measured
    """Centre of gravity of the spectrum, in harmonics [1]."""


class SlurPath(Enum):
    """The way the pitch took from one note to the other."""

    DIRECT = "direct"
    SCOOP = "scoop"
    """It came in from below and crept up."""
    OVERSHOOT = "overshoot"
    """It went past the note and came back."""
    PARTIAL = "partial"
    """Another note of the same fingering sounded between."""
    FELL_BACK = "fell back"
    """The first note came again before the second held."""


class SlurOutcome(Enum):
    """What became of a slur."""

    CLEAN = "clean"
    TONGUED = "tongued"
    BROKE = "broke"
    WRONG_NOTE = "wrong note"
    """It landed on another note than was asked."""


@dataclass(frozen=True, slots=True)
class Foreign:
    """A note that sounded between the two."""

    hz: float
    partial: int | None
    """Of the asked fingering's series; None where it is none of them."""
    length_ms: Figure


class Reason(Enum):
    """Why a slur is heard as less than smooth, in the order in which it is heard: the first weighs most."""

    SILENCE = "silence"
    ABRUPT = "abrupt"
    """The sound ends and starts abruptly: a deep dip."""
    TONGUE = "tongue"
    FOREIGN = "foreign"
    FELL_BACK = "fell back"
    SLOW = "slow"
    """The change takes long enough to be heard as a smear."""
    SCOOP = "scoop"
    OVERSHOOT = "overshoot"
    WRONG_NOTE = "wrong note"


@dataclass(frozen=True, slots=True)
class SlurMeasure:
    """One slurred pair as it was played."""

    first: int
    second: int
    """Indices into ``Following.played``."""
    time_ms: Measured
    """From the last moment within a tenth of the interval of the first pitch to the first moment within a tenth of
    the second [ms]."""
    dip_db: Measured
    """How far the level falls below the straight line between the two notes' levels; 0 for no dip [dB]."""
    dip_ms: Measured
    """How long it lies more than 3 dB below that line [ms]."""
    silence_ms: Measured
    """How long it lies more than 20 dB below that line [ms]."""
    scoop_cents: Measured
    """How far below the second note it arrives; 0 for a clean landing [cents]."""
    overshoot_cents: Measured
    """How far it goes past the second note [cents]."""
    path: SlurPath
    foreign: Foreign | None
    outcome: SlurOutcome
    outcome_chance: float
    """How sure the outcome is, 0..1."""
    quality: Measured
    """How smooth it is, from 0 (broken) to 1."""
    reasons: tuple[Reason, ...]
    """What spoils it, heaviest first."""
