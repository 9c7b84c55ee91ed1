"""What goes on the stand, as values: a part, a fingering under each note, weak slurs, the sheets behind the music.

The part must already be in the reading that the player wants. Everything that is printed beside the notation
comes in as text that is ready to print: pages decide where a text stands, never what it says.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum

from slurwright.score import Part

__all__ = ["ChoiceRow", "PageRequest", "Paper", "Picture", "RowLabel", "RowStyle", "WeakSlurMark"]


class Paper(StrEnum):
    """The sheets that a player has in the printer."""

    A4 = "a4"
    LETTER = "letter"


class RowStyle(StrEnum):
    """Which notes get a fingering under them."""

    ALL = "all"
    """Every note; what departs from the normal fingering is set bold and underlined."""
    CHANGES = "changes"
    """Only what departs from the normal fingering, and the two notes of each weak slur."""


@dataclass(frozen=True, slots=True)
class RowLabel:
    """The fingering under one note, and whether it departs from the normal one."""

    text: str
    changed: bool = False


@dataclass(frozen=True, slots=True)
class WeakSlurMark:
    """A slurred move that is likely to break, as it is marked above the staff."""

    number: int
    """Number that leads the player from the music to the table, from 1."""
    first_note: int
    last_note: int
    """Indices into ``Part.notes``: the note that is left and the note that is reached."""
    label: str
    """What stands beside the number, for example "42 %"."""


@dataclass(frozen=True, slots=True)
class ChoiceRow:
    """One weak slur's choices as a row of the table behind the music; every field is ready to print."""

    number: int
    """The same number as in `WeakSlurMark`."""
    bar: str
    notes: str
    """For example "F3 to D4"."""
    as_it_stands: str
    """Break risk as planned, for example "42 %"; "–" where a choice does not exist, in this and the next two."""
    legato_tongue: str
    half_valve: str
    others: tuple[str, ...]
    """Other fingerings with risk and cents, best first, one line each."""
    why: str
    """One sentence."""


@dataclass(frozen=True, slots=True)
class Picture:
    """A drawing that follows the music, with its heading."""

    title: str
    svg: str


@dataclass(frozen=True, slots=True)
class PageRequest:
    """One player's part with everything that is to be printed."""

    part: Part
    title: str
    subtitle: str = ""
    """Instrument, horn and reading in one line, for example "Euphonium · four valves, compensating · treble clef"."""
    running: str = ""
    """What names the part at the foot of every sheet after the first; empty for the title."""
    labels: Mapping[int, RowLabel] = field(default_factory=dict)
    """Index into ``Part.notes`` -> fingering. Continuations of ties are passed over even if they have one."""
    weak: tuple[WeakSlurMark, ...] = ()
    table: tuple[ChoiceRow, ...] = ()
    table_note: str = ""
    """What is to be said of its figures beyond what every table says."""
    legend: tuple[str, ...] = ()
    """What the signs mean, a line each; the signs that pages draw themselves are explained without being asked."""
    provenance: tuple[str, ...] = ()
    """Where the figures come from: what is prior and what was learnt, a line each."""
    cautions: tuple[str, ...] = ()
    pictures: tuple[Picture, ...] = ()
    paper: Paper = Paper.A4
    row_style: RowStyle = RowStyle.ALL
    positions: bool = False
    """True where labels are positions of a hand slide, so that words and table fit that."""
