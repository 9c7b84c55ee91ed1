"""Learning tried on drawn horns; figures over hundreds of horns are in benchmarks/learnt_accuracy.py.

Limits are those of the full run, widened by what chance allows over this many horns.
"""

import pytest

from builders.horn_trials import RIVALS, bore_horn, run, world_horn
from builders.horn_worlds import PLAIN, WORLDS, World
from slurwright.devices.packaged import load_horn

ALIKE, TRUSTING, RIDGE = RIVALS


@pytest.mark.parametrize("count", [12, 24])
def test_unread_ways_are_foretold_with_honest_intervals(count: int) -> None:
    score = run(world_horn(load_horn("euphonium-4c"), PLAIN), horns=40, count=count, seed=2, rivals=[ALIKE, TRUSTING])
    assert 0.83 < score.coverage < 0.97
    assert score.less_than(ALIKE) > 0.10
    assert score.less_than(TRUSTING) > 0.30
    assert score.rms() < 0.7 * score.rms("catalogue")


@pytest.mark.oracle
def test_better_than_scikit_learns_bayesian_ridge_on_the_same_readings() -> None:
    pytest.importorskip("sklearn")
    score = run(world_horn(load_horn("trumpet-b"), PLAIN), horns=15, count=24, seed=4, rivals=[RIDGE])
    assert score.less_than(RIDGE) > 0.30


def test_slips_are_found_and_true_readings_kept() -> None:
    score = run(world_horn(load_horn("trumpet-b"), PLAIN), horns=30, count=48, seed=5)
    assert score.slips[1] / score.slips[0] > 0.85
    assert score.good[1] / score.good[0] < 0.01


@pytest.mark.parametrize("world", WORLDS, ids=[world.name for world in WORLDS])
def test_in_every_world_more_readings_help_and_the_catalogue_is_beaten(world: World) -> None:
    horn = load_horn("trumpet-b")
    few, many = (run(world_horn(horn, world), horns=12, count=count, seed=6) for count in (12, 48))
    assert many.rms() < few.rms()
    assert few.rms() < few.rms("catalogue")


def test_horns_from_transmission_lines_are_learnt_too() -> None:
    score = run(bore_horn(load_horn("trumpet-b")), horns=15, count=24, seed=7, rivals=[ALIKE])
    assert score.rms() < 0.7 * score.rms("catalogue")
    assert score.rms() < score.rms(ALIKE)
    assert score.coverage > 0.80
