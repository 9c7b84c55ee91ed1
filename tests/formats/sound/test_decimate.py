"""The way to the working rate: nothing below its passband changes, nothing above folds down, and no delay."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from slurwright.formats.sound.decimate import Decimator, working_factor

SECOND = 44_100


def decimated(samples: np.ndarray, factor: int, *, block: int = 10_000) -> np.ndarray:
    decimator = Decimator(factor, 1)
    starts = range(0, len(samples), block)
    made = [decimator.add(samples[None, start : start + block].astype(np.float32)) for start in starts]
    return np.asarray(np.concatenate([*made, decimator.finish()], axis=1)[0])


def sine(hz: float) -> np.ndarray:
    return np.asarray(np.sin(2 * np.pi * hz * np.arange(SECOND) / SECOND))


@given(st.integers(4_000, 768_000))
def test_the_working_rate_lies_between_16_and_32_khz(rate_hz: int) -> None:
    factor = working_factor(rate_hz)
    if factor == 1:
        assert rate_hz < 32_000
    else:
        assert 16_000 <= rate_hz / factor <= 24_000


@pytest.mark.parametrize(
    ("rate_hz", "factor"), [(8_000, 1), (22_050, 1), (32_000, 2), (44_100, 2), (48_000, 2), (96_000, 4), (192_000, 8)]
)
def test_usual_rates(rate_hz: int, factor: int) -> None:
    assert working_factor(rate_hz) == factor


@pytest.mark.parametrize("factor", [2, 3, 4, 8])
@pytest.mark.parametrize("share", [0.01, 0.2, 0.45])
def test_what_passes_is_unchanged_and_in_time(factor: int, share: float) -> None:
    wave = sine(share * SECOND / factor)
    made = decimated(wave, factor)
    inside = slice(200, -200)
    np.testing.assert_allclose(made[inside], wave[::factor][inside], atol=1e-4)


@pytest.mark.parametrize("factor", [2, 3, 8])
@pytest.mark.parametrize("share", [0.55, 0.7, 0.99])
def test_what_would_fold_down_is_gone(factor: int, share: float) -> None:
    made = decimated(sine(share * SECOND / factor), factor)
    assert 20 * np.log10(np.abs(made[200:-200]).max()) < -90


@given(st.integers(1, 9), st.lists(st.integers(0, 3_000), min_size=1, max_size=8))
def test_blocks_make_no_difference(factor: int, cuts: list[int]) -> None:
    samples = np.random.default_rng(len(cuts)).standard_normal(sum(cuts)).astype(np.float32)
    decimator = Decimator(factor, 1)
    made, at = [], 0
    for cut in cuts:
        made.append(decimator.add(samples[None, at : at + cut]))
        at += cut
    pieces = np.concatenate([*made, decimator.finish()], axis=1)[0]
    assert len(pieces) == -(-len(samples) // factor)
    np.testing.assert_allclose(pieces, decimated(samples, factor, block=max(1, len(samples))), atol=1e-5)
