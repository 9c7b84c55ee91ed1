"""A learnt horn as its player looks at it: every note, every way, where it sits and how that is known."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from enum import StrEnum

from slurwright.horn import Horn, HornKind
from slurwright.horn.learnt import Tendency
from slurwright.horn.learnt.learn import LearntHorn
from slurwright.horn.learnt.predict import predict
from slurwright.pitch import SoundingPitch
from slurwright.plan.familiar import Familiarity
from slurwright.plan.ways import Way, notes_of_range, ways_of

__all__ = ["ChartedNote", "ChartedWay", "Knowledge", "charted", "knowledge_of"]

_TOLD = 1.0 / 3.0
"""A way of which other ways have told so much of what was unknown counts as inferred; ours [1]."""

_ANOTHER_NOTE_CENTS = 75.0
"""Nothing that a player would place there is so far out; ours [cents]."""


class Knowledge(StrEnum):
    """Where the figure of a way comes from."""

    MEASURED = "measured"
    """Readings of this very way."""
    INFERRED = "inferred"
    """Readings of other ways that share tube or partial with it."""
    PRIOR = "prior"
    """Next to nothing but what holds of any horn of this model."""


@dataclass(frozen=True, slots=True)
class ChartedWay:
    """One way of a note, as this horn has it."""

    way: Way
    tendency: Tendency
    knowledge: Knowledge


@dataclass(frozen=True, slots=True)
class ChartedNote:
    """One note and its ways, best first."""

    sounding: SoundingPitch
    ways: tuple[ChartedWay, ...]


def knowledge_of(tendency: Tendency) -> Knowledge:
    """Say where a figure comes from, in one word."""
    if tendency.readings:
        return Knowledge.MEASURED
    return Knowledge.INFERRED if tendency.shares.inferred >= _TOLD else Knowledge.PRIOR


def charted(
    learnt: LearntHorn, horn: Horn, *, familiarity: Familiarity, notes: Sequence[SoundingPitch] | None = None
) -> tuple[ChartedNote, ...]:
    """Say of each note which ways there are on this horn and where each sits, lowest note first.

    Args:
        learnt: what was learnt.
        horn: the same horn with what was learnt as tendencies.
        familiarity: priors of how familiar ways are.
        notes: those that are wanted; None for every note of the range.
    """
    wanted = notes_of_range(horn) if notes is None else notes
    ways = {sounding: ways_of(sounding, horn, familiarity=familiarity) for sounding in wanted}
    named = [(way.fingering, way.partial, sounding) for sounding, own in ways.items() for way in own]
    found = iter(predict(learnt, named))
    return tuple(
        ChartedNote(sounding, tuple(_charted_way(way, next(found), horn) for way in own))
        for sounding, own in ways.items()
    )


def _charted_way(way: Way, tendency: Tendency, horn: Horn) -> ChartedWay:
    """Pair a way with its tendency.

    Between two positions of a hand slide one name means two notes, and the tendency may be told against the other;
    what the player places anew for each note is as far out on both.
    """
    if horn.kind is HornKind.SLIDE and abs(tendency.mean_cents) > _ANOTHER_NOTE_CENTS:
        away = 100.0 * round(tendency.mean_cents / 100.0)
        tendency = replace(
            tendency,
            mean_cents=tendency.mean_cents - away,
            low_cents=tendency.low_cents - away,
            high_cents=tendency.high_cents - away,
        )
    return ChartedWay(way, tendency, knowledge_of(tendency))
