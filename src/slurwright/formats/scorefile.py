"""What every notation reader gives: an opened score that lists its parts and hands out one of them."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Protocol

from slurwright.errors import PartError
from slurwright.score import Part

__all__ = ["PartHeading", "ScoreFile", "choose_heading"]


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


def choose_heading(headings: Sequence[PartHeading], wanted: str | None, *, where: str = "") -> PartHeading:
    """Find the part that the player means: by number, id, name or instrument.

    Upper and lower case count alike. An exact match goes before the beginning of a name, and that before a word
    inside it; "2" is the second part even where a name is "2".

    Args:
        headings: what the score lists.
        wanted: the player's word; None takes the only part.
        where: name of the file, for messages.

    Raises:
        PartError: no part, no such part, or several that fit.

    """
    if not headings:
        raise PartError("the score has no parts", where=where)
    if wanted is None:
        if len(headings) == 1:
            return headings[0]
        raise PartError("which part? The score has several", allowed=_listed(headings), where=where)
    asked = wanted.strip().casefold()
    for fits in _matchers(asked):
        found = [heading for heading in headings if fits(heading)]
        if len(found) == 1:
            return found[0]
        if found:
            raise PartError("more than one part has that name", got=repr(wanted), allowed=_listed(found), where=where)
    raise PartError("no such part", got=repr(wanted), allowed=_listed(headings), where=where)


def _matchers(asked: str) -> tuple[Callable[[PartHeading], bool], ...]:
    """From the strictest way to fit to the loosest."""

    def texts(heading: PartHeading) -> tuple[str, str]:
        return heading.name.casefold(), heading.instrument.casefold()

    exact: tuple[Callable[[PartHeading], bool], ...] = (
        lambda heading: str(heading.number) == asked,
        lambda heading: heading.id.casefold() == asked,
        lambda heading: texts(heading)[0] == asked,
        lambda heading: texts(heading)[1] == asked,
    )
    if not asked or asked.isdigit():
        return exact if asked else ()
    return (
        *exact,
        lambda heading: any(text.startswith(asked) for text in texts(heading)),
        lambda heading: any(asked in text for text in texts(heading)),
    )


def _listed(headings: Sequence[PartHeading]) -> str:
    """Offer the parts by number and name."""
    return ", ".join(f"{heading.number} {heading.name or heading.id}".strip() for heading in headings)
