"""The coarse track: right octave everywhere, nothing invented, bounded memory."""

import tracemalloc
from dataclasses import dataclass

import numpy as np
import pytest
from numpy.typing import NDArray

from slurwright.listen.sound import HeldSound, Samples
from slurwright.listen.tracking import pitch_track

RATE_HZ = 22050


def brass(hz: float, length_s: float, rate_hz: float = RATE_HZ, *, seed: int = 1) -> Samples:
    """A steady tone whose spectrum falls above 1 kHz."""
    rng = np.random.default_rng(seed)
    time = np.arange(round(length_s * rate_hz)) / rate_hz
    orders = np.arange(1, int(0.45 * rate_hz / hz) + 1)
    sizes = 1 / np.sqrt(1 + (orders * hz / 1000.0) ** 4)
    tone = sum(
        a * np.sin(2 * np.pi * n * hz * time + rng.uniform(0, 6.3)) for n, a in zip(orders, sizes, strict=True)
    )
    tone = np.asarray(tone) * np.minimum(1, np.minimum(time, length_s - time) / 0.02)
    return np.asarray(0.1 * tone / np.sqrt(np.mean(tone**2)), np.float32)


def laptop(samples: Samples, rate_hz: float, edge_hz: float = 150.0) -> Samples:
    """What a small microphone leaves: a second-order high pass."""
    along = 1j * np.fft.rfftfreq(len(samples), 1 / rate_hz) / edge_hz
    return np.asarray(np.fft.irfft(np.fft.rfft(samples) * (along / (1 + along)) ** 2, len(samples)), np.float32)


def cents_off(hz: NDArray[np.float32], true_hz: float) -> NDArray[np.float64]:
    return np.asarray(1200 * np.log2(np.maximum(hz, 1) / true_hz), np.float64)


@pytest.mark.parametrize("rate_hz", [8000, 16000, 22050, 24000])
def test_every_pitch_is_found_in_its_octave(rate_hz: int) -> None:
    rng = np.random.default_rng(2)
    pitches = 29.0 * (1400 / 29.0) ** (np.arange(20) / 19)
    parts = [laptop(brass(hz, 0.6, rate_hz, seed=at), rate_hz) for at, hz in enumerate(pitches)]
    samples = np.concatenate(parts)
    samples = (samples + 0.003 * rng.standard_normal(len(samples))).astype(np.float32)
    track = pitch_track(HeldSound(samples, rate_hz))
    for at, hz in enumerate(pitches):
        inside = track.hz[track.frame_at(0.6 * at + 0.1) : track.frame_at(0.6 * at + 0.5)]
        assert np.abs(cents_off(inside, hz)).max() < 30, hz
        assert abs(np.median(cents_off(inside, hz))) < 1, hz


@pytest.mark.parametrize("tilt", [0.0, 0.5])
def test_nothing_is_heard_in_noise(tilt: float) -> None:
    white = np.fft.rfft(np.random.default_rng(3).standard_normal(10 * RATE_HZ))
    noise = np.fft.irfft(white / np.maximum(1, np.arange(len(white))) ** tilt)
    samples = (0.01 * noise / noise.std()).astype(np.float32)
    assert np.mean(pitch_track(HeldSound(samples, RATE_HZ)).hz > 0) < 0.002


@pytest.mark.parametrize("offset", [0.0, 0.25])
def test_silence_has_no_pitch(offset: float) -> None:
    track = pitch_track(HeldSound(np.full(RATE_HZ, offset, np.float32), RATE_HZ))
    assert not track.hz.any()
    assert np.isfinite(track.level_db).all()


def test_an_offset_changes_nothing() -> None:
    samples = brass(58.27, 1.0)
    plain, moved = (pitch_track(HeldSound(s, RATE_HZ)) for s in (samples, samples + np.float32(0.2)))
    inside = slice(20, -20)
    assert np.abs(cents_off(moved.hz[inside], 58.27)).max() < 2
    assert np.abs(plain.level_db[inside] - moved.level_db[inside]).max() < 0.1


def test_level_is_that_of_the_sound() -> None:
    track = pitch_track(HeldSound(brass(233.08, 1.0), RATE_HZ))
    assert np.abs(track.level_db[20:-20] + 20).max() < 0.3


def test_a_slur_is_followed_within_its_period_and_a_half() -> None:
    samples = np.concatenate((brass(466.16, 0.5), brass(698.46, 0.5)))
    track = pitch_track(HeldSound(samples, RATE_HZ))
    middle = np.sqrt(466.16 * 698.46)
    turn = track.start_s + track.step_s * int(np.argmax(track.hz[30:] > middle)) + 30 * track.step_s
    assert abs(turn - 0.5) < 0.011


@pytest.mark.parametrize("length", [0, 1, 50, 300])
def test_a_sound_of_a_few_samples_is_tracked(length: int) -> None:
    track = pitch_track(HeldSound(np.full(length, 0.1, np.float32), RATE_HZ))
    assert len(track.hz) == len(track.level_db) == len(track.strength) <= 3


def test_work_is_told() -> None:
    told: list[float] = []
    pitch_track(HeldSound(brass(220.0, 15.0, 8000), 8000), tick=told.append)
    assert told == sorted(told)
    assert told[-1] == 1.0
    assert len(told) > 1


def test_where_blocks_meet_nothing_shows() -> None:
    """A block's border lies at 12 s; the same sound moved by a second gives the same track."""
    samples = brass(311.13, 14.0)
    moved = np.concatenate((np.zeros(RATE_HZ, np.float32), samples))
    here, there = (pitch_track(HeldSound(s, RATE_HZ)).hz for s in (samples, moved))
    assert np.abs(cents_off(here[20:-20], 311.13)).max() < 1
    assert np.allclose(here[20:2780], there[220:2980], rtol=3e-4)


@dataclass(frozen=True)
class Endless:
    """A tone of any length that is made while it is read."""

    length: int
    rate_hz: float = 8000.0

    def read(self, start: int, stop: int) -> Samples:
        phase = np.arange(max(0, start), min(stop, self.length)) * (233.08 / self.rate_hz) % 1.0
        return np.asarray(sum(np.sin(2 * np.pi * n * phase) / 10 / n for n in (1, 2, 3)), np.float32)


def test_memory_grows_only_by_the_track() -> None:
    peaks = []
    for minutes in (1, 3):
        tracemalloc.start()
        track = pitch_track(Endless(minutes * 60 * 8000))
        peaks.append(tracemalloc.get_traced_memory()[1])
        tracemalloc.stop()
        assert np.abs(cents_off(track.hz[100:-100], 233.08)).max() < 20
    assert peaks[1] - peaks[0] < 2 * 60 / track.step_s * 12 * 1.5
    assert peaks[0] < 80e6
