"""The k cheapest walks through a trellis with jumps.

A jump ties two distant layers together: an exact search has to remember the state of its first end until the second
is reached. Most of that is avoided. Each jump is first replaced by a lower bound that is a sum of one term for each
end, tight for one state of the first end; the walks found so are cheap to find, and what they really cost bounds the
answer from above. If bound and cost agree, they are the answer. If not, the bound is made tight where the best walk
goes and tried again; then only those states of first ends are kept that a walk within the bounds can take, mostly one
or two, and the exact search remembers these. If even that is too much to remember, the walks are split by the state
of one first end and each share is searched by itself. All of it is exact.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from slurwright.plan.finishing import Search, open_ends
from slurwright.plan.transition import Floats, Ints
from slurwright.plan.trellis import Trellis, Walk, link_of

__all__ = ["best_walks"]

_ROUNDS = 3
"""How often the bound is made tight; more brings little (ours) [1]."""
_MOST_CELLS = 20_000_000
"""Options that one exact search may weigh, about a tenth of a second (ours) [1]."""


def best_walks(trellis: Trellis, count: int, *, most_departures: int | None = None) -> tuple[Walk, ...]:
    """Find the cheapest walks, cheapest first; fewer if there are no more.

    Args:
        trellis: costs on the grid.
        count: how many are wanted, at least 1.
        most_departures: limit on marked states; None for none.

    """
    room = None if most_departures is None else min(most_departures, len(trellis.states))
    return _within(trellis, count, room, np.inf)


def _within(trellis: Trellis, count: int, room: int | None, most: float) -> tuple[Walk, ...]:
    """Find the cheapest walks; those that cost more than a given cost may be left out."""
    if not trellis.jumps:
        return _searched(trellis, count, room)[1]
    tight = tuple(int(np.argmin(trellis.states[jump.low])) for jump in trellis.jumps)
    tried: list[tuple[Trellis, Search]] = []
    seen: dict[tuple[tuple[int, ...], tuple[int, ...]], float] = {}
    while len(tried) < _ROUNDS:
        bound = _bounded(trellis, tight)
        search, walks = _searched(bound.trellis, count, room)
        if not walks or walks[0].cost > most:
            return ()
        true = [bound.raised(walk, trellis) for walk in walks]
        if len(walks) < count:
            return tuple(sorted(true, key=lambda walk: walk.cost))
        if all(walk.cost == low.cost for walk, low in zip(true, walks, strict=True)):
            return walks
        seen |= {(walk.states, walk.branches): walk.cost for walk in true}
        tried.append((bound.trellis, search))
        best = min(true, key=lambda walk: walk.cost)
        before, tight = tight, tuple(best.states[jump.low] for jump in trellis.jumps)
        if tight == before:
            break
    return _exact(trellis, count, room, min(most, sorted(seen.values())[count - 1]), tried)


def _searched(trellis: Trellis, count: int, room: int | None) -> tuple[Search, tuple[Walk, ...]]:
    """Search without jumps: (the search without a limit, the walks within it); a limit that does not bind is free."""
    free = Search(trellis, {}, None)
    walks = free.best(count)
    if room is not None and any(_departs(trellis, walk) > room for walk in walks):
        walks = Search(trellis, {}, room).best(count)
    return free, walks


def _departs(trellis: Trellis, walk: Walk) -> int:
    return sum(bool(marked[state]) for marked, state in zip(trellis.departures, walk.states, strict=True))


@dataclass(frozen=True, slots=True)
class _Bound:
    """A trellis whose jumps are replaced by less than they cost."""

    trellis: Trellis
    above: tuple[Floats, ...]
    """For each jump how much its cost lies above the bound, shape as its costs."""

    def raised(self, walk: Walk, whole: Trellis) -> Walk:
        """Raise a walk's cost from the bound to what it is."""
        ends = [(walk.states[jump.low], walk.states[jump.high]) for jump in whole.jumps]
        return replace(
            walk, cost=walk.cost + sum(float(more[pair]) for more, pair in zip(self.above, ends, strict=True))
        )


