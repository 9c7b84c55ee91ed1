"""The fine path: true to a made-up pitch from moment to moment, whatever the register and the noise."""

import numpy as np
import pytest
from numpy.typing import NDArray

from builders.takes import RATE_HZ, lone_note
from slurwright.listen.refining import FinePath, fine_path
from slurwright.listen.sound import HeldSound, Samples
from slurwright.listen.tracking import pitch_track
from slurwright.synth import Player


def moving(hz: float, length_s: float, *, noise_db: float, seed: int, rate_hz: float = RATE_HZ) -> Samples:
    """A tone whose pitch rises and falls by three cents."""
    rng = np.random.default_rng(seed)
    time = np.arange(round(length_s * rate_hz)) / rate_hz
    turns = np.cumsum(hz * 2 ** (path(time) / 1200)) / rate_hz
    orders = np.arange(1, int(0.4 * rate_hz / hz) + 1)
    sizes = 1 / (1 + (orders * hz / 900.0) ** 2)
    tone = sum(a * np.cos(2 * np.pi * (n * turns + rng.random())) for n, a in zip(orders, sizes, strict=True))
    tone = np.asarray(tone) * 0.1 / np.std(tone)
    return np.asarray(tone + 0.1 * 10 ** (-noise_db / 20) * rng.standard_normal(len(time)), np.float32)


def path(time: NDArray[np.float64]) -> NDArray[np.float64]:
    return 3 * np.sin(2 * np.pi * 1.1 * time)


def followed(samples: Samples, *, rate_hz: float = RATE_HZ) -> FinePath:
    sound = HeldSound(samples, rate_hz)
    found = fine_path(sound, 0.1, len(samples) / rate_hz - 0.1, pitch_track(sound))
    assert found is not None
    return found


@pytest.mark.parametrize("hz", [29.5, 58.0, 147.0, 440.0, 1397.0])
@pytest.mark.parametrize(("noise_db", "within"), [(60.0, 0.06), (20.0, 0.6)])
def test_a_moving_pitch_is_followed(hz: float, noise_db: float, within: float) -> None:
    found = followed(moving(hz, 1.2, noise_db=noise_db, seed=3))
    error = found.cents_from(hz) - path(found.times_s)
    assert np.sqrt(np.mean(error**2)) < within
    assert abs(error.mean()) < 0.2 * within


def test_the_noise_of_a_frame_is_known() -> None:
    found = followed(moving(233.0, 2.0, noise_db=15.0, seed=4))
    error = found.cents_from(233.0) - path(found.times_s)
    assert 0.6 < found.noise_cents / error.std() < 1.5


@pytest.mark.parametrize("rate_hz", [8000.0, 11025.0, 16000.0, 24000.0])
def test_every_rate_gives_the_same_pitch(rate_hz: float) -> None:
    found = followed(moving(349.0, 1.0, noise_db=50.0, seed=5, rate_hz=rate_hz), rate_hz=rate_hz)
    assert abs(np.mean(found.cents_from(349.0) - path(found.times_s))) < 0.05


def test_a_harmonic_that_is_not_there_counts_for_nothing() -> None:
    """The microphone hears nothing below the fourth harmonic."""
    samples = moving(41.2, 1.5, noise_db=60.0, seed=6)
    spectrum = np.fft.rfft(samples)
    spectrum[: int(3.5 * 41.2 * 1.5)] = 0
    rng = np.random.default_rng(7)
    cut = np.fft.irfft(spectrum, len(samples)) + 0.0005 * rng.standard_normal(len(samples))
    found = followed(cut.astype(np.float32))
    assert found.weights[:3].max() < 0.01
    assert np.sqrt(np.mean((found.cents_from(41.2) - path(found.times_s)) ** 2)) < 0.3


def test_a_glissando_is_followed() -> None:
    """A whole tone in a second, from the trombone's slide."""
    time = np.arange(round(1.4 * RATE_HZ)) / RATE_HZ
    cents = 200 * np.clip(time - 0.2, 0, 1)
    turns = np.cumsum(174.6 * 2 ** (cents / 1200)) / RATE_HZ
    tone = sum(np.cos(2 * np.pi * n * turns) / n for n in range(1, 20))
    found = followed(np.asarray(0.05 * np.asarray(tone), np.float32))
    assert np.abs(found.cents_from(174.6) - np.interp(found.times_s, time, cents)).max() < 3.0


def test_a_steady_pitch_needs_no_track() -> None:
    take = lone_note(293.7, "clean", seed=1, player=Player())
    found = fine_path(HeldSound(take.samples, take.rate_hz), 0.6, 1.9, 293.7 * 2 ** (30 / 1200))
    assert found is not None
    assert abs(found.cents_from(293.7).mean()) < 0.01
    assert found.cents_from(293.7).std() < 0.3


def test_between_frames_the_curve_goes_through_them() -> None:
    found = followed(moving(98.0, 1.0, noise_db=60.0, seed=8))
    assert found.cents_at(found.times_s, 98.0) == pytest.approx(found.cents_from(98.0))
    middles = 0.5 * (found.times_s[1:] + found.times_s[:-1])
    assert np.abs(found.cents_at(middles, 98.0) - path(middles)).max() < 0.3


@pytest.mark.parametrize("stop_s", [0.5, 0.505, 0.53])
def test_a_stretch_of_few_periods_has_no_path(stop_s: float) -> None:
    take = lone_note(58.27, "clean", seed=1)
    assert fine_path(HeldSound(take.samples, take.rate_hz), 0.5, stop_s, 58.27) is None


def test_silence_has_no_path() -> None:
    sound = HeldSound(np.zeros(22050, np.float32), RATE_HZ)
    assert fine_path(sound, 0.2, 0.8, pitch_track(sound)) is None
    steady = fine_path(sound, 0.2, 0.8, 220.0)
    assert steady is None or np.isfinite(steady.hz).all()
