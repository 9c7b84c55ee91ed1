"""Players who practise a few slurs for weeks, and whose true chances are known on every day."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from functools import cache

import numpy as np
from numpy.typing import NDArray

from slurwright.devices.packaged import load_beliefs, load_chances, load_horn
from slurwright.evidence.attempts import Attempt, Became, Source, Tried
from slurwright.evidence.learning.learn import learn
from slurwright.evidence.progress.tracks import Tracker
from slurwright.horn import Horn
from slurwright.listen.kept import TakenWay
from slurwright.pitch import SoundingPitch, WrittenPitch
from slurwright.plan import Technique, ways_of

__all__ = ["HORN", "MONDAY", "Practised", "attempts_at", "slur", "tracked", "way"]

HORN = "euphonium-4c"
MONDAY = date(2026, 8, 31)


@cache
def horn() -> Horn:
    return load_horn(HORN)


def way(name: str, fingering: str | None = None) -> TakenWay:
    """Name a way by its sounding pitch, on its normal fingering unless one is said."""
    sounding = SoundingPitch.named(name)
    normal, partial = horn().normal[sounding.midi]
    if fingering is not None and fingering != normal:
        partial = next(one.partial for one in ways_of(sounding, horn()) if one.fingering == fingering)
    return TakenWay(WrittenPitch.named(name), sounding, fingering or normal, partial)


def slur(
    first: str,
    second: str,
    *,
    technique: Technique = Technique.PLAIN,
    fingerings: tuple[str | None, str | None] = (None, None),
    dynamic: float = -1.0,
) -> Tried:
    ways = way(first, fingerings[0]), way(second, fingerings[1])
    return Tried(ways, technique, dynamic, 90.0, 0.67, 0.67)


@dataclass(frozen=True)
class Practised:
    """One slur and its true chance of speaking on each day."""

    tried: Tried
    days: Sequence[int]
    """Counted from `MONDAY`; one attempt each."""
    speaks: NDArray[np.float64]
    """True chance on each of the days. shape=(days,)"""
    sure: float = 0.95
    """How often what is said of an attempt is right, and how sure it claims to be."""


def attempts_at(practised: Practised, rng: np.random.Generator, *, on: str = HORN) -> tuple[Attempt, ...]:
    found = []
    for day, chance in zip(practised.days, practised.speaks, strict=True):
        said = (rng.random() < chance) == (rng.random() < practised.sure)
        found.append(
            Attempt(
                horn=on,
                played_on=MONDAY + timedelta(days=int(day)),
                tried=practised.tried,
                became=Became.SPOKE if said else Became.BROKE,
                spoke=practised.sure if said else 1.0 - practised.sure,
                quality=None,
                source=Source.TAKE,
                label="12:3",
                take_id=f"t{day}",
            )
        )
    return tuple(found)


def tracked(attempts: Sequence[Attempt], *, today: date, horns: Mapping[str, Horn] | None = None) -> Tracker:
    horns = {HORN: horn()} if horns is None else horns
    learnt = learn(attempts, horns, chances=load_chances(), beliefs=load_beliefs(), today=today)
    return Tracker(learnt, horns)
