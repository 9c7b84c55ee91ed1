"""A part as the lips and fingers meet it: sounds (ties joined) and the moves between them.

This is all that the plan needs to know of a part. `line_of` makes it from a `Part`.
"""

from dataclasses import dataclass
from fractions import Fraction

from slurwright.pitch import SoundingPitch

__all__ = ["Line", "Move", "Sound"]


@dataclass(frozen=True, slots=True)
class Sound:
    """One note as it sounds: a written note, or several joined by ties."""

    index: int
    """Place in ``Line.sounds``, from 0."""
    notes: tuple[int, ...]
    """Indices into ``Part.notes``, one or more; ties carry their fingering."""
    sounding: SoundingPitch
    onset_quarter: Fraction
    duration_quarter: Fraction
    """Zero for a grace note; `duration_s` has the time it gets."""
    duration_s: float
    """How long it lasts at its tempo [s]; a grace note is given a short length."""
    dynamic: float
    """Dynamic at its start [steps from mf]."""
    grace: bool = False
    times: int = 1
    """How often it is played, repeats and jumps counted; at least 1."""


@dataclass(frozen=True, slots=True)
class Move:
    """From one sound to the sound that is played next."""

    source: int
    target: int
    """Indices into ``Line.sounds``; ``target`` is ``source + 1`` except where a repeat or a jump leads elsewhere."""
    slurred: bool
    time_s: float
    """Time from the first sound's onset to the second's [s]: what the fingers have for the change."""
    gap_s: float
    """Silence between the two: rests, a breath [s]."""
    dynamic: float
    """Dynamic at the change [steps from mf]."""
    times: int = 1
    """How often this move is made when the part is played through, repeats and jumps counted; at least 1."""


@dataclass(frozen=True, slots=True)
class Line:
    """Sounds in written order, and every move that is really made between them."""

    sounds: tuple[Sound, ...]
    moves: tuple[Move, ...]
    """Sorted by (source, target). A written neighbour pair that is never played in sequence has no move."""

    def sound_of_note(self) -> dict[int, int]:
        """Map each index into ``Part.notes`` to the index of the sound that it belongs to."""
        return {note: sound.index for sound in self.sounds for note in sound.notes}
