"""A horn: the instrument's settings, ranges, readings and normal fingerings as one small value."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum

from slurwright.horn.setting import Setting
from slurwright.horn.tubing import Tubing
from slurwright.pitch import Reading, SoundingPitch

__all__ = ["Horn", "HornKind", "MovableSlide"]


class HornKind(StrEnum):
    """How the player changes the length of the tube."""

    VALVES = "valves"
    SLIDE = "slide"


@dataclass(frozen=True, slots=True)
class MovableSlide:
    """A tuning slide that can be set before playing, and perhaps moved while playing."""

    name: str
    """"main", or that of the piece of tube it lengthens: "valve 3", "valve 3 T", "open T"."""
    out_m: float
    """How far it can be drawn from the place where its tube has the length that the tuning scheme says [m]."""
    in_m: float
    """How far it can be pushed in from that place [m]."""
    step_m: float
    """Finest step by which a player can set it [m]."""
    kick: bool = False
    """True if it has a ring, saddle or trigger, so that it moves while playing."""


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
    spreads: Mapping[tuple[str, int], float] = field(default_factory=dict)
    """How well single ways are known, (fingering, partial) -> standard deviation; the others have priors [cents]."""
    tubing: Tubing = field(default_factory=Tubing)
    """The valves, sides, rotors and compensation that the settings were made from."""
    alternates: Mapping[int, tuple[tuple[str, int], ...]] = field(default_factory=dict)
    """Sounding MIDI number -> the (fingering, partial) that players learn first beside the normal one."""
    gaps: tuple[int, ...] = ()
    """Sounding MIDI numbers of the possible range that no fingering plays: physics leaves them out."""
    slides: tuple[MovableSlide, ...] = ()
    """Tuning slides, the main one first."""
    measured_tones: int = 0
    """How many tones measured on this very instrument its tendencies and spreads were learnt from; 0 where they are
    those of the model."""
