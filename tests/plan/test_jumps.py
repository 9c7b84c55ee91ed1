"""The search against trying every walk, on small random trellises with jumps, limits and forbidden states."""

from itertools import pairwise, product

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from slurwright.plan.jumps import best_walks
from slurwright.plan.transition import Floats
from slurwright.plan.trellis import Jump, Trellis, Walk, on_grid


@st.composite
def trellises(draw: st.DrawFn, *, layers: int = 5, ties: bool = False) -> Trellis:
    size = draw(st.integers(1, layers))
    widths = [draw(st.integers(1, 3)) for _ in range(size)]
    branches = draw(st.integers(1, 2))
    rng = np.random.default_rng(draw(st.integers(0, 2**32)))

    def costs(*shape: int, forbid: float = 0.0) -> Floats:
        figures = rng.integers(0, 3, shape).astype(float) if ties else on_grid(rng.exponential(1.0, shape))
        return np.where(rng.random(shape) < forbid, np.inf, figures)

    links: list[Floats] = []
    places: list[int] = []
    for here, there in pairwise(widths):
        places.append(sum(link.size for link in links))
        link = costs(here, there, branches, forbid=0.1)
        link[:, :, 0] = np.where(np.isinf(link[:, :, 0]), 5.0, link[:, :, 0])
        links.append(link)
    jumps = []
    for _ in range(draw(st.integers(0, 4)) if size > 1 else 0):
        low = draw(st.integers(0, size - 2))
        high = draw(st.integers(low + 1, size - 1))
        jumps.append(Jump(low, high, costs(widths[low], widths[high])))
    return Trellis(
        states=tuple(costs(width, forbid=draw(st.sampled_from([0.0, 0.3]))) for width in widths),
        links=np.concatenate([np.empty(0), *(link.ravel() for link in links)]),
        places=tuple(places),
        branches=branches,
        jumps=tuple(jumps),
        departures=tuple(rng.random(width) < 0.5 for width in widths),
    )


def cost_of(trellis: Trellis, states: tuple[int, ...], branches: tuple[int, ...]) -> float:
    total = sum(costs[state] for costs, state in zip(trellis.states, states, strict=True))
    for layer, place in enumerate(trellis.places):
        link = trellis.links[place:].ravel()
        width = len(trellis.states[layer + 1])
        total += link[(states[layer] * width + states[layer + 1]) * trellis.branches + branches[layer]]
    return float(total + sum(jump.costs[states[jump.low], states[jump.high]] for jump in trellis.jumps))


def every_walk(trellis: Trellis, most: int | None) -> list[Walk]:
    found = []
    for states in product(*(range(len(costs)) for costs in trellis.states)):
        marked = sum(bool(flags[state]) for flags, state in zip(trellis.departures, states, strict=True))
        if most is not None and marked > most:
            continue
        for branches in product(range(trellis.branches), repeat=len(trellis.places)):
            cost = cost_of(trellis, states, branches)
            if cost < np.inf:
                found.append(Walk(cost, states, branches))
    return sorted(found, key=lambda walk: walk.cost)


@pytest.mark.parametrize("ties", [False, True])
@settings(max_examples=70, deadline=None)
@given(data=st.data(), count=st.integers(1, 8), most=st.none() | st.integers(0, 4))
def test_the_search_finds_what_trying_everything_finds(
    data: st.DataObject, count: int, most: int | None, ties: bool
) -> None:
    trellis = data.draw(trellises(ties=ties))
    found = best_walks(trellis, count, most_departures=most)
    wanted = every_walk(trellis, most)[:count]
    assert [walk.cost for walk in found] == [walk.cost for walk in wanted]
    assert len({(walk.states, walk.branches) for walk in found}) == len(found)
    for walk in found:
        assert cost_of(trellis, walk.states, walk.branches) == walk.cost
        if most is not None:
            assert sum(f[s] for f, s in zip(trellis.departures, walk.states, strict=True)) <= most


@settings(max_examples=40, deadline=None)
@given(trellis=trellises(layers=6))
def test_more_walks_begin_with_the_fewer(trellis: Trellis) -> None:
    assert best_walks(trellis, 3) == best_walks(trellis, 6)[:3]


def test_equal_costs_fall_to_the_first_state() -> None:
    flat = Trellis(states=(np.zeros(2),) * 3, links=np.zeros(4), places=(0, 0), branches=1)
    assert best_walks(flat, 1)[0].states == (0, 0, 0)


def test_a_jump_can_outweigh_the_chain() -> None:
    """Both ends must change together: only a search that carries the open end sees it."""
    states = tuple(np.array([0.0, 0.5]) for _ in range(4))
    jump = Jump(0, 3, np.array([[4.0, 4.0], [4.0, 0.0]]))
    trellis = Trellis(states=states, links=np.zeros(4), places=(0, 0, 0), branches=1, jumps=(jump,))
    best = best_walks(trellis, 2)
    assert best[0].states == (1, 0, 0, 1)
    assert best[0].cost == 1.0
    assert best[1].cost == 1.5
