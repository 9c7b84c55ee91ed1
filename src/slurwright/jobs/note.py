"""The ways of one note, by name."""

from dataclasses import dataclass

from slurwright.errors import PlanError
from slurwright.horn import Horn, why_no_fingering
from slurwright.jobs.readings import reading_named
from slurwright.pitch import SoundingPitch, WrittenPitch
from slurwright.plan import Way, ways_of
from slurwright.plan.familiar import Familiarity

__all__ = ["NoteWays", "ways_of_note"]


@dataclass(frozen=True, slots=True)
class NoteWays:
    """A note and every way that sounds it, best first."""

    sounding: SoundingPitch
    written: WrittenPitch
    ways: tuple[Way, ...]


def ways_of_note(name: str, horn: Horn, *, familiarity: Familiarity, reading: str | None = None) -> NoteWays:
    """Find every way of a note.

    Args:
        name: ASCII pitch name, at concert pitch unless a reading is given.
        horn: the horn.
        familiarity: priors of how familiar and how well known ways are.
        reading: id of the reading in which the name is written.

    Raises:
        PitchError: not a pitch name.
        RequestError: the horn is not read that way.
        PlanError: nothing on this horn sounds the note.
    """
    shown = reading_named(reading, horn) if reading else horn.readings[0]
    if reading:
        written = WrittenPitch.named(name)
        sounding = shown.transposition.to_sounding(written)
    else:
        sounding = SoundingPitch.named(name)
        written = shown.transposition.to_written(sounding)
    ways = ways_of(sounding, horn, familiarity=familiarity)
    if not ways:
        low, high = horn.possible
        raise PlanError(why_no_fingering(horn, sounding), got=str(sounding), allowed=f"sounding {low} to {high}")
    return NoteWays(sounding, written, ways)
