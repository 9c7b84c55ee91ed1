"""What every notation reader gives: an opened score that lists its parts and hands out one of them."""

from dataclasses import dataclass
from typing import Protocol

from slurwright.score import Part

__all__ = ["PartHeading", "ScoreFile"]


@dataclass(frozen=True, slots=True)
class PartHeading:
    """A part as the score lists it, before it is read."""

    number: int
    """Place in the score, from 1."""
    id: str
    name: str
    instrument: str = ""
    voices: tuple[str, ...] = ()


class ScoreFile(Protocol):
    """An opened notation file; parsing has been done, parts are read when asked for."""

    @property
    def format(self) -> str:
        """Short name of the notation: "musicxml", "abc", "mei", "humdrum", "midi"."""
        ...

    @property
    def headings(self) -> tuple[PartHeading, ...]:
        """The parts in score order."""
        ...

    def part(self, heading: PartHeading, *, voice: str | None = None) -> Part:
        """Read one part.

        Args:
            heading: one of `headings`.
            voice: which voice of a divisi; None takes the only one, or the only one with notes.

        Raises:
            PartError: no notes, no such voice, or several notes at once in a line that must be single.
            NotationError: the part's notation contradicts itself.
        """
        ...
