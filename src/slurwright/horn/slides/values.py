"""What goes in and what comes out when slides are set: notes, aims, pulls and what they change, as values."""

from dataclasses import dataclass
from enum import StrEnum

from slurwright.pitch import SoundingPitch

__all__ = ["Aim", "Kick", "NoteChange", "Pull", "SlideAnswer", "SlideMove", "SlideNote", "Summary"]


class Aim(StrEnum):
    """What "best in tune" is to mean."""

    LEAST_SQUARES = "least-squares"
    """Least weighted sum of squared errors: no note pays too much, most pay a little."""
    LEAST_WORST = "least-worst"
    """Least greatest error, whatever the weights; among such settings the one with least squares."""
    MOST_IN_TUNE = "most-in-tune"
    """Greatest weight of notes within the tolerance; among such settings the one with least squares."""


@dataclass(frozen=True, slots=True)
class SlideNote:
    """One note that the slides are to suit, played in one way."""

    fingering: str
    partial: int
    sounding: SoundingPitch
    cents: float
    """Where it sits with the slides as they are, against its target, + sharp [cents]."""
    length_m: float
    """Effective length of its air column with the slides as they are [m]."""
    slides: tuple[str, ...]
    """Names of the slides that its air goes through."""
    weight: float = 1.0
    """How much it matters, above zero [1]."""


@dataclass(frozen=True, slots=True)
class Pull:
    """How far one slide goes from where it is."""

    name: str
    drawn_mm: float
    """Out above zero, in below zero [mm]."""
    exact_mm: float
    """The same before it was brought to the slide's step [mm]."""


@dataclass(frozen=True, slots=True)
class NoteChange:
    """What the pulls do to one note."""

    note: SlideNote
    before_cents: float
    after_cents: float


@dataclass(frozen=True, slots=True)
class Summary:
    """How well a set of notes is in tune."""

    rms_cents: float
    """Root of the weighted mean square [cents]."""
    worst_cents: float
    """Greatest error, without its sign [cents]."""
    within: float
    """Share of the weight within the tolerance, 0..1 [1]."""


@dataclass(frozen=True, slots=True)
class SlideAnswer:
    """Where to set the slides, and what that changes."""

    aim: Aim
    pulls: tuple[Pull, ...]
    """One a slide of the horn that may be moved, in the horn's order."""
    changes: tuple[NoteChange, ...]
    """One a note, in the order given."""
    before: Summary
    after: Summary


@dataclass(frozen=True, slots=True)
class Kick:
    """How a slide with a ring, saddle or trigger puts one note right while playing."""

    name: str
    drawn_mm: float
    """From where the slide is set, out above zero [mm]."""
    left_cents: float
    """What the travel leaves of the error, + sharp [cents]."""


@dataclass(frozen=True, slots=True)
class SlideMove:
    """How a hand slide puts one note right."""

    drawn_cm: float
    """From its place for the nominal pitch, out above zero [cm]."""
    cents_each_cm: float
    """What one centimetre does there [cents per cm]."""
    left_cents: float
    """What the travel leaves of the error, + sharp [cents]."""
