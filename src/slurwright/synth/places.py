"""Where and with what a take is recorded: room, microphone, noise. Values only."""

from dataclasses import dataclass
from enum import Enum

__all__ = ["Colour", "Place", "Room"]


@dataclass(frozen=True, slots=True)
class Room:
    """A room with a place for the player and one for the microphone."""

    decay_s: float
    """Time in which the sound of the middle band falls by 60 dB [s]."""
    direct_db: float
    """Energy of the direct sound against all that the room adds, in the middle band, 250 to 1000 Hz [dB]."""


class Colour(Enum):
    """How the power of a noise depends on frequency."""

    WHITE = 0.0
    PINK = 1.0
    BROWN = 2.0


@dataclass(frozen=True, slots=True)
class Place:
    """Where and with what a take is recorded."""

    room: Room | None = None
    noise_db: float | None = None
    """The played sound's level over the noise; None for no noise [dB]."""
    colour: Colour = Colour.WHITE
    high_pass_hz: float | None = None
    """Lower corner of a small microphone; None for none [Hz]."""
