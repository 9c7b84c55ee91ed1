"""How good a recording is: every fault is found where it is, and hardly one where it is not."""

from collections.abc import Callable
from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray

from builders.takes import RATE_HZ, ROOMS, place_named, voice_for
from slurwright.listen.figure import Figure, Hidden, Veil
from slurwright.listen.levels import in_its_room, level_check
from slurwright.listen.measures import LevelCheck, LevelFault, Room
from slurwright.listen.sound import HeldSound, Samples
from slurwright.listen.tracking import pitch_track
from slurwright.synth import Note, Place, Player, Rest, Script, Slur
from slurwright.synth.rendering import render

PLAYER = Player(wander_cents=2.0, jitter_cents=0.4, shimmer_db=0.2)


def take(room: str, *, seed: int) -> Samples:
    """A take of some notes, tongued and slurred, with pauses; peak 0.7."""
    rng = np.random.default_rng(seed)
    base = float(rng.choice((58.0, 117.0, 233.0, 466.0)))
    notes, at = [], float(rng.uniform(0.6, 1.2))
    for index in range(7):
        length_s = float(rng.uniform(0.3, 1.8))
        pause_s = float(rng.uniform(0.5, 1.2)) if index % 2 or index == 6 else 0.0
        join = Rest() if pause_s else Slur()
        hz = base * 2 ** (int(rng.integers(-5, 8)) / 12)
        notes.append(Note(hz, at, length_s, join=join, level_db=float(rng.uniform(-24, -12))))
        at += length_s + pause_s
    script = Script(tuple(notes), at, voice_for(base), PLAYER)
    samples = render(script, rng=rng, rate_hz=RATE_HZ, place=place_named(room, rng)).samples
    return np.asarray(0.7 * samples / np.abs(samples).max(), np.float32)


def checked(samples: NDArray[np.floating[Any]]) -> LevelCheck:
    sound = HeldSound(np.asarray(samples, np.float32), RATE_HZ)
    return level_check(sound, pitch_track(sound))


@pytest.mark.parametrize("room", ROOMS)
def test_good_takes_have_no_fault(room: str) -> None:
    for seed in (1_000, 1_001, 1_002):
        check = checked(take(room, seed=seed))
        assert check.faults == ()
        assert check.peak_db == pytest.approx(20 * np.log10(0.7), abs=0.3)
        assert -35 < check.loud_db < -5


@pytest.mark.parametrize("noise_db", [20.0, 30.0, 40.0])
def test_the_noise_is_measured(noise_db: float) -> None:
    samples = take("dry", seed=1_010)
    before = checked(samples)
    rng = np.random.default_rng(1_011)
    noise = rng.standard_normal(len(samples)) * 10 ** ((before.loud_db - noise_db) / 20)
    check = checked(samples + noise)
    assert check.noise_db == pytest.approx(before.loud_db - noise_db, abs=1.5)
    assert check.loud_db == pytest.approx(before.loud_db, abs=0.5)


def test_noise_is_told_from_sound_that_never_stops() -> None:
    rng = np.random.default_rng(1_012)
    time = np.arange(round(4 * RATE_HZ)) / RATE_HZ
    tone = sum(0.1 * 0.6**k * np.sin(2 * np.pi * 220 * (k + 1) * time) for k in range(8))
    check = checked(tone + 0.02 * rng.standard_normal(len(time)))
    assert check.noise_db == pytest.approx(20 * np.log10(0.02), abs=4.0)


def holed(samples: Samples, rng: np.random.Generator) -> Samples:
    holed = samples.copy()
    loud = np.flatnonzero(np.abs(samples) > 0.3)
    for at in rng.choice(loud, 5):
        holed[at : at + int(rng.integers(64, 2_000))] = 0
    return holed


def gated(samples: Samples, rng: np.random.Generator) -> Samples:
    """A gate that opens in 5 ms and closes in 30 ms at -35 dB below the peak."""
    size = np.abs(samples)
    held = np.maximum.reduceat(size, np.arange(0, len(size), 220))
    loud = np.repeat(held > 0.7 * 10 ** (-35 / 20), 220)[: len(size)].astype(np.float64)
    gain, value = np.empty(len(size)), 0.0
    for at, wanted in enumerate(loud):
        value += (wanted - value) / (110 if wanted else 90)
        gain[at] = value
    return np.asarray(samples * gain, np.float32)


