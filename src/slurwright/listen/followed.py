"""Where in the part the player was: the notes that sounded, each with the written note it stands for."""

from dataclasses import dataclass
from enum import Enum

__all__ = ["Following", "PlayedAs", "PlayedNote"]


class PlayedAs(Enum):
    """How a note that sounded stands to the note that was asked."""

    ASKED = "asked"
    OCTAVE = "octave"
    """The asked note, one or more octaves away."""
    WRONG = "wrong"
    """Another note in place of the asked one."""
    EXTRA = "extra"
    """Nothing was asked here."""


@dataclass(frozen=True, slots=True)
class PlayedNote:
    """One note that sounded."""

    onset_s: float
    """When it starts to sound; after a slur, when the pitch is half way [s]."""
    onset_sd_s: float
    """Standard error of the onset [s]."""
    offset_s: float
    """When it stops; before a slur, the next note's onset [s]."""
    hz: float
    """Coarse pitch [Hz]."""
    asked: int | None
    """Index into ``Passage.notes``; None for an extra sound."""
    played_as: PlayedAs
    joined_to_next: bool = False
    """No silence lies before the next note."""


@dataclass(frozen=True, slots=True)
class Following:
    """All that sounded, in order of time. Where the player went back, ``asked`` goes back too."""

    played: tuple[PlayedNote, ...]
    missed: tuple[int, ...]
    """Asked notes inside what was played through that did not sound; indices into ``Passage.notes``."""
    restarts: tuple[int, ...] = ()
    """Indices into ``played`` where the player came back to an earlier note, or jumped ahead."""

    @property
    def first_asked(self) -> int | None:
        """First asked note that sounded; None if none did."""
        return min((note.asked for note in self.played if note.asked is not None), default=None)
