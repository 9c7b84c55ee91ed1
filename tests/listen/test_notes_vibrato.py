"""A wave in a path: found where there is one, left out of the centre, not seen in a wander."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray

from slurwright.listen.notes_vibrato import wave_in

STEP_S = 0.002


def moments(count: int) -> NDArray[np.float64]:
    return STEP_S * np.arange(count, dtype=np.float64)


def wander(length_s: float, *, fastest_hz: float, seed: int) -> NDArray[np.float64]:
    """Noise with equal power up to a frequency, standard deviation 1."""
    rng = np.random.default_rng(seed)
    count = round(length_s / STEP_S)
    spectrum = rng.standard_normal(8 * count) + 1j * rng.standard_normal(8 * count)
    spectrum[int(fastest_hz * 16 * count * STEP_S) :] = 0
    noise = np.fft.irfft(spectrum, 16 * count)
    return np.asarray(noise[:count] / noise.std(), np.float64)


@settings(max_examples=20, deadline=None)
@given(
    rate=st.floats(4.2, 8.0),
    extent=st.floats(4.0, 50.0),
    length=st.floats(0.8, 6.0),
    phase=st.floats(0.0, 6.28),
    slope=st.floats(-20.0, 20.0),
)
def test_a_clean_wave_is_measured(rate: float, extent: float, length: float, phase: float, slope: float) -> None:
    times = moments(round(length / STEP_S))
    trend = 7.0 + slope * times
    wave = wave_in(times, trend + extent * np.sin(2 * np.pi * rate * times + phase))
    assert wave is not None
    assert wave.vibrato is not None
    assert wave.vibrato.rate_hz.value == pytest.approx(rate, abs=0.03)
    assert wave.vibrato.rate_hz.low <= rate <= wave.vibrato.rate_hz.high
    assert wave.vibrato.extent_cents.value == pytest.approx(extent, rel=0.03)
    assert np.abs(extent * np.sin(2 * np.pi * rate * times + phase) - wave.cents).max() < 0.1 * extent


@pytest.mark.parametrize("fastest_hz", [2.0, 4.0])
def test_a_wander_is_hardly_ever_taken_for_one(fastest_hz: float) -> None:
    found = 0
    for seed in range(400):
        length = 0.4 + 0.01 * seed
        times = moments(round(length / STEP_S))
        wave = wave_in(times, 3.0 * wander(length, fastest_hz=fastest_hz, seed=seed)[: len(times)])
        found += wave is not None and wave.vibrato is not None
    assert found <= 4


def test_a_wave_that_sets_in_late_is_as_wide_as_where_it_is() -> None:
    times = moments(1000)
    size = 12 * np.clip((times - 0.5) / 0.2, 0, 1)
    wave = wave_in(times, size * np.sin(2 * np.pi * 5.5 * times))
    assert wave is not None
    assert wave.vibrato is not None
    assert wave.vibrato.extent_cents.value == pytest.approx(12.0, abs=1.5)


def test_of_less_than_three_cycles_nothing_is_said() -> None:
    times = moments(150)
    wave = wave_in(times, 15 * np.sin(2 * np.pi * 6.0 * times))
    assert wave is not None
    assert wave.vibrato is None
    assert np.abs(15 * np.sin(2 * np.pi * 6.0 * times) - wave.cents).max() < 5.0


@pytest.mark.parametrize("count", [2, 10, 500])
def test_a_still_path_has_no_wave(count: int) -> None:
    assert wave_in(moments(count), np.full(count, 3.0)) is None
