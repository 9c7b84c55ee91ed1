"""Planned time buys more than equal time, time by lot, and the worst first, in whole simulated seasons."""

import math
from functools import cache

import numpy as np
import pytest

from builders.seasons import OWN, STRATEGIES, WORLDS, World, draw_season, play_season
from slurwright.devices.packaged import load_practice

SEASONS = 16
TABLE = load_practice()


@cache
def _chances(world: World, strategy: str) -> tuple[float, ...]:
    return tuple(
        play_season(
            world,
            draw_season(world, np.random.default_rng((1000 + number, 1))),
            STRATEGIES[strategy],
            table=TABLE,
            rng=np.random.default_rng((1000 + number, 2)),
        )
        for number in range(SEASONS)
    )


@pytest.mark.parametrize("rival", ["alike", "by lot", "worst first"])
@pytest.mark.parametrize("world", [OWN, WORLDS[3]], ids=lambda world: world.name)
def test_the_plan_beats_its_rivals(world: World, rival: str) -> None:
    """By more than one standard error of the paired difference of the log chance."""
    more = np.log(_chances(world, "planned")) - np.log(_chances(world, rival))
    assert more.mean() > more.std() / math.sqrt(SEASONS)


def test_practice_helps_at_all() -> None:
    assert np.mean(_chances(OWN, "alike")) > 2.0 * np.mean(_chances(OWN, "nothing"))
