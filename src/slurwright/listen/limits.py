"""Limits of what counts as smooth, loud enough, a note: handed in as a value, kept in a table with their sources."""

from dataclasses import dataclass

__all__ = ["FallWeights", "Limits", "Losses", "QualityLimits", "SplitWeights", "TouchWeights"]


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
class SplitWeights:
    """What makes it likely that a third note sounded; they add up to the log of the odds."""

    base: float
    gain: float
    explained: float
    share: float
    log_length: float
    """For each natural log of (length in ms + 10)."""


@dataclass(frozen=True, slots=True)
class FallWeights:
    """What makes it likely that the first note came again; they add up to the log of the odds."""

    base: float
    turn_db: float
    log_return: float
    """For each natural log of (length in ms + 10)."""


@dataclass(frozen=True, slots=True)
class TouchWeights:
    """What makes a tongue, or a break, likelier than neither; they add up to the log of the odds."""

    base: float
    level_db: float
    log_level: float
    """For each natural log of (length in ms + 10)."""
    total_db: float
    sharp_db: float
    notch_db: float
    fall_db_ms: float
    rise_db_ms: float
    hiss_db: float
    puff_db: float
    octaves: float
    floor_db: float
    filled: float
    """For the depth of the whole sound as a part of what a silence would show in that room."""


@dataclass(frozen=True, slots=True)
class Limits:
    """All limits of the room."""

    quality: QualityLimits
    losses: Losses
    split: SplitWeights
    fall: FallWeights
    tongued: TouchWeights
    broke: TouchWeights
