"""How familiar a way is to a player before anything is known of them, and how well it is predicted.

All numbers are provisional priors of our own. The packaged table ``ways.toml`` holds the same numbers with their
provenance beside them, and a test keeps the two equal; a caller that has read the table passes it in.
"""

from collections.abc import Collection
from dataclasses import dataclass

from slurwright.horn import Horn, Resonance
from slurwright.pitch import cents_of_ratio

__all__ = ["Familiarity", "usual_chance"]

_STRAY_PARTIALS = (7, 11, 13, 14)
_HIGH_PARTIAL = 8


@dataclass(frozen=True, slots=True)
class Familiarity:
    """Priors of familiarity, of the spread of predictions, and of the order in which ways are told."""

    normal: float = 0.98
    """Chance that the normal way is at the fingers' command [1]."""
    known: float = 0.8
    """The same for a well-known alternate [1]."""
    other: float = 0.6
    """The same for any other way, before the factors [1]."""
    unusual_fingering: float = 0.5
    """Factor if the fingering is normal for no note of the horn [1]."""
    each_rung: float = 0.85
    """Factor for each partial away from that of the normal way [1]."""
    each_semitone: float = 0.96
    """Factor for each semitone of tube more than the normal way has [1]."""
    each_high_partial: float = 0.8
    """Factor for each partial above the eighth [1]."""
    stray_partial: float = 0.5
    """Factor on partials that lie far from any semitone [1]."""
    least: float = 0.02
    """No way is less familiar than this [1]."""
    partial_cents: float = 12.0
    """Prior standard deviation of a partial's place [cents]."""
    valve_cents: float = 5.0
    """The same for each valve that is down [cents]."""
    combination_cents: float = 6.0
    """The same for two or more valves together [cents]."""
    placing_cents: float = 8.0
    """The same for a hand slide that is free to move [cents]."""
    out_of_tune_cents: float = 25.0
    """How fast a way sinks in the list as it lies further out [cents]."""


def usual_chance(
    found: Resonance, horn: Horn, *, midi: int, ordinary: Collection[str], familiarity: Familiarity
) -> float:
    """Chance that a player has a way at their fingers' command without practising it [1].

    Args:
        found: the way.
        horn: gives the normal way and the alternates that are learnt first.
        midi: the note at concert pitch [semitones].
        ordinary: fingerings that are normal for some note.
        familiarity: priors.

    """
    way = (found.setting.fingering, found.partial)
    normal = horn.normal.get(midi)
    if way == normal:
        return familiarity.normal
    if way in horn.alternates.get(midi, ()):
        return familiarity.known
    chance = familiarity.other
    if way[0] not in ordinary:
        chance *= familiarity.unusual_fingering
    if found.partial in _STRAY_PARTIALS:
        chance *= familiarity.stray_partial
    chance *= familiarity.each_high_partial ** max(0, found.partial - _HIGH_PARTIAL)
    if normal is not None:
        chance *= familiarity.each_rung ** abs(found.partial - normal[1])
        chance *= familiarity.each_semitone ** max(0.0, _more_semitones(found.partial, normal[1]))
    return max(familiarity.least, chance)


def _more_semitones(partial: int, normal_partial: int) -> float:
    """How much longer the tube is than the normal way's, which follows from the partials alone [semitones]."""
    return cents_of_ratio(partial / normal_partial) / 100.0
