"""What a player knows of single ways of their horn, in their own words: "F3 4 -12"."""

import re
from collections.abc import Sequence

from slurwright.errors import Fault, FingeringError, PitchError, RequestError
from slurwright.horn import Horn, with_tendencies
from slurwright.pitch import SoundingPitch
from slurwright.plan import Way, ways_of

__all__ = ["LARGEST_TENDENCY_CENTS", "told_tendencies"]

LARGEST_TENDENCY_CENTS = 100.0
"""Further out than a semitone another note was played; common practice [cents]."""

_WORDS = re.compile(r"\s*(\S+)\s+(\S+)\s+([+\-−]?\d+(?:\.\d+)?)\s*")


def told_tendencies(horn: Horn, told: Sequence[str]) -> Horn:
    """Set a horn as its player knows it: where a way sits is believed instead of what its length says.

    Args:
        horn: the horn.
        told: each "sounding-pitch fingering cents", such as "F3 4 -12".

    Raises:
        RequestError: one or more of them mean nothing on this horn; all faults at once.
    """
    added: dict[tuple[str, int], float] = {}
    faults: list[Fault] = []
    for words in told:
        try:
            way, cents = _way_and_cents(horn, words)
        except (RequestError, PitchError, FingeringError) as error:
            faults.extend(error.faults)
            continue
        known = horn.tendencies.get((way.fingering, way.partial), 0.0)
        added[way.fingering, way.partial] = cents - way.cents + known
    if faults:
        raise RequestError(faults=tuple(faults))
    return with_tendencies(horn, {**horn.tendencies, **added}) if added else horn


def _way_and_cents(horn: Horn, words: str) -> tuple[Way, float]:
    match = _WORDS.fullmatch(words)
    if match is None:
        raise RequestError(
            "a tendency is a sounding note, a fingering and cents", got=repr(words), allowed='such as "F3 4 -12"'
        )
    pitch, fingering, number = match.groups()
    cents = float(number.replace("−", "-"))
    if abs(cents) > LARGEST_TENDENCY_CENTS:
        raise RequestError(
            "so far out it is another note",
            got=f"{cents:+g} cents",
            allowed=f"within {LARGEST_TENDENCY_CENTS:g} cents",
            where=words,
        )
    ways = ways_of(SoundingPitch.named(pitch), horn)
    for way in ways:
        if way.fingering == fingering:
            return way, cents
    raise FingeringError(
        f"this fingering does not sound {pitch} on {horn.id}",
        got=fingering,
        allowed=", ".join(way.fingering for way in ways) or "nothing: out of range",
        where=words,
    )
