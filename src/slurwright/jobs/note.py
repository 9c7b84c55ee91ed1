"""The ways of one note, by name."""

from dataclasses import dataclass

from slurwright.errors import PlanError
from slurwright.horn import Horn, why_no_fingering
from slurwright.jobs.readings import reading_named
from slurwright.pitch import SoundingPitch, WrittenPitch
from slurwright.plan import Chances, Way, ways_of
from slurwright.plan.familiar import Familiarity
from slurwright.plan.known import Known
from slurwright.plan.rating import chances_of_hand
from slurwright.plan.values import AtHand

__all__ = ["NoteWays", "ways_of_note"]


@dataclass(frozen=True, slots=True)
class NoteWays:
    """A note and every way that sounds it, best first."""

    sounding: SoundingPitch
    written: WrittenPitch
    ways: tuple[Way, ...]
    at_hand: tuple[AtHand, ...] = ()
    """For each way; empty where nothing is known of the player."""


def ways_of_note(
    name: str,
    horn: Horn,
    *,
    familiarity: Familiarity,
    reading: str | None = None,
    chances: Chances | None = None,
    known: Known | None = None,
) -> NoteWays:
    """Find every way of a note.

    Args:
        name: ASCII pitch name, at concert pitch unless a reading is given.
        horn: the horn.
        familiarity: priors of how familiar and how well known ways are.
        reading: id of the reading in which the name is written.
        chances: priors of fingers; None leaves these out.
        known: what is known of the player beyond the priors; None leaves it out.

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
    if chances is None or known is None:
        return NoteWays(sounding, written, ways)
    prior = chances_of_hand(sounding, ways, horn, chances=chances)
    learnt = chances_of_hand(sounding, ways, horn, chances=chances, known=known)
    return NoteWays(sounding, written, ways, tuple(map(AtHand, learnt, prior)))
