"""Invented horns with known truth: the worlds against which learning is tried.

Nothing here is shared with the model. A horn is a set of tubes in metres, wrong by millimetres, with a residual
length that is drawn as a sum of waves and bumps; each way's pitch is found by solving n c / (2 x) = L + rho(x) for x.
Some worlds are not what the model was made for, and say so in their name.
"""

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from slurwright.horn import Horn
from slurwright.horn.learnt import ToneReading, WayKey
from slurwright.pitch import SoundingPitch

SPEED = 345.0
"""Speed of sound for which the catalogue's lengths are stated [m/s]."""


@dataclass(frozen=True)
class World:
    """How horns and readings of this world are drawn."""

    name: str
    partial_cents: float = 12.0
    """Mean scatter of the open horn's partials."""
    scatter: float = 0.3
    """How much that differs between horns, as a standard deviation of its logarithm."""
    bumps: int = 2
    """Local enlargements of the bore."""
    slide_mm: float = 2.0
    """Error of each slide for a metre and a half of horn; scaled with the horn's length."""
    stretch: float = 0.012
    own_cents: float = 2.0
    """Each way's own residue."""
    combination_cents: float = 1.5
    """Each combination's own residue."""
    by_number: float = 0.0
    """Partials offset by their number whatever the length, as the additive picture has it."""
    reading_cents: float = 6.0
    heavy: bool = False
    """Errors of readings with heavy tails."""
    slips: float = 0.10


PLAIN = World("smooth", bumps=0)
BUMPED = World("smooth and bumps")
WORLDS = (
    PLAIN,
    BUMPED,
    World(
        "quiet horns, steady player",
        partial_cents=7.0,
        slide_mm=1.0,
        combination_cents=0.5,
        own_cents=1.0,
        reading_cents=3.0,
    ),
    World("wild horns", partial_cents=22.0, slide_mm=4.0, bumps=4),
    World("unsteady player, heavy tails", reading_cents=10.0, heavy=True),
    World("combinations off by themselves", combination_cents=6.0),
    World("rough ways", own_cents=6.0),
    World("partials off by number, no residual length", partial_cents=0.01, by_number=12.0, stretch=0.0),
)


@dataclass(frozen=True)
class TrueHorn:
    """One drawn horn: the pitch of every way, and how its readings come about."""

    horn: Horn
    heights: Mapping[WayKey, float]
    """True pitch [cents above MIDI 0], main slide and air as in the catalogue."""
    world: World


def _waves(rng: np.random.Generator, length_m: float, bumps: int) -> Callable[[float], float]:
    """Draw a shape over frequency: slow waves in log frequency, and bumps of the bore."""
    slow = [(rng.normal(), rng.uniform(1.2, 4.0), rng.uniform(0, 2 * math.pi)) for _ in range(3)]
    local = [(rng.normal(), rng.uniform(0.02, 0.4) * length_m, rng.uniform(0, 2 * math.pi)) for _ in range(bumps)]

    def shape(frequency: float) -> float:
        octave = math.log2(frequency)
        total = sum(size * math.cos(2 * math.pi * octave / period + phase) for size, period, phase in slow)
        return total + sum(
            0.8 * size * math.cos(4 * math.pi * place * frequency / SPEED + phase) for size, place, phase in local
        )

    return shape


def _sounding(target: Callable[[float], float], partial: int, length_m: float) -> float:
    """Solve n c / (2 x) = length + rho(x) by repetition, which settles since rho changes slowly [Hz]."""
    frequency = partial * SPEED / (2 * length_m)
    for turn in range(300):
        moved = 0.8 / (1 + turn / 20) * (partial * SPEED / (2 * (length_m + target(frequency))) - frequency)
        frequency += moved
        if abs(moved) < 1e-7 * frequency:
            return frequency
    raise ArithmeticError(f"partial {partial} of {length_m} m does not settle")


