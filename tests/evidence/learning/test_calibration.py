"""How true learnt risks are on invented players with known chances; a small part of the benchmark of the same name.

Seeds are of those that nothing was tuned by. Limits leave room for so few players: what these ones show is told
beside. The worlds are in `players_worlds` and `players_own_world`.
"""

from functools import cache

import pytest

from builders.players_scores import Foretold, joined, scored, worse_by
from builders.players_trials import WORLDS, Forecaster, forecasts_of, ours, prior_only, trial
from builders.players_worlds import PlayersWorld

PLAYERS = range(1000, 1024)
ATTEMPTS = 60
BOTH: dict[str, Forecaster] = {"ours": ours, "prior only": prior_only}
AS_BELIEVED, TERRIBLE_PAIRS, *_ = WORLDS
IDS = [world.name for world in WORLDS]


@cache
def foretold(world: PlayersWorld, *, attempts: int = ATTEMPTS) -> dict[str, Foretold]:
    found = [forecasts_of(trial(world, number, attempts=attempts), BOTH) for number in PLAYERS]
    return {name: joined([each[name] for each in found]) for name in BOTH}


@pytest.mark.parametrize("world", WORLDS, ids=IDS)
def test_what_is_foretold_comes_true_as_often(world: PlayersWorld) -> None:
    score = scored(foretold(world)["ours"])
    assert score.calibration - score.calibration_floor < 0.05


@pytest.mark.parametrize("world", [AS_BELIEVED, TERRIBLE_PAIRS], ids=IDS[:2])
def test_attempts_make_the_priors_better(world: PlayersWorld) -> None:
    gained, error = worse_by(foretold(world)["prior only"], foretold(world)["ours"])
    assert gained > 2.0 * error > 0.0


def test_intervals_hold_the_truth_nine_times_in_ten() -> None:
    assert 0.84 <= scored(foretold(AS_BELIEVED)["ours"]).coverage <= 0.95


@pytest.mark.parametrize("world", WORLDS, ids=IDS)
def test_intervals_hold_the_truth_in_worlds_that_are_not_as_believed(world: PlayersWorld) -> None:
    assert scored(foretold(world)["ours"]).coverage >= 0.78


def test_with_nothing_tried_the_priors_stand() -> None:
    found = foretold(AS_BELIEVED, attempts=0)
    assert (found["ours"].risk == found["prior only"].risk).all()


def test_intervals_narrow_with_attempts() -> None:
    widths = [scored(foretold(AS_BELIEVED, attempts=attempts)["ours"]).width for attempts in (0, ATTEMPTS)]
    assert widths[1] < 0.9 * widths[0]
