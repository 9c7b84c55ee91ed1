"""Each block holds each arm once, no arm comes twice in a row, every arm is as often in every place."""

from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from builders.trials import trial_of
from slurwright.evidence.trial.order import order_of, orders, slots_of


@given(
    arms=st.integers(2, 4),
    blocks=st.integers(1, 40),
    round_blocks=st.integers(1, 6),
    seed=st.integers(0, 2**31 - 1),
)
@settings(max_examples=50, deadline=None)
def test_complete_balanced_blocks(arms: int, blocks: int, round_blocks: int, seed: int) -> None:
    drawn = orders(arms, blocks, round_blocks=round_blocks, rng=np.random.default_rng(seed))
    assert len(drawn) == blocks
    assert all(sorted(block) == list(range(arms)) for block in drawn)
    for number, (before, after) in enumerate(pairwise(drawn), start=1):
        if number % round_blocks:
            assert before[-1] != after[0]


@pytest.mark.parametrize("arms", [3, 4])
def test_every_arm_is_as_often_in_every_place(arms: int) -> None:
    drawn = orders(arms, 24, round_blocks=3, rng=np.random.default_rng(1))
    for place in range(arms):
        counts = np.bincount([block[place] for block in drawn], minlength=arms)
        assert counts.max() - counts.min() <= 2


def test_two_arms_change_places_from_round_to_round() -> None:
    drawn = orders(2, 8, round_blocks=4, rng=np.random.default_rng(1))
    assert len(set(drawn[:4])) == 1
    assert set(drawn[4:]) == {drawn[0][::-1]}


def test_the_seed_decides_and_nothing_else() -> None:
    assert order_of(trial_of(3, seed=5)) == order_of(trial_of(3, seed=5))
    assert len({order_of(trial_of(3, seed=seed)) for seed in range(10)}) > 5


def test_slots_follow_the_order() -> None:
    design = trial_of(3)
    order, slots = order_of(design), slots_of(design)
    assert len(slots) == 3 * design.rules.most_blocks
    assert tuple(slot.arm for slot in slots[:6]) == (*order[0], *order[1])
    assert [slot.block for slot in slots[:6]] == [0, 0, 0, 1, 1, 1]
