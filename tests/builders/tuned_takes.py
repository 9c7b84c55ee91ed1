"""Notes of takes whose places are known: each note's own place over weeks, what whole takes are off, bad days."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np
from numpy.typing import NDArray

from slurwright.listen.figure import NINE_IN_TEN, Figure, Hidden, Measured, Veil
from slurwright.listen.followed import PlayedAs
from slurwright.listen.kept import KeptNote, TakenNote, TakenWay
from slurwright.listen.measures import NoteMeasure
from slurwright.pitch import SoundingPitch, WrittenPitch

__all__ = ["MONDAY", "Tuner", "taken_note", "takes_of", "way_of"]

MONDAY = date(2026, 8, 31)


def way_of(midi: int, fingering: str = "0", partial: int = 4) -> TakenWay:
    sounding = SoundingPitch.from_midi(midi)
    return TakenWay(WrittenPitch.named(str(sounding)), sounding, fingering, partial)


def taken_note(
    cents: Measured | float, *, midi: int = 58, take: str = "t0", day: date = MONDAY, sd: float = 1.5
) -> TakenNote:
    if isinstance(cents, float):
        cents = Figure(cents, cents - NINE_IN_TEN * sd, cents + NINE_IN_TEN * sd)
    nothing = Hidden(Veil.SHORT)
    measure = NoteMeasure(0, cents, (0.1, 0.4), nothing, nothing, nothing, None, -20.0, nothing)
    note = KeptNote(0, "1:1", way_of(midi), None, 0.0, PlayedAs.ASKED, 0.0, 0.5, measure)
    return TakenNote(take, "h1", day, note)


@dataclass(frozen=True)
class Tuner:
    """A player whose notes' places are known."""

    days: Sequence[int]
    """One take each, counted from `MONDAY`."""
    places: NDArray[np.float64]
    """Where each note lies on each of the days. shape=(notes, days)"""
    offsets: NDArray[np.float64]
    """What each take is off. shape=(days,)"""
    scatter: float = 4.0
    sd: float = 1.5
    times: int = 2
    """How often each note comes in a take."""
    missed: float = 0.3
    """Share of notes that a take does not have."""
    bad_days: float = 0.05
    """Share of notes in a take that are out by far more."""


def takes_of(tuner: Tuner, rng: np.random.Generator) -> tuple[TakenNote, ...]:
    found = []
    for place, day in enumerate(tuner.days):
        for note in range(len(tuner.places)):
            if rng.random() < tuner.missed:
                continue
            scatter = tuner.scatter * (4.0 if rng.random() < tuner.bad_days else 1.0)
            there = tuner.places[note, place] + tuner.offsets[place] + scatter * rng.standard_normal()
            for _ in range(tuner.times):
                cents = there + 2.0 * rng.standard_normal() + tuner.sd * rng.standard_normal()
                when = MONDAY + timedelta(days=int(day))
                found.append(taken_note(float(cents), midi=50 + note, take=f"t{place:03}", day=when, sd=tuner.sd))
    return tuple(found)
