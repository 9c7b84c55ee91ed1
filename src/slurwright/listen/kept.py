"""Takes as they are kept: what was asked, the recording, and what was measured, note by note and slur by slur.

Plain values without arrays, so that what only reads the past (lists, evidence, practice) loads nothing that listens.
"""

from dataclasses import dataclass
from datetime import date, datetime
from enum import Enum

from slurwright.listen.followed import PlayedAs
from slurwright.listen.measures import NoteMeasure, SlurMeasure
from slurwright.pitch import A4_HZ, SoundingPitch, WrittenPitch

__all__ = [
    "AskedFor",
    "KeptMeasures",
    "KeptNote",
    "KeptSlur",
    "KeptTake",
    "PlayedSlur",
    "SoundFile",
    "TakeAbout",
    "TakeState",
    "TakenNote",
    "TakenPart",
    "TakenWay",
    "WholeTake",
]


class TakeState(Enum):
    """How far a take has come."""

    RECEIVED = "received"
    """Its sound is safe; it waits to be measured."""
    MEASURED = "measured"
    FAILED = "failed"
    """It could not be measured; its sound is still there and it can be tried again."""


@dataclass(frozen=True, slots=True)
class TakenPart:
    """The part that a take is of, so that it is known again when it comes in another file."""

    file: str
    """Name of the file, without its folder."""
    fingerprint: str
    """Of the part's content, see ``score.fingerprint``."""
    title: str = ""
    name: str = ""
    """Of the part in its score."""


@dataclass(frozen=True, slots=True)
class AskedFor:
    """Which of the line was asked for, and under which conditions."""

    first: int
    """Index of the first asked sound of the line, which has each sound once for each time that it is played."""
    last: int
    """Index of the last one."""
    bars: str = ""
    """Printed numbers, "5-12"; empty for the whole part."""
    reading: str = ""
    """Id of the reading in which the player had the part."""
    dynamic: str | None = None
    """Mark that was asked for throughout; None for the part's own."""
    tempo_qpm: float | None = None
    """Tempo that was asked for at the start; None for the part's own [quarters per minute]."""
    a4_hz: float = A4_HZ
    """What the cents are counted from [Hz]."""
    temperature_c: float | None = None
    """Air in the horn where it is known [degC]."""


@dataclass(frozen=True, slots=True)
class TakeAbout:
    """What is known of a take before anything is measured."""

    player_id: str
    horn_id: str | None
    """The player's own horn; None for a model of the catalogue."""
    model: str
    """Id in the catalogue."""
    tuning: str | None
    """Scheme by which the valve slides are set; None for the model's usual one."""
    part: TakenPart
    asked: AskedFor
    played_on: date
    """Day on the player's calendar."""
    note: str = ""
    """What the player wants to remember about it."""
    keeps_sound: bool = True
    """False where the player wants the recording to be removed as soon as the figures are kept."""


@dataclass(frozen=True, slots=True)
class SoundFile:
    """The kept recording of a take."""

    name: str
    """Of the file in the folder of takes; made from the take's id."""
    size_bytes: int
    """How long the file is [bytes]."""
    sha256: str
    """Of its bytes, in hexadecimal digits."""
    called: str
    """What the player's own file was called."""


@dataclass(frozen=True, slots=True)
class KeptTake:
    """A take that is kept."""

    id: str
    about: TakeAbout
    made_at: datetime
    """When it was received."""
    changed_at: datetime
    state: TakeState = TakeState.RECEIVED
    failure: str = ""
    """Why it could not be measured; empty unless it failed."""
    sound: SoundFile | None = None
    """None where the player does not keep it."""
    method: str = ""
    """Version of the measuring that its measures come from; empty where there are none."""
    length_s: float | None = None
    """How long the recording is; None until it is measured [s]."""
    deleted_at: datetime | None = None
    """When it was deleted; None while it stands. Deletion can be taken back."""


@dataclass(frozen=True, slots=True)
class TakenWay:
    """A note as it was asked for: how it is read and sounds, and what it was tried with."""

    written: WrittenPitch
    sounding: SoundingPitch
    fingering: str
    partial: int


@dataclass(frozen=True, slots=True)
class KeptNote:
    """One note of a take: what was asked, and what was measured."""

    asked: int
    """Index into the passage: counted from ``AskedFor.first``."""
    label: str
    """Where it stands in print, "12:3" for the third beat of bar 12."""
    way: TakenWay
    technique: str | None
    """How the move into it was made, a name of ``plan.Technique``; None where it is not slurred into."""
    dynamic: float
    """Dynamic that was asked for [steps from mf]."""
    played_as: PlayedAs
    onset_s: float
    """When it starts, from the start of the recording [s]."""
    offset_s: float
    measure: NoteMeasure


@dataclass(frozen=True, slots=True)
class KeptSlur:
    """One slur of a take: what was asked and tried, and what was measured."""

    asked: tuple[int, int]
    """Indices of its two notes into the passage."""
    label: str
    """Where its first note stands in print."""
    ways: tuple[TakenWay, TakenWay]
    technique: str
    """What was tried, a name of ``plan.Technique``."""
    dynamic: float
    """Dynamic that was asked for at the change [steps from mf]."""
    tempo_qpm: float
    """Tempo that was asked for there [quarters per minute]."""
    time_s: float
    """From onset to onset as asked for [s]."""
    measure: SlurMeasure
    hold_s: float | None = None
    """How long its second note lasts as asked for; None in takes that did not say [s]."""


@dataclass(frozen=True, slots=True)
class KeptMeasures:
    """All that was measured in a take."""

    notes: tuple[KeptNote, ...]
    """In order of time."""
    slurs: tuple[KeptSlur, ...]
    """In order of time."""
    length_s: float
    """How long the recording is [s]."""
    method: str
    """Version of the measuring."""
    measures_json: str
    """The full document of the measures, so that nothing is lost; the store does not look into it."""
    schema: int
    """Version of that document."""


@dataclass(frozen=True, slots=True)
class PlayedSlur:
    """A slur out of many takes, with what its take says of it."""

    take_id: str
    horn_id: str | None
    played_on: date
    slur: KeptSlur
    levels_db: tuple[float, float] | None = None
    """Levels of its two notes against full scale; None where one of them was not measured [dB]."""


@dataclass(frozen=True, slots=True)
class TakenNote:
    """A note out of many takes, with what its take says of it."""

    take_id: str
    horn_id: str | None
    played_on: date
    note: KeptNote


@dataclass(frozen=True, slots=True)
class WholeTake:
    """A take with its measures."""

    take: KeptTake
    measures: KeptMeasures | None
    """None unless it is measured."""
