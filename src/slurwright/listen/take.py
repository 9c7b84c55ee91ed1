"""All that was measured in one take."""

from dataclasses import dataclass

from slurwright.listen.followed import Following
from slurwright.listen.measures import LevelCheck, NoteMeasure, Room, SlurMeasure
from slurwright.listen.passage import Passage
from slurwright.listen.track import PitchTrack

__all__ = ["TakeMeasure"]


@dataclass(frozen=True, slots=True, eq=False)
class TakeMeasure:
    """A take, measured note by note and slur by slur."""

    passage: Passage
    length_s: float
    """How long the recording is [s]."""
    level: LevelCheck
    room: Room
    track: PitchTrack
    following: Following
    notes: tuple[NoteMeasure, ...]
    """Of every note that stands for an asked one, in order of time."""
    slurs: tuple[SlurMeasure, ...]
    """Of every slurred pair that was played one after the other, in order of time."""
