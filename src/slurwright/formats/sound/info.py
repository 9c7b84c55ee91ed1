"""What a sound file is, as it came."""

from dataclasses import dataclass

from slurwright.listen.raw import RawLevels

__all__ = ["SoundInfo"]


@dataclass(frozen=True, slots=True)
class SoundInfo:
    """A recording as it came, before it was brought to the working rate."""

    words: str
    """What it is, as in "WAV, 16 bit"."""
    rate_hz: int
    """Samples a second in each channel [Hz]."""
    channels: int
    length_s: float
    """How much sound was read [s]."""
    raw: RawLevels
    """What its samples were like."""
