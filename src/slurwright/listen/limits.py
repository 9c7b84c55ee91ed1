"""Limits of what counts as smooth, loud enough, a note: handed in as a value, kept in a table with their sources."""

from dataclasses import dataclass

__all__ = ["Limits", "QualityLimits"]


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
class Limits:
    """All limits of the room."""

    quality: QualityLimits
