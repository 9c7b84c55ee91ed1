"""Takes for tests: the conditions that a pitch is measured in, the rooms that a slur is heard in.

Seeds under 1000 are for fixing thresholds, from 1000 up for testing; the same seed gives the same bytes.
"""

from dataclasses import dataclass, replace

import numpy as np

from slurwright.listen.sound import HeldSound
from slurwright.synth import (
    EUPHONIUM,
    FRENCH_HORN,
    TROMBONE,
    TRUMPET,
    TUBA,
    Attack,
    Colour,
    Note,
    Place,
    Player,
    Ripple,
    Room,
    Script,
    Vibrato,
    Voice,
)
from slurwright.synth.rendering import RenderedTake, render

__all__ = [
    "CONDITIONS",
    "NOTES_HZ",
    "RATE_HZ",
    "ROOMS",
    "Condition",
    "heard",
    "lone_note",
    "place_named",
    "varied",
    "voice_for",
]

RATE_HZ = 22050.0
NOTES_HZ = tuple(float(hz) for hz in np.geomspace(29.0, 1400.0, 25))
"""Twenty-five notes, from below the contrabass tuba's pedals to the trumpet's top."""


@dataclass(frozen=True, slots=True)
class Condition:
    """How a note is recorded when its pitch is measured."""

    place: Place
    vibrato: Vibrato | None = None


CONDITIONS = {
    "clean": Condition(Place(noise_db=40.0)),
    "room": Condition(Place(Room(decay_s=0.5, direct_db=6.0), noise_db=20.0, colour=Colour.PINK)),
    "laptop": Condition(
        Place(Room(decay_s=0.5, direct_db=6.0), noise_db=25.0, colour=Colour.PINK, high_pass_hz=150.0)
    ),
    "vibrato": Condition(Place(Room(decay_s=0.5, direct_db=6.0), noise_db=30.0), Vibrato(5.5, 12.0, delay_s=0.1)),
}
"""The four conditions for pitch, A to D; the vibrato's rate is drawn around the one given."""

ROOMS = {"dry": None, "near": 12.0, "mid": 6.0, "laptop": 3.0}
"""The four rooms for slurs: direct sound against the room's [dB]."""


def place_named(room: str, rng: np.random.Generator) -> Place:
    """One of the rooms for slurs, its decay drawn between 0.4 and 0.7 s."""
    decay_s = float(rng.uniform(0.4, 0.7))
    direct_db = ROOMS[room]
    if direct_db is None:
        return Place(noise_db=45.0)
    noise_db, high_pass_hz = (30.0, 150.0) if room == "laptop" else (40.0, None)
    return Place(Room(decay_s, direct_db), noise_db, Colour.PINK, high_pass_hz)


def voice_for(hz: float) -> Voice:
    """An instrument that plays such a note."""
    for highest, voice in ((75.0, TUBA), (160.0, EUPHONIUM), (260.0, TROMBONE), (420.0, FRENCH_HORN)):
        if hz < highest:
            return voice
    return TRUMPET


def varied(voice: Voice, rng: np.random.Generator) -> Voice:
    """No two instruments and places at the bell are alike: other corners, other slopes, other ripples."""
    bell, cutoff = 2.0 ** rng.normal(0.0, 0.3, 2)
    return replace(
        voice,
        bell_hz=voice.bell_hz * float(bell),
        cutoff_hz=voice.cutoff_hz * float(cutoff),
        steepness=voice.steepness * float(rng.uniform(0.75, 1.2)),
        ripples=tuple(
            Ripple(float(turn), float(rng.uniform(0.0, 2.0 * np.pi)), float(rng.uniform(1.0, 4.0)))
            for turn in rng.uniform(2.0, 14.0, 3)
        ),
    )


def lone_note(
    hz: float,
    condition: str,
    *,
    seed: int,
    length_s: float = 1.5,
    player: Player | None = None,
    drift_cents_s: float = 0.0,
    rate_hz: float = RATE_HZ,
) -> RenderedTake:
    """One note in one of the conditions, half a second of rest before and after; a steady player if none is given."""
    chosen = CONDITIONS[condition]
    rng = np.random.default_rng(seed)
    vibrato = replace(chosen.vibrato, rate_hz=float(rng.uniform(4.9, 6.1))) if chosen.vibrato else None
    note = Note(hz, 0.5, length_s, attack=Attack(time_s=0.04), drift_cents_s=drift_cents_s, vibrato=vibrato)
    script = Script((note,), length_s + 1.0, varied(voice_for(hz), rng), player or Player())
    return render(script, rng=rng, rate_hz=rate_hz, place=chosen.place)


def heard(take: RenderedTake) -> HeldSound:
    """A take as the room that listens gets it."""
    return HeldSound(take.samples, take.rate_hz)
