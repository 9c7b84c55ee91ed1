"""Fewer frames: pitch, gaps and levels stay what they are."""

import numpy as np
import pytest

from slurwright.listen.thinning import thinned
from slurwright.listen.track import PitchTrack


def track(hz: list[float], level: list[float] | None = None, step_s: float = 0.005) -> PitchTrack:
    levels = np.array(level if level is not None else [-20.0] * len(hz), np.float32)
    return PitchTrack(0.0, step_s, np.array(hz, np.float32), np.ones(len(hz), np.float32), levels)


def test_frames_are_gathered_around_their_middle() -> None:
    thin = thinned(track([100.0, 100.0, 200.0, 200.0, 300.0]), 0.01)
    assert thin.hz.tolist() == [100.0, 200.0, 300.0]
    assert thin.step_s == pytest.approx(0.01)
    assert thin.start_s == pytest.approx(0.0025)


def test_a_moment_is_silent_where_more_than_half_of_it_is() -> None:
    assert thinned(track([0, 0, 0, 100.0, 0, 0, 90.0, 92.0]), 0.02).hz.tolist() == [0.0, 91.0]


def test_energy_is_kept() -> None:
    thin = thinned(track([100.0] * 4, [-20.0, -20.0, -20.0, -200.0]), 0.02)
    assert thin.level_db[0] == pytest.approx(-20.0 + 10 * np.log10(0.75), abs=0.01)


@pytest.mark.parametrize("step_s", [0.001, 0.005, 0.006])
def test_a_track_is_never_made_finer(step_s: float) -> None:
    whole = track([100.0, 101.0])
    thin = thinned(whole, step_s)
    assert (thin.step_s, thin.hz.tolist()) == (whole.step_s, whole.hz.tolist())


def test_nothing_stays_nothing() -> None:
    assert len(thinned(track([]), 0.02).hz) == 0
