"""The frontier: no plan on it beats another, and its ends are the ends."""

import pytest

from builders.lines import PP, random_line, typed_line
from slurwright.devices.packaged import load_chances, load_horn
from slurwright.plan import PlanRequest, Weights, plan_line
from slurwright.plan.frontier import MOST_ON_FRONTIER, frontier
from slurwright.plan.search import logs_of

CHANCES = load_chances()
EUPHONIUM = load_horn("euphonium-4c")


@pytest.mark.parametrize("horn_id", ["euphonium-4c", "horn-double", "trombone"])
def test_no_plan_on_the_frontier_beats_another(horn_id: str) -> None:
    horn = load_horn(horn_id)
    line = random_line(horn, 50, seed=6, dynamic=PP)
    plans = frontier(line, horn, chances=CHANCES)
    assert 2 <= len(plans) <= MOST_ON_FRONTIER
    for one in plans:
        for other in plans:
            ours, theirs = logs_of(one), logs_of(other)
            assert one is other or any(mine < yours for mine, yours in zip(ours, theirs, strict=True))
    assert [plan.chance_slurs for plan in plans] == sorted((plan.chance_slurs for plan in plans), reverse=True)


def test_the_best_plan_is_on_it_and_costs_are_comparable() -> None:
    line = random_line(EUPHONIUM, 50, seed=6, dynamic=PP)
    request = PlanRequest(
        weights=Weights(smooth=2.0), pins={3: plan_line(line, EUPHONIUM, chances=CHANCES)[0].ways[3].fingering}
    )
    best = plan_line(line, EUPHONIUM, chances=CHANCES, request=request)[0]
    plans = frontier(line, EUPHONIUM, chances=CHANCES, request=request)
    assert min(plans, key=lambda plan: plan.cost).ways == best.ways
    assert min(plan.cost for plan in plans) == pytest.approx(best.cost)
    assert all(plan.ways[3].fingering == request.pins[3] for plan in plans)


def test_it_is_the_same_each_time() -> None:
    line = random_line(EUPHONIUM, 50, seed=8, dynamic=PP)
    assert frontier(line, EUPHONIUM, chances=CHANCES) == frontier(line, EUPHONIUM, chances=CHANCES)


def test_a_line_without_a_conflict_has_one_plan() -> None:
    line = typed_line("Bb3 C4", slurred=False)
    assert len(frontier(line, load_horn("cornet-eb"), chances=CHANCES)) >= 1
    apart = frontier(typed_line("E4"), load_horn("trumpet-b"), chances=CHANCES)
    assert len(apart) == 1
