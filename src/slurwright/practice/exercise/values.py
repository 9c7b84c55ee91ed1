"""An exercise for a weak slur, or for every day, as a value: notes, fingerings, techniques, tempo, rest.

The notes are a `Part` of their own, in the player's reading, complete enough to engrave, to write and to play.
"""

from dataclasses import dataclass
from enum import StrEnum

from slurwright.plan import Technique, Way
from slurwright.score import Part

__all__ = ["Exercise", "ExerciseKind"]


class ExerciseKind(StrEnum):
    """What an exercise is, easiest first."""

    RUNG = "rung"
    """The partials of the weak slur, slowly, over the chain of fingerings."""
    NEIGHBOURS = "neighbours"
    """The same with the rung below and the rung above."""
    SOFT = "soft"
    """The partials of the weak slur, soft, with swells, as quick as the slur itself."""
    TWO_NOTES = "two notes"
    """The slur alone, as it stands in the part."""
    PASSAGE = "passage"
    """The bars around the slur."""
    RESCUE = "rescue"
    """The slur with what helps when it does not hold: comes last."""
    DAILY = "daily"
    """Lip slurs of any day, for no slur in particular."""


@dataclass(frozen=True, slots=True)
class Exercise:
    """One exercise, ready for the stand."""

    kind: ExerciseKind
    title: str
    """In plain words, with the notes as the player reads them in ASCII: "Lip slurs F3 to Bb3"."""
    purpose: str
    """What it is good for, one sentence."""
    how: str
    """How to play it, one line."""
    part: Part
    ways: tuple[Way, ...]
    """How each note of the part is played; tied notes share theirs."""
    techniques: tuple[Technique, ...]
    """How each move of the part's line is made, in the order of ``line_of(part).moves``; PLAIN where not slurred."""
    tempo_qpm: float
    """[quarters per minute]"""
    dynamic: str
    """Mark at its beginning, "mf"."""
    level: int
    """Place on the way from easy to hard, from 1."""
    times: int
    """How often it is played."""
    play_s: float
    """How long all of that takes without the rest after it [s]."""
    rest_s: float
    """How long to rest after it [s]."""
    move: int | None = None
    """Move of the studied line that it is for; None for lip slurs of every day."""
    slur: tuple[int, int] | None = None
    """The notes of the part that this very slur leads between; None where its partials alone are practised."""

    @property
    def labels(self) -> dict[int, str]:
        """Fingerings to print, index into ``part.notes`` -> label: every note of a passage, else where it changes.

        Where it changes within slurs, each slur begins with its fingering, so that it need not be looked for before
        a rest.
        """
        shown: dict[int, str] = {}
        changing = any(
            self.ways[note].fingering != self.ways[slur.first].fingering
            for slur in self.part.slurs
            for note in range(slur.first, slur.last + 1)
        )
        begins = {slur.first for slur in self.part.slurs if changing}
        before = ""
        for note, way in zip(self.part.notes, self.ways, strict=True):
            said = self.kind is ExerciseKind.PASSAGE or way.fingering != before or note.index in begins
            if said and not note.tied_from_previous:
                shown[note.index] = way.fingering
            before = way.fingering
        return shown
