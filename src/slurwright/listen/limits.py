"""Limits of what counts as smooth, loud enough, a note: handed in as a value, kept in a table with their sources."""

from dataclasses import dataclass

__all__ = ["Limits", "Losses", "QualityLimits"]


@dataclass(frozen=True, slots=True)
class QualityLimits:
    """From where a figure of a slur begins to be heard, and where it spoils the slur altogether; both provisional."""

    silence_ms: tuple[float, float]
    dip_db: tuple[float, float]
    time_ms: tuple[float, float]
    foreign_ms: tuple[float, float]
    scoop_cents: tuple[float, float]
    overshoot_cents: tuple[float, float]


@dataclass(frozen=True, slots=True)
class Losses:
    """How much is lost where a slur is spoilt altogether: minus the natural log of the quality that is left [nats].

    They stand, and fall, in the order in which they are heard as a gap between the notes.
    """

    silence: float
    abrupt: float
    tongue: float
    foreign: float
    fell_back: float
    slow: float
    scoop: float
    overshoot: float
    wrong_note: float


@dataclass(frozen=True, slots=True)
class Limits:
    """All limits of the room."""

    quality: QualityLimits
    losses: Losses