FAULTS: dict[LevelFault, Callable[[Samples, np.random.Generator], NDArray[np.floating[Any]]]] = {
    LevelFault.CLIPPED: lambda x, rng: np.clip(3 * x, -0.9, 0.9),
    LevelFault.SOFT: lambda x, rng: 0.005 * x,
    LevelFault.NOISY: lambda x, rng: x + 0.35 * np.sqrt(np.mean(x**2)) * rng.standard_normal(len(x)),
    LevelFault.DROPOUTS: holed,
    LevelFault.PROCESSED: gated,
}


@pytest.mark.parametrize("fault", FAULTS)
@pytest.mark.parametrize("seed", [1_020, 1_021, 1_022])
def test_each_fault_is_found_and_no_other(fault: LevelFault, seed: int) -> None:
    spoiled = FAULTS[fault](take("near", seed=seed), np.random.default_rng(seed))
    assert checked(spoiled).faults == (fault,)


def long_notes(length_s: float, *, pause_s: float, place: Place, swell_db_s: float = 0.0) -> Samples:
    """Four long notes, the first after a pause."""
    notes = tuple(
        Note(233.0, 1.5 + (length_s + pause_s) * at, length_s, level_db=-14.0, swell_db_s=swell_db_s)
        for at in range(4)
    )
    script = Script(notes, 1.5 + 4 * (length_s + pause_s), voice_for(233.0), PLAYER)
    return render(script, rng=np.random.default_rng(1_031), rate_hz=RATE_HZ, place=place).samples


def test_a_background_that_comes_up_after_notes_is_automatic_gain() -> None:
    samples = long_notes(1.0, pause_s=2.5, place=Place(noise_db=35.0))
    level, gain = 0.0, np.empty(len(samples))
    for at, size in enumerate(np.abs(samples).tolist()):
        level += (size - level) * (1 / 800 if size > level else 1 / RATE_HZ)
        gain[at] = 0.2 / max(level, 0.004)
    assert checked(samples).faults == ()
    assert checked(samples * gain).faults == (LevelFault.PROCESSED,)


def test_steady_tones_that_all_fade_were_suppressed() -> None:
    samples = long_notes(3.0, pause_s=1.0, place=Place(noise_db=50.0))
    time = np.arange(len(samples)) / RATE_HZ
    fade = 10 ** (-19 / 20 * np.clip(((time - 1.5) % 4.0 - 0.3) / 2.0, 0, 1))
    assert checked(samples).faults == ()
    assert checked(samples * fade).faults == (LevelFault.PROCESSED,)


def test_a_player_may_let_all_long_tones_fade() -> None:
    assert checked(long_notes(3.0, pause_s=1.0, place=Place(noise_db=50.0), swell_db_s=-5.0)).faults == ()


@pytest.mark.parametrize("samples", [np.zeros(0), np.zeros(20_000), 1e-5 * np.ones(20_000)])
def test_silence_is_said(samples: Samples) -> None:
    check = checked(samples)
    assert check.faults == (LevelFault.SILENT,)
    assert check.loud_db <= -90


def test_noise_alone_is_neither_soft_nor_silent() -> None:
    check = checked(0.1 * np.random.default_rng(4).standard_normal(5 * round(RATE_HZ)))
    assert check.faults == ()
    assert check.noise_db == pytest.approx(-20.0, abs=0.5)


LIVE, FAR = Figure(2.0, 1.8, 2.2), Figure(-4.0, -6.0, -2.0)
UNKNOWN = Hidden(Veil.UNHEARD)


@pytest.mark.parametrize(
    ("room", "echo"),
    [
        (Room(LIVE, UNKNOWN), True),
        (Room(UNKNOWN, FAR), True),
        (Room(Figure(0.5, 0.4, 0.6), Figure(8.0, 6.0, 10.0)), False),
        (Room(Figure(1.6, 0.9, 2.3), Figure(0.0, -3.0, 3.0)), False),
        (Room(UNKNOWN, UNKNOWN), False),
    ],
)
def test_a_live_room_is_added(room: Room, echo: bool) -> None:
    check = in_its_room(LevelCheck(-6.0, -15.0, -50.0, 0.0, (LevelFault.NOISY,)), room)
    assert check.faults == ((LevelFault.NOISY, LevelFault.ECHO) if echo else (LevelFault.NOISY,))
    assert in_its_room(check, room) == check
