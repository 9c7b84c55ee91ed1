"""In which order the arms of a trial are played: complete blocks, balanced against warming up and tiring.

Each block holds each arm once. Of all orders of a block those are taken in which no arm comes twice in a row (a rest
between rounds parts it from itself), then those that put every arm equally often in every place of a block; among
these the seed decides. So what changes slowly, lips that warm up or tire, falls on all arms alike.
"""

from itertools import permutations

import numpy as np

from slurwright.evidence.trial.values import Slot, TrialDesign

__all__ = ["order_of", "orders", "slots_of"]


def orders(arms: int, blocks: int, *, round_blocks: int, rng: np.random.Generator) -> tuple[tuple[int, ...], ...]:
    """Draw the order of play, block by block.

    Args:
        arms: how many are compared [arms].
        blocks: how many are wanted [blocks].
        round_blocks: how many are played between two rests [blocks].
        rng: decides among orders that are equally balanced.

    Returns:
        For each block the arms in their order.
    """
    every = list(permutations(range(arms)))
    placed = np.zeros((arms, arms), dtype=np.int64)
    drawn: list[tuple[int, ...]] = []
    for block in range(blocks):
        parted = block % round_blocks == 0
        allowed = [one for one in every if parted or not drawn or one[0] != drawn[-1][-1]]
        uneven = [_unevenness(placed, one) for one in allowed]
        best = [one for one, score in zip(allowed, uneven, strict=True) if score == min(uneven)]
        chosen = best[int(rng.integers(len(best)))]
        placed[list(chosen), range(arms)] += 1
        drawn.append(chosen)
    return tuple(drawn)


def _unevenness(placed: np.ndarray, one: tuple[int, ...]) -> int:
    """How unevenly arms would be spread over the places of a block."""
    return int(sum(placed[arm, place] for place, arm in enumerate(one)))


def order_of(design: TrialDesign) -> tuple[tuple[int, ...], ...]:
    """Give the order of a whole trial; the same always, since it follows from the seed."""
    return orders(
        len(design.arms),
        design.rules.most_blocks,
        round_blocks=design.round_blocks,
        rng=np.random.default_rng(design.seed),
    )


def slots_of(design: TrialDesign) -> tuple[Slot, ...]:
    """List every place of a trial in the order of play."""
    return tuple(Slot(block, arm) for block, arms in enumerate(order_of(design)) for arm in arms)
