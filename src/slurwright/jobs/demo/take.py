"""A made-up take of the demo tune: from bar 9 on, with one of each thing that a recording should tell."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from slurwright.jobs.passage import passage_of
from slurwright.plan.study import Study
from slurwright.synth import EUPHONIUM, Dwell, Place, Player, Room, Slur, Tongue, Vibrato
from slurwright.synth.faults import Excerpt, Fault, GoBack, LeaveOut, Manner, OutOfTune, SlurAs, WrongNote
from slurwright.synth.performing import perform
from slurwright.synth.rendering import render

__all__ = ["DemoTake", "demo_take"]

_SHARP_CENTS = 6.0
"""The main slide of the made-up player is a little in."""
_ROOM = Place(Room(decay_s=0.4, direct_db=12.0), noise_db=45.0)
_MANNER = Manner(
    voice=EUPHONIUM,
    rubato=0.03,
    timing_s=0.008,
    tune_cents=3.0,
    level_sd_db=1.0,
    slur=Slur(glide_s=0.035, dip_db=2.5, dip_s=0.06),
    vibrato=Vibrato(rate_hz=5.2, cents=6.0, delay_s=0.5),
)
_PLAYER = Player(wander_cents=2.5, jitter_cents=0.4, shimmer_db=0.2, swell_db=1.5)
_FIRST_BAR = "9"


@dataclass(frozen=True, slots=True, eq=False)
class DemoTake:
    """A made-up recording."""

    samples: NDArray[np.float32]
    """Full scale 1, shape=(n,)."""
    rate_hz: float
    """Samples a second [Hz]."""


def demo_take(study: Study, *, rng: np.random.Generator) -> DemoTake:
    """Play the demo tune as an invented player might on a mixed day.

    One lip slur breaks in silence, one splits on the partial between, one is tongued, one comes in from below; a
    note is well sharp and a wrong one is played, a grace note is left out, and one bar is taken again.

    Args:
        study: of the demo tune, written out as it is played.
        rng: for all that is left to chance.
    """
    asked = passage_of(study)
    at = _places(study)
    faults: list[Fault] = [Excerpt(at[_FIRST_BAR, "1"], len(asked.sounds) - 1)]
    faults += [
        OutOfTune(index, study.plan.ways[sound].cents + _SHARP_CENTS)
        for index, sound in enumerate(asked.sounds)
        if index != at["14", "1"]
    ]
    faults += [
        OutOfTune(at["14", "1"], 27.0),
        SlurAs(at["12", "1"], Slur(tongue=Tongue())),
        GoBack(after=at["16", "1"], to=at["15", "1"]),
        WrongNote(at["17", "3/2"], asked.passage.notes[at["17", "1"]].hz * 2.0 ** (-1.0 / 12.0)),
        SlurAs(at["17", "3"], Slur(glide_s=0.05, scoop_cents=60.0, settle_s=0.16)),
        SlurAs(at["19", "5/2"], Slur(silence_s=0.09)),
        LeaveOut(at["20", "3"], closed_up=True),
        SlurAs(at["21", "3"], Slur(dwells=(Dwell(asked.passage.notes[at["18", "1"]].hz, 0.11),))),
    ]
    script = perform(asked.passage.notes, rng=rng, faults=faults, manner=_MANNER, player=_PLAYER)
    take = render(script, rng=rng, place=_ROOM)
    return DemoTake(take.samples, take.rate_hz)


def _places(study: Study) -> dict[tuple[str, str], int]:
    """Where the notes stand the last time they are played: (bar, beat) -> index into the passage."""
    part = study.part
    places: dict[tuple[str, str], int] = {}
    for sound in study.line.sounds:
        note = part.notes[sound.notes[0]]
        key = part.measure_of(note).number, str(part.beat_of(note))
        places[key] = sound.index if not sound.grace else places.get(key, sound.index)
    return places
