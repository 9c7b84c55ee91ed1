"""What is to be written at one note of a file."""

from dataclasses import dataclass

__all__ = ["Mark"]


@dataclass(frozen=True, slots=True)
class Mark:
    """A fingering, a sign for a weak slur, or both, at one note of the player's file.

    Two marks of one file never share a place.
    """

    place: str
    """Where the note stands, as the reader of that format said it in ``Note.place``."""
    fingering: str | None = None
    """Short text such as "1-2", "T1" or "0"; None leaves the note without a fingering of ours."""
    sign: str | None = None
    """Short text for a weak slur that begins here, such as "slur 3: 24 %"; None for none."""
    above: bool = True
    """Which side of the staff the fingering stands on; a sign stands on the other side."""
