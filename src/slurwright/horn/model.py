"""A horn: the instrument's settings, ranges, readings and normal fingerings as one small value."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum

from slurwright.horn.setting import Setting
from slurwright.pitch import Reading, SoundingPitch

__all__ = ["Horn", "HornKind"]


class HornKind(StrEnum):
    """How the player changes the length of the tube."""

    VALVES = "valves"
    SLIDE = "slide"


@dataclass(frozen=True, slots=True)
class Horn:
    """One instrument as it is tuned; made from a catalogue model, later with what was measured on it."""

    id: str
    name: str
    kind: HornKind
    open_pitch: SoundingPitch
    """Partial 1 of the open horn (main side): the nominal pedal note."""
    open_length_m: float
    """Effective length c/(2 f1) of the open main side [m]."""
    settings: tuple[Setting, ...]
    """Every setting of a valved horn; on a slide, the settings at the whole positions of each rotor state."""
    normal: Mapping[int, tuple[str, int]]
    """Sounding MIDI number -> (fingering, partial) that players are taught first, over the possible range."""
    readings: tuple[Reading, ...]
    """First one is the usual reading."""
    comfortable: tuple[SoundingPitch, SoundingPitch]
    possible: tuple[SoundingPitch, SoundingPitch]
    tuning: str
    """Name of the scheme by which the valve slides are set: "exact", "third-long-23", …"""
    longest_slide_m: float = 0.0
    """Travel of the hand slide [m]; 0 on valves."""
    tendencies: Mapping[tuple[str, int], float] = field(default_factory=dict)
    """Known tendency of single ways beyond what the lengths say, (fingering, partial) -> cents to be added."""
