"""Which reading a part is in, and which one the player wants."""

import difflib
from dataclasses import replace

from slurwright.errors import RequestError
from slurwright.horn import Horn
from slurwright.pitch import CONCERT, Reading
from slurwright.score import Notice, Part, read_as

__all__ = ["AS_WRITTEN", "own_reading", "reading_named", "usual_reading", "written_for"]

AS_WRITTEN = "as-written"
"""Id of the reading of a file that none of the horn's readings matches."""


def reading_named(name: str, horn: Horn) -> Reading:
    """Find one of a horn's readings by its id.

    Raises:
        RequestError: the horn is not read that way; lists how it is.
    """
    for reading in horn.readings:
        if reading.id == name:
            return reading
    ids = [reading.id for reading in horn.readings]
    close = difflib.get_close_matches(name, ids, n=1)
    raise RequestError(
        f"{horn.id} has no such reading" + (f"; did you mean {close[0]}?" if close else ""),
        got=repr(name),
        allowed=", ".join(ids),
    )


def usual_reading(name: str | None, horn: Horn) -> Reading:
    """Find the reading that the player names, or the one that is usual for the horn.

    Raises:
        RequestError: the horn is not read that way; lists how it is.
    """
    return horn.readings[0] if name is None else reading_named(name, horn)


def own_reading(part: Part, horn: Horn) -> Reading:
    """Say in which reading the file itself is written, by its first transposition and clef."""
    first = part.measures[0]
    same = [reading for reading in horn.readings if reading.transposition == first.transposition]
    for reading in same:
        if reading.clef == first.clef:
            return reading
    if same:
        place = same[0].name.partition(" clef")[2]
        return replace(same[0], id=AS_WRITTEN, name=f"{first.clef.value} clef{place}", clef=first.clef)
    return Reading(AS_WRITTEN, "as written in the file", first.clef, first.transposition)


def written_for(part: Part, horn: Horn, name: str | None) -> Part:
    """Settle how far the sound lies from what is written.

    A file that says so is believed; where it says nothing the notation standards mean concert pitch, and a
    notice tells a player whose horn transposes how to say otherwise.

    Args:
        part: as read from the file.
        horn: the player's horn.
        name: id of the reading that the player says the file is written in; None if they say nothing.
    """
    if name is not None:
        reading = reading_named(name, horn)
        stated = part.measures[0].transposition
        notices = part.notices
        if part.states_transposition and stated != reading.transposition:
            notices += (
                Notice(
                    f"the file says that it sounds {stated.semitones:+d} semitones from what is written; "
                    f"read as {reading.id} ({reading.transposition.semitones:+d}) as asked"
                ),
            )
        stated_now = replace(part, notices=notices, states_transposition=True)
        return read_as(stated_now, reading.transposition)
    usual = horn.readings[0]
    if not part.states_transposition and usual.transposition != CONCERT:
        return replace(
            part,
            notices=(
                *part.notices,
                Notice(
                    "the file does not say how it transposes, so it is read at concert pitch; if it is written for "
                    f"your instrument say --written-for {usual.id}"
                ),
            ),
        )
    return part
