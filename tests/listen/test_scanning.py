"""Marks of single samples: tops that were cut off are found, however; tops that were not are left in peace."""

from collections.abc import Callable

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from slurwright.listen.scanning import RawScan
from slurwright.listen.sound import Samples

RATE_HZ = 44_100
CUT_TOPS = 8


def brass(hz: float, *, brightness: float, seed: int, length_s: float = 0.3) -> Samples:
    """A steady tone with partials up to 8 kHz in random phase, peak 1."""
    rng = np.random.default_rng(seed)
    phase = 2 * np.pi * hz * np.arange(round(length_s * RATE_HZ)) / RATE_HZ
    count = int(8_000 / hz)
    wave = sum(brightness**k * np.sin((k + 1) * phase + rng.uniform(0, 6.3)) for k in range(count))
    wave = wave / np.abs(wave).max() * np.minimum(1, np.arange(len(phase)) / 3_000)
    return np.asarray(0.99 * wave + 1e-3 * rng.standard_normal(len(phase)), np.float32)


def stepped(samples: Samples, bits: int = 16) -> Samples:
    scale = 2.0 ** (bits - 1)
    return np.asarray(np.clip(np.round(samples * scale), -scale, scale - 1) / scale, np.float32)


def scanned(samples: Samples, *, bits: int = 16, block: int = 20_000) -> RawScan:
    scan = RawScan(RATE_HZ, step=2.0 ** (1 - bits))
    for start in range(0, len(samples), block):
        scan.add(samples[start : start + block])
    return scan


TONES = [(hz, brightness) for hz in (29.0, 58.0, 117.0, 233.0, 466.0, 932.0) for brightness in (0.5, 0.7, 0.85, 0.93)]


@pytest.mark.parametrize("bits", [8, 16, 24])
@pytest.mark.parametrize("gain", [0.05, 0.9])
def test_whole_waves_are_left_in_peace(bits: int, gain: float) -> None:
    for seed, (hz, brightness) in enumerate(TONES):
        samples = stepped(gain * brass(hz, brightness=brightness, seed=1_000 + seed), bits)
        assert scanned(samples, bits=bits).levels().clipped_runs < CUT_TOPS, (hz, brightness)


@pytest.mark.parametrize("hz", [29.0, 440.0, 1_400.0])
def test_a_pure_tone_at_full_scale_is_whole(hz: float) -> None:
    samples = np.sin(2 * np.pi * hz * np.arange(RATE_HZ) / RATE_HZ)
    assert scanned(stepped(samples)).levels().clipped_runs < CUT_TOPS


CUTS: dict[str, tuple[Callable[[Samples], Samples], float]] = {
    "3 dB too loud": (lambda x: stepped(x * 1.41), 0.9),
    "6 dB too loud": (lambda x: stepped(x * 2), 1.0),
    "6 dB too loud, then turned down": (lambda x: stepped(np.clip(x * 2, -1, 1) * 0.4), 1.0),
    "6 dB too loud, 8 bit": (lambda x: stepped(x * 2, 8), 0.95),
    "one side cut at half": (lambda x: stepped(np.minimum(x, 0.5)), 0.8),
}


@pytest.mark.parametrize("way", CUTS)
def test_cut_tops_are_found(way: str) -> None:
    cut, share = CUTS[way]
    found = [
        scanned(
            cut(brass(hz, brightness=brightness, seed=1_100 + seed, length_s=0.6)), bits=8 if "8 bit" in way else 16
        ).levels()
        for seed, (hz, brightness) in enumerate(TONES)
    ]
    assert np.mean([levels.clipped_runs >= CUT_TOPS for levels in found]) >= share


def test_the_share_of_cut_samples_is_about_right() -> None:
    wave = np.sin(2 * np.pi * 220 * np.arange(RATE_HZ) / RATE_HZ)
    levels = scanned(stepped(2 * wave)).levels()
    assert levels.clipped_share == pytest.approx(np.mean(np.abs(2 * wave) >= 1), rel=0.1)
    assert levels.peak == pytest.approx(1.0, abs=0.01)


def test_offset_and_peak() -> None:
    wave = 0.2 + 0.3 * np.sin(2 * np.pi * 220 * np.arange(RATE_HZ) / RATE_HZ)
    levels = scanned(wave.astype(np.float32)).levels()
    assert levels.offset == pytest.approx(0.2, abs=1e-4)
    assert levels.peak == pytest.approx(0.3, abs=1e-3)
    assert levels.clipped_runs == 0


@settings(max_examples=25)
@given(
    block=st.integers(2_000, 30_000),
    start=st.integers(2_000, 20_000),
    length=st.integers(33, 30_000),
)
def test_a_hole_is_found_once_wherever_blocks_end(block: int, start: int, length: int) -> None:
    samples = brass(220.0, brightness=0.7, seed=5, length_s=1.5)
    samples[start : start + length] = 0
    levels = scanned(samples, block=block).levels()
    assert levels.lost_runs == 1
    assert levels.first_lost_s == pytest.approx(start / RATE_HZ)


@pytest.mark.parametrize("length", [0, 20, 50_000])
def test_short_or_long_zeros_are_no_hole(length: int) -> None:
    samples = brass(220.0, brightness=0.7, seed=6, length_s=2.0)
    samples[10_000 : 10_000 + length] = 0
    assert scanned(samples).levels().lost_runs == 0


def test_a_note_that_dies_away_into_zeros_leaves_no_hole() -> None:
    fading = brass(220.0, brightness=0.7, seed=7) * np.geomspace(1, 1e-6, round(0.3 * RATE_HZ)).astype(np.float32)
    assert scanned(stepped(np.concatenate((fading, np.zeros(9_000, np.float32), fading)))).levels().lost_runs == 0


def test_nothing_at_all() -> None:
    levels = scanned(np.zeros(0, np.float32)).levels()
    assert (levels.peak, levels.clipped_share, levels.lost_runs) == (0.0, 0.0, 0)
