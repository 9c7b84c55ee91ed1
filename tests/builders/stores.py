"""Stores for tests: a small band of invented people, with ids and times that are always the same."""

import itertools
from collections.abc import Callable
from datetime import UTC, date, datetime, timedelta

from slurwright.horn.learnt.values import ToneReading
from slurwright.horn.owned import PlayedTone, Source
from slurwright.pitch import SoundingPitch, WrittenPitch
from slurwright.store import Store

NOW = datetime(2026, 1, 9, 18, 30, tzinfo=UTC)


def counted_ids(prefix: str = "id") -> Callable[[], str]:
    """Ids that tell the order in which they were given out."""
    numbers = itertools.count(1)
    return lambda: f"{prefix}{next(numbers):04d}"


def played(
    cents: float = -12.5, *, sounding: str = "F3", fingering: str = "4", partial: int = 3, session: str = "monday"
) -> PlayedTone:
    """A plausible reading of a euphonium."""
    tone = ToneReading(SoundingPitch.named(sounding), fingering, partial, cents, session)
    return PlayedTone(tone, date(2026, 1, 9), Source.TYPED)


def detailed() -> PlayedTone:
    """A reading with everything said."""
    tone = ToneReading(
        SoundingPitch.named("Bb2"),
        "1-2-3",
        3,
        7.25,
        "after the concert",
        dynamic=-2.0,
        temperature_c=18.5,
        sd_cents=1.5,
    )
    return PlayedTone(tone, date(2026, 1, 8), Source.CSV, WrittenPitch.named("C4"), "the slide was dry")


def fill(store: Store) -> None:
    """Two players; three horns, one of them deleted; readings, one withdrawn and one withdrawn and restored."""
    ida = store.add_player("Ida Moor", now=NOW)
    tom = store.add_player("Tómas Hill", now=NOW + timedelta(minutes=1))
    old = store.add_horn(ida.id, "the old one", model="euphonium-4c", notes="3rd valve sticks\nin the cold", now=NOW)
    store.add_horn(ida.id, "lent", model="tuba-eb-4c", now=NOW + timedelta(minutes=2))
    gone = store.add_horn(tom.id, "sold", model="trumpet-b", tuning="even", now=NOW + timedelta(minutes=3))
    first = store.add_readings(old.id, [played(), played(3.0, fingering="1-3"), detailed()], now=NOW)
    store.add_readings(old.id, [played(-0.1 - 0.2)], now=NOW + timedelta(days=1))
    store.add_readings(gone.id, [played(1e-9)], now=NOW)
    store.withdraw([first[0].id, first[1].id], now=NOW + timedelta(days=2))
    store.restore([first[1].id], now=NOW + timedelta(days=3))
    store.delete_horn(gone.id, now=NOW + timedelta(days=4))
