"""Attempts typed in short, for tests of what is learnt: a slur by its notes, what became of it, how long ago."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import date, timedelta

from slurwright.devices.packaged import load_beliefs, load_chances, load_horn
from slurwright.evidence.attempts import Attempt, Became, Source, Tried
from slurwright.evidence.learning.beliefs import Beliefs
from slurwright.evidence.learning.learn import Learnt, learn
from slurwright.horn import Horn
from slurwright.listen.kept import TakenWay
from slurwright.pitch import SoundingPitch
from slurwright.plan import Technique, ways_of

__all__ = ["BELIEFS", "CHANCES", "HORN", "TODAY", "UNSCALED", "attempt", "learnt_from", "named_horn", "slur", "taken"]

TODAY = date(2026, 11, 28)
CHANCES = load_chances()
BELIEFS = load_beliefs()
UNSCALED = replace(BELIEFS, scales=replace(BELIEFS.scales, sizes=(1.0,), moves=(1.0,)))
"""No other factors on sizes and changes are weighed, so that nothing jumps."""


def named_horn(model: str, horn_id: str) -> Horn:
    """A model of the catalogue under the id of a player's own."""
    return replace(load_horn(model), id=horn_id)


HORN = named_horn("euphonium-4c", "mine")


def taken(name: str, fingering: str | None = None, horn: Horn = HORN) -> TakenWay:
    """A note on its normal way, or with a fingering: on the first partial that sounds it."""
    pitch = SoundingPitch.named(name)
    way = next(way for way in ways_of(pitch, horn) if fingering in {None, way.fingering})
    written = horn.readings[0].transposition.to_written(pitch)
    return TakenWay(written, pitch, way.fingering, way.partial)


def slur(
    first: str,
    second: str,
    *,
    fingering: str | None = None,
    technique: Technique = Technique.PLAIN,
    dynamic: float = 0.0,
    seconds: float = 0.5,
    horn: Horn = HORN,
) -> Tried:
    """A slur between two notes; ``fingering`` is that of the second."""
    ways = taken(first, horn=horn), taken(second, fingering, horn)
    return Tried(ways, technique, dynamic, 60.0 / seconds, seconds, seconds)


def attempt(tried: Tried, spoke: float, *, weeks: float = 0.0, horn: str = "mine", wrong: bool = False) -> Attempt:
    """One attempt at a slur, so many weeks before today."""
    became = Became.WRONG_NOTE if wrong else Became.SPOKE if spoke >= 0.5 else Became.BROKE
    return Attempt(horn, TODAY - timedelta(days=round(7 * weeks)), tried, became, spoke, None, Source.EAR)


def learnt_from(attempts: Sequence[Attempt], *, beliefs: Beliefs = UNSCALED, horn: Horn = HORN) -> Learnt:
    """What attempts on one horn teach."""
    return learn(attempts, {horn.id: horn}, chances=CHANCES, beliefs=beliefs, today=TODAY)
