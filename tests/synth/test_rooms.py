"""Are rooms, microphones and noises what they say? Decay by Schroeder's backward integration (JASA 37, 1965, 409)."""

import numpy as np
import pytest
from numpy.typing import NDArray

from slurwright.synth import Colour, Place, Room
from slurwright.synth.rooms import high_passed, impulse_of, in_room, noise_like, placed

RATE = 22050.0


def rng(seed: int = 1) -> np.random.Generator:
    return np.random.default_rng(seed)


def decay_s(impulse: NDArray[np.float32], middle_hz: float) -> float:
    """Decay time of a soft band, from the slope of the energy that is still to come between -8 and -28 dB."""
    count = 4 * len(impulse)
    hz = np.fft.rfftfreq(count, 1 / RATE)
    band = np.exp(-(np.log2(np.maximum(hz, 1.0) / middle_hz) ** 2) / 0.3)
    filtered = np.fft.irfft(np.fft.rfft(impulse[1:].astype(np.float64), n=count) * band, n=count)
    energy = np.cumsum(filtered[: len(impulse)][::-1] ** 2)[::-1]
    left = 10 * np.log10(energy / energy[0])
    part = (left < -8) & (left > -28)
    slope = np.polyfit(np.flatnonzero(part) / RATE, left[part], 1)[0]
    return float(-60 / slope)


@pytest.mark.parametrize("wanted_s", [0.3, 0.5, 0.9])
def test_the_room_decays_as_it_says(wanted_s: float) -> None:
    found = [decay_s(impulse_of(Room(wanted_s, 6.0), RATE, rng=rng(seed)), 500.0) for seed in range(6)]
    assert np.mean(found) == pytest.approx(wanted_s, rel=0.08)


def test_high_sounds_die_sooner_than_low_ones() -> None:
    impulse = impulse_of(Room(0.8, 6.0), RATE, rng=rng())
    assert decay_s(impulse, 6000.0) < 0.75 * decay_s(impulse, 150.0)


@pytest.mark.parametrize("direct_db", [12.0, 6.0, 3.0, -3.0])
def test_the_room_adds_as_much_as_it_says(direct_db: float) -> None:
    added = []
    for seed in range(12):
        impulse = impulse_of(Room(0.5, direct_db), RATE, rng=rng(seed)).astype(np.float64)
        assert impulse[0] == 1.0
        assert not impulse[1 : int(0.0019 * RATE)].any()
        power = np.abs(np.fft.rfft(impulse[1:])) ** 2
        hz = np.fft.rfftfreq(len(impulse) - 1, 1 / RATE)
        added.append(power[(hz > 250) & (hz < 1000)].mean())
    assert -10 * np.log10(np.mean(added)) == pytest.approx(direct_db, abs=0.5)


def test_sound_in_a_room_is_a_convolution() -> None:
    samples = rng(3).standard_normal(70_000).astype(np.float32)
    impulse = impulse_of(Room(0.2, 3.0), RATE, rng=rng())
    wanted = np.convolve(samples[:69_000], impulse)[:69_000]
    assert in_room(samples, impulse)[:69_000] == pytest.approx(wanted, abs=2e-4)
    assert len(in_room(samples, impulse)) == len(samples)


@pytest.mark.parametrize(("colour", "slope"), [(Colour.WHITE, 0.0), (Colour.PINK, -3.01), (Colour.BROWN, -6.02)])
def test_noise_falls_as_its_colour_says(colour: Colour, slope: float) -> None:
    noise = noise_like(200_000, RATE, colour=colour, rng=rng()).astype(np.float64)
    power = np.abs(np.fft.rfft(noise)) ** 2
    hz = np.fft.rfftfreq(len(noise), 1 / RATE)
    octaves = [10 * np.log10(power[(hz >= low) & (hz < 2 * low)].mean()) for low in (100, 200, 400, 800, 1600, 3200)]
    assert np.diff(octaves) == pytest.approx(slope, abs=0.5)
    assert np.mean(noise**2) == pytest.approx(1.0)


def test_a_small_microphone_takes_the_bass_out() -> None:
    times = np.arange(int(RATE)) / RATE
    for hz, loss_db in ((150.0, -3.01), (75.0, -12.3), (37.5, -24.1), (1500.0, 0.0)):
        tone = np.sin(2 * np.pi * hz * times).astype(np.float32)
        heard = high_passed(tone, RATE, corner_hz=150.0)[int(0.3 * RATE) : int(0.9 * RATE)]
        assert 10 * np.log10(2 * np.mean(heard.astype(np.float64) ** 2)) == pytest.approx(loss_db, abs=0.15)


@pytest.mark.parametrize("colour", Colour)
def test_noise_lies_as_far_under_what_is_played_as_it_says(colour: Colour) -> None:
    times = np.arange(int(3 * RATE)) / RATE
    samples = (0.1 * np.sin(2 * np.pi * 200 * times) * (times < 1.8)).astype(np.float32)
    noise = placed(samples, RATE, place=Place(noise_db=20.0, colour=colour), rng=rng()) - samples
    assert 10 * np.log10(np.mean(noise.astype(np.float64) ** 2)) == pytest.approx(-23.0 - 20.0, abs=0.2)


def test_silence_stays_silent_in_any_place() -> None:
    place = Place(Room(0.5, 3.0), 20.0, Colour.PINK, 150.0)
    assert not placed(np.zeros(5000, np.float32), RATE, place=place, rng=rng()).any()