def draw_horn(rng: np.random.Generator, horn: Horn, world: World) -> TrueHorn:
    """Make one horn of a world."""
    open_m = SPEED / (2 * 440.0 * 2 ** ((horn.open_pitch.midi - 69) / 12))
    shape = _waves(rng, open_m, world.bumps)
    series = [shape(partial * SPEED / (2 * open_m)) for partial in range(2, 11)]
    cents = world.partial_cents * math.exp(world.scatter * rng.normal())
    size = cents * math.log(2) / 1200 * open_m / max(float(np.std(series)), 1e-9)
    mean = float(np.mean(series))
    names = sorted({name for setting in horn.settings for name, _ in setting.pieces if name != "open"})
    wrong_m = {name: rng.normal(0, 2e-3 * world.slide_mm * open_m / 1.48) for name in names}
    stretch = rng.normal(0, world.stretch)
    friction = rng.uniform(0.5, 1.5) * 0.014
    middle = 440.0 * 2 ** (((horn.comfortable[0].midi + horn.comfortable[1].midi) / 2 - 69) / 12)
    number = {partial: rng.normal(0, world.by_number) for partial in range(1, 17)}
    heights: dict[WayKey, float] = {}
    for setting in horn.settings:
        metres = {name: length * open_m for name, length in setting.pieces}
        added = sum(length for name, length in metres.items() if not name.startswith("open"))
        length_m = sum(metres.values()) + sum(wrong_m.get(name, 0.0) for name in metres)
        together = rng.normal(0, world.combination_cents) if len(setting.pressed) > 1 else 0.0
        for partial in range(2, 13):

            def rho(frequency: float, added: float = added) -> float:
                return size * (shape(frequency) - mean) + added * (
                    stretch + friction * (math.sqrt(middle / frequency) - 1)
                )

            frequency = _sounding(rho, partial, length_m)
            heights[setting.fingering, partial] = (
                6900 + 1200 * math.log2(frequency / 440) + together + number[partial] + rng.normal(0, world.own_cents)
            )
    return TrueHorn(horn, heights, world)


def useful_ways(horn: Horn, *, highest: int = 10) -> tuple[tuple[str, int, SoundingPitch], ...]:
    """Ways within half a semitone of a note of the possible range, with that note."""
    found = []
    low, high = (pitch.midi for pitch in horn.possible)
    for setting in horn.settings:
        for partial in range(2, highest + 1):
            key = horn.open_pitch.midi + 12 * math.log2(partial / setting.ratio)
            if low - 0.5 <= key <= high + 0.5:
                found.append((setting.fingering, partial, SoundingPitch.from_midi(round(key))))
    return tuple(found)


@dataclass(frozen=True)
class Sitting:
    """Readings of one session, and what was true in it."""

    readings: tuple[ToneReading, ...]
    slipped: tuple[bool, ...]
    offset: Callable[[WayKey], float]
    """How far the session moves a way [cents]."""


def sit(
    rng: np.random.Generator, true: TrueHorn, ways: Sequence[tuple[str, int, SoundingPitch]], session: str = "one"
) -> Sitting:
    """Let the player sound each way once; some tones slip to another partial, crack or are bent."""
    world = true.world
    air = 1200 * math.log2(math.sqrt((273.15 + 20 + rng.normal(0, 3)) / 293.15))
    slide = rng.normal(0, 11.0)
    ratio = {setting.fingering: setting.ratio for setting in true.horn.settings}

    def offset(way: WayKey) -> float:
        return air + slide / ratio[way[0]]

    readings, slipped = [], []
    for fingering, partial, note in ways:
        error = rng.standard_t(4) / math.sqrt(2) if world.heavy else rng.normal()
        height = true.heights[fingering, partial] + world.reading_cents * error
        slip = rng.random() < world.slips
        if slip and rng.random() < 0.4:
            other = max(2, partial + (1 if rng.random() < 0.5 else -1))
            height = true.heights[fingering, other] + world.reading_cents * error
            slip = other != partial
        elif slip:
            height += rng.choice([-1, 1]) * rng.uniform(25, 90)
        cents = height + offset((fingering, partial)) - 100 * note.midi
        readings.append(ToneReading(note, fingering, partial, cents, session))
        slipped.append(slip)
    return Sitting(tuple(readings), tuple(slipped), offset)