def _bounded(trellis: Trellis, tight: Sequence[int]) -> _Bound:
    """Replace each jump by a sum of one term for each end, exact where its low end takes a given state."""
    states = list(trellis.states)
    above = []
    for jump, state in zip(trellis.jumps, tight, strict=True):
        row = jump.costs[state]
        takes = np.isfinite(trellis.states[jump.high])
        column = (jump.costs - row)[:, takes].min(axis=1, initial=np.inf)
        states[jump.low] = states[jump.low] + column
        states[jump.high] = states[jump.high] + row
        above.append(jump.costs - row - column[:, None])
    return _Bound(replace(trellis, states=tuple(states), jumps=()), tuple(above))


def _exact(
    trellis: Trellis, count: int, room: int | None, most: float, tried: Sequence[tuple[Trellis, Search]]
) -> tuple[Walk, ...]:
    """Search with every first end remembered, in shares if there is too much to remember."""
    ends = {jump.low for jump in trellis.jumps}
    kept = {low: np.arange(len(trellis.states[low])) for low in ends}
    for bound, search in tried:
        near = _near(bound, search.onward, ends, most)
        kept = {low: np.intersect1d(kept[low], near[low]) for low in ends}
    if any(not states.size for states in kept.values()):
        return ()
    settled = _settled(trellis, kept)
    kept = {jump.low: kept[jump.low] for jump in settled.jumps}
    if _cells(settled, kept, room) <= _MOST_CELLS:
        return Search(settled, kept, room).best(count)
    split = max(kept, key=lambda low: (max(jump.high - low for jump in settled.jumps if jump.low == low), -low))
    found: list[Walk] = []
    for state in kept[split]:
        share = _settled(settled, kept | {split: np.array([state])})
        found += _within(share, count, room, most)
        found = sorted(found, key=lambda walk: walk.cost)[:count]
        if len(found) == count:
            most = min(most, found[-1].cost)
    return tuple(found)


def _near(bound: Trellis, onward: Sequence[Floats], ends: set[int], most: float) -> dict[int, Ints]:
    """States of first ends that some walk within a cost can take."""
    reached = np.zeros(len(bound.states[0]))
    near: dict[int, Ints] = {}
    for layer in range(max(ends) + 1):
        if layer in ends:
            near[layer] = np.flatnonzero(reached + onward[layer].ravel() <= most)
        if layer < max(ends):
            link = np.minimum.reduce(link_of(bound, layer), axis=2)
            reached = np.minimum.reduce((reached + bound.states[layer])[:, None] + link, axis=0)
    return near


def _settled(trellis: Trellis, kept: Mapping[int, Ints]) -> Trellis:
    """Forbid what was not kept, and close the jumps whose first end has one state left: the other end decides."""
    states = list(trellis.states)
    for low, keep in kept.items():
        states[low] = np.where(np.isin(np.arange(len(states[low])), keep), states[low], np.inf)
    for jump in trellis.jumps:
        if len(kept[jump.low]) == 1:
            states[jump.high] = states[jump.high] + jump.costs[kept[jump.low][0]]
    left = tuple(jump for jump in trellis.jumps if len(kept[jump.low]) > 1)
    return replace(trellis, states=tuple(states), jumps=left)


def _cells(trellis: Trellis, kept: Mapping[int, Ints], room: int | None) -> int:
    """How many options an exact search weighs."""
    widths = [len(costs) for costs in trellis.states]
    total = 0
    for layer, opened in enumerate(open_ends(trellis, list(kept))[:-1]):
        cells = widths[layer] * widths[layer + 1] * trellis.branches * (1 if room is None else room + 1)
        for low in opened:
            cells *= len(kept[low])
        total += cells
    return total
