"""What sounds beside a player: at its pitch, soft, and at its place."""

import numpy as np
import pytest

from builders.cents import assert_cents
from slurwright.pitch import cents_of_ratio
from slurwright.synth.backing import click_of, drone_of, mixed_in

RATE_HZ = 22050.0


def _pitch_hz(samples: np.ndarray, near_hz: float) -> float:
    """Frequency of the strongest line near a pitch, by a parabola through the windowed spectrum."""
    count = 1 << 19
    spectrum = np.log(np.abs(np.fft.rfft(samples * np.hanning(len(samples)), count)) + 1e-12)
    step = RATE_HZ / count
    low, high = int(near_hz * 0.97 / step), int(near_hz * 1.03 / step)
    top = low + int(np.argmax(spectrum[low:high]))
    left, middle, right = spectrum[top - 1 : top + 2]
    return float(step * (top + 0.5 * (left - right) / (left - 2 * middle + right)))


@pytest.mark.parametrize("hz", [49.0, 116.54, 233.08, 440.0])
def test_a_drone_stands_at_its_pitch_and_is_soft(hz: float) -> None:
    tone = drone_of(hz, 4.0, rate_hz=RATE_HZ)
    assert len(tone) == 4 * RATE_HZ
    assert_cents(cents_of_ratio(_pitch_hz(tone, hz) / hz), 0.0, within=0.5)
    assert 20 * np.log10(np.sqrt(np.mean(tone**2))) == pytest.approx(-30.0, abs=1.0)
    assert np.abs(tone).max() < 0.2
    assert np.abs(tone[:20]).max() < 0.001
    assert np.abs(tone[-20:]).max() < 0.001


def test_the_first_click_is_higher_than_the_others() -> None:
    first, other = click_of(first=True, rate_hz=RATE_HZ), click_of(first=False, rate_hz=RATE_HZ)
    crossings = [int(np.sum(np.diff(np.signbit(click)))) for click in (first, other)]
    assert crossings[0] > crossings[1]
    assert np.abs(first).max() == pytest.approx(0.1, rel=0.01)


def test_what_is_mixed_in_stands_at_its_place_and_is_cut_at_the_end() -> None:
    track = np.zeros(100, np.float32)
    mixed_in(track, np.ones(30, np.float32), 0.5, rate_hz=100.0)
    mixed_in(track, np.ones(30, np.float32), 0.9, rate_hz=100.0)
    assert track[:50].sum() == 0
    assert track[50:80].tolist() == [1.0] * 30
    assert track[90:].tolist() == [1.0] * 10
    assert len(track) == 100
