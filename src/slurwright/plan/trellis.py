"""The k cheapest walks through a trellis: layers of states, a link from each layer to the next, and a few jumps.

This module knows nothing of music. A walk takes one state a layer and one branch a link (parallel links between the
same two states); its cost is the sum of the states' costs, the links', and those of the jumps, each of which joins
two layers that are not neighbours. Optionally each layer marks states as departures and a walk may make only so many.

Method. `G[i][open, left, s]` is the least cost of finishing from layer i on when entering it in state s, with `left`
departures still allowed and `open` the states taken at the earlier ends of jumps that have not closed yet; it is
computed from the last layer back (dynamic programming; the open ends are what a jump costs). With G in hand, the
second best walk leaves the best one at one link and then follows G; the third leaves one of these, and so on (the
deviations that E. L. Lawler, Management Science 18 (1972) 401, partitions solutions by; from memory). Every walk has
exactly one series of deviations, so none is told twice.

Jumps are first replaced by a lower bound that is a sum of one term for each end. If the k walks found with that cost
what the bound says, they are the answer; if not, the dearest of them bounds the answer from above, and only those
states of open ends are kept that a walk below it can take. So the exact search is nearly as quick as without jumps.

Costs are whole multiples of `GRID`, which a float adds without error as long as a walk costs less than 2^17: sums do
not depend on their order, so equal costs are equal and ties fall to the first state, branch and layer.
"""

import heapq
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from slurwright.plan.transition import Bools, Floats, Ints

__all__ = ["GRID", "Jump", "Trellis", "Walk", "best_walks", "on_grid"]

GRID = 2.0**-36
"""Unit of cost. [nat]"""


@dataclass(frozen=True, slots=True)
class Jump:
    """A cost that depends on the states of two layers."""

    low: int
    high: int
    """Layers, low < high."""
    costs: Floats
    """Finite, shape=(states of low, states of high)."""


@dataclass(frozen=True, slots=True)
class Trellis:
    """Layers, links and jumps; a cost of infinity forbids."""

    states: tuple[Floats, ...]
    """Cost of each state, layer by layer."""
    links: Floats
    """All link costs in one array, so that equal links can share their place."""
    places: tuple[int, ...]
    """Where in `links` the link from layer i to i + 1 starts: shape=(states, next states, branches), row by row."""
    branches: int
    jumps: tuple[Jump, ...] = ()
    departures: tuple[Bools, ...] = ()
    """Marked states of each layer; may be empty if no limit is asked for."""


@dataclass(frozen=True, slots=True)
class Walk:
    """One way through."""

    cost: float
    states: tuple[int, ...]
    branches: tuple[int, ...]
    """One a link."""


def on_grid(costs: Floats) -> Floats:
    """Round costs to the grid, any shape [nat].

    Args:
        costs: at least zero, or infinity [nat].

    """
    return np.round(costs / GRID) * GRID


def best_walks(trellis: Trellis, count: int, *, most_departures: int | None = None) -> tuple[Walk, ...]:
    """Find the cheapest walks, cheapest first; fewer if there are no more.

    Args:
        trellis: costs on the grid.
        count: how many are wanted, at least 1.
        most_departures: limit on marked states; None for none.

    """
    room = None if most_departures is None else min(most_departures, len(trellis.states))
    bounded, above = _without_jumps(trellis)
    free = _Search(bounded, {}, None)
    walks = free.best(count)
    if room is not None and any(_departs(trellis, walk) > room for walk in walks):
        walks = _Search(bounded, {}, room).best(count)
    if not trellis.jumps or not walks:
        return walks
    true = [_with_jumps(walk, trellis.jumps, above) for walk in walks]
    if len(walks) < count:
        return tuple(sorted((walk for walk in true if walk.cost < np.inf), key=lambda walk: walk.cost))
    if all(walk.cost == bound.cost for walk, bound in zip(true, walks, strict=True)):
        return walks
    kept = _kept(bounded, free.onward, trellis.jumps, max(walk.cost for walk in true))
    settled = _settled(_only(trellis, kept), kept)
    return _Search(settled, {jump.low: kept[jump.low] for jump in settled.jumps}, room).best(count)


def _departs(trellis: Trellis, walk: Walk) -> int:
    return sum(bool(marked[state]) for marked, state in zip(trellis.departures, walk.states, strict=True))


def _with_jumps(walk: Walk, jumps: Sequence[Jump], above: Sequence[Floats]) -> Walk:
    """Raise a walk's cost from the bound to what it is."""
    ends = ((walk.states[jump.low], walk.states[jump.high]) for jump in jumps)
    return replace(walk, cost=walk.cost + sum(float(more[pair]) for more, pair in zip(above, ends, strict=True)))


def _without_jumps(trellis: Trellis) -> tuple[Trellis, tuple[Floats, ...]]:
    """Replace each jump by a lower bound on its ends, exact where its low end takes its cheapest state.

    Returns:
        The trellis without jumps, and for each jump how much its cost lies above the bound, shape as its costs.

    """
    states = list(trellis.states)
    above = []
    for jump in trellis.jumps:
        row = jump.costs[int(np.argmin(trellis.states[jump.low]))]
        takes = np.isfinite(trellis.states[jump.high])
        column = (jump.costs - row)[:, takes].min(axis=1, initial=np.inf)
        states[jump.low] = states[jump.low] + column
        states[jump.high] = states[jump.high] + row
        above.append(jump.costs - row - column[:, None])
    return replace(trellis, states=tuple(states), jumps=()), tuple(above)


def _kept(bounded: Trellis, onward: Sequence[Floats], jumps: Sequence[Jump], most: float) -> dict[int, Ints]:
    """States of each open end that some walk within a cost can take."""
    last = max(jump.low for jump in jumps)
    reached = np.zeros(len(bounded.states[0]))
    kept: dict[int, Ints] = {}
    ends = {jump.low for jump in jumps}
    for layer in range(last + 1):
        if layer in ends:
            kept[layer] = np.flatnonzero(reached + onward[layer].ravel() <= most)
        if layer < last:
            link = _link(bounded, layer).min(axis=2)
            reached = ((reached + bounded.states[layer])[:, None] + link).min(axis=0)
    return kept


def _only(trellis: Trellis, kept: dict[int, Ints]) -> Trellis:
    """Forbid the states of open ends that were not kept."""
    states = list(trellis.states)
    for layer, keep in kept.items():
        states[layer] = np.where(np.isin(np.arange(len(states[layer])), keep), states[layer], np.inf)
    return replace(trellis, states=tuple(states))


def _settled(trellis: Trellis, kept: dict[int, Ints]) -> Trellis:
    """Close the jumps whose open end has one state left: their cost depends on the other end alone."""
    states = list(trellis.states)
    for jump in trellis.jumps:
        if len(kept[jump.low]) == 1:
            states[jump.high] = states[jump.high] + jump.costs[kept[jump.low][0]]
    left = tuple(jump for jump in trellis.jumps if len(kept[jump.low]) > 1)
    return replace(trellis, states=tuple(states), jumps=left)


def _link(trellis: Trellis, layer: int) -> Floats:
    """Costs of one link, shape=(states, next states, branches)."""
    here, there = len(trellis.states[layer]), len(trellis.states[layer + 1])
    place = trellis.places[layer]
    return trellis.links[place : place + here * there * trellis.branches].reshape(here, there, trellis.branches)


class _Search:
    """Costs of finishing from everywhere, and the walks that they lead to."""

    def __init__(self, trellis: Trellis, kept: dict[int, Ints], room: int | None) -> None:
        self._trellis = trellis
        self._kept = kept
        self._room = room
        self._left = 1 if room is None else room + 1
        self._size = len(trellis.states)
        closes = {low: max(jump.high for jump in trellis.jumps if jump.low == low) for low in kept}
        self._open = [tuple(low for low in sorted(kept) if low < layer < closes[low]) for layer in range(self._size)]
        self._jumps_into: dict[int, list[Jump]] = {}
        for jump in trellis.jumps:
            self._jumps_into.setdefault(jump.high, []).append(jump)
        self.onward: list[Floats] = [np.empty(0)] * self._size
        """Least cost of finishing, shape=(kept states of each open end..., left, states)."""
        self._choice: list[dict[int, int]] = [{} for _ in range(self._size)]
        """Cheapest choice by place in `onward`; where nothing is open it is looked for when it is needed."""
        self._solve()
        self._lay_flat()

    def _solve(self) -> None:
        """Fill in the costs of finishing from the last layer back."""
        states, last = self._trellis.states, self._size - 1
        shape = self._shape(last)
        self.onward[last] = np.broadcast_to(states[last], shape).copy()
        for layer in range(last - 1, -1, -1):
            if self._plain(layer):
                least = np.minimum.reduce(self._plain_options(layer), axis=1)
                self.onward[layer] = (least + states[layer])[None, :]
                continue
            options = self._options(layer)
            self.onward[layer] = (options.min(axis=-1) + states[layer]).reshape(self._shape(layer))
            self._choice[layer] = dict(enumerate(options.argmin(axis=-1).ravel().tolist()))

    def _plain(self, layer: int) -> bool:
        """Say whether nothing is open and nothing is counted from a layer to the next."""
        if self._room is not None:
            return False
        return not (self._open[layer] or self._open[layer + 1] or layer + 1 in self._jumps_into)

    def _shape(self, layer: int) -> tuple[int, ...]:
        return (*(len(self._kept[low]) for low in self._open[layer]), self._left, len(self._trellis.states[layer]))

    def _plain_options(self, layer: int) -> Floats:
        """Cost of each (state, choice) where nothing is open and nothing is counted."""
        link = _link(self._trellis, layer)
        onward = self.onward[layer + 1][0]
        options: Floats
        if self._trellis.branches == 1:
            options = link[:, :, 0] + onward
        else:
            options = (link + onward[:, None]).reshape(link.shape[0], -1)
        return options

    def _options(self, layer: int) -> Floats:
        """Cost of each choice, shape=(open..., left, states, choices)."""
        link = _link(self._trellis, layer)
        here, there, branches = link.shape
        onward = self._after_departures(layer + 1)
        axes = [*self._open[layer], layer]
        shape = [*(len(self._kept[low]) for low in self._open[layer]), self._left, here, there]
        onward = self._aligned(onward, layer, here)
        total = np.broadcast_to(onward, shape)
        for jump in self._jumps_into.get(layer + 1, ()):
            total = total + self._jump_aligned(jump, axes, here)
        options = total[..., None] + link
        return options.reshape(*shape[:-1], there * branches)

    def _after_departures(self, layer: int) -> Floats:
        """Cost of entering each state with so many departures left beforehand, shape as that of `onward`."""
        onward = self.onward[layer]
        if self._room is None:
            return onward
        marked = self._trellis.departures[layer]
        fewer = np.concatenate([np.full_like(onward[..., :1, :], np.inf), onward[..., :-1, :]], axis=-2)
        return np.where(marked, fewer, onward)

    def _aligned(self, onward: Floats, layer: int, here: int) -> Floats:
        """Put the axes of the next layer's costs beside those of (open..., left, states, next states)."""
        after = self._open[layer + 1]
        if layer in after:
            place = self._place_of(layer, here)
            onward = np.moveaxis(np.take(onward, place, axis=len(after) - 1), len(after) - 1, -2)
            after = after[:-1]
        else:
            onward = onward[..., None, :]
        shape = [len(self._kept[low]) if low in after else 1 for low in self._open[layer]]
        return onward.reshape(*shape, *onward.shape[-3:])

    def _place_of(self, layer: int, here: int) -> Ints:
        """Where each state of an open end stands among those kept; states that were dropped stand first."""
        place = np.zeros(here, dtype=np.int64)
        place[self._kept[layer]] = np.arange(len(self._kept[layer]))
        return place

    def _jump_aligned(self, jump: Jump, axes: Sequence[int], here: int) -> Floats:
        """Costs of closing a jump, along its open end's axis and that of the next states."""
        there = jump.costs.shape[1]
        if jump.low == axes[-1]:
            return jump.costs.reshape(*[1] * (len(axes) - 1), 1, here, there)
        kept = self._kept[jump.low]
        shape = [len(kept) if low == jump.low else 1 for low in axes[:-1]]
        return jump.costs[kept].reshape(*shape, 1, 1, there)

    def _lay_flat(self) -> None:
        """Lay all costs end to end, so that those along a walk can be gathered in one sweep."""
        self._flat = np.concatenate([onward.ravel() for onward in self.onward])
        sizes = np.array([onward.size for onward in self.onward], dtype=np.int64)
        self._starts = np.concatenate([[0], np.cumsum(sizes)[:-1]])
        widths = np.array([len(costs) for costs in self._trellis.states], dtype=np.int64)
        self._widths = widths
        branches = self._trellis.branches
        most = int(widths[1:].max(initial=1)) * branches
        self._choices = np.arange(most)
        self._next = self._choices // branches
        self._valid = self._choices[None, :] < (widths[1:] * branches)[:, None]
        self._places = np.array(self._trellis.places, dtype=np.int64)
        self._strides = {low: np.zeros(self._size, dtype=np.int64) for low in self._kept}
        for layer, opened in enumerate(self._open):
            stride = int(widths[layer]) * self._left
            for low in reversed(opened):
                self._strides[low][layer] = stride
                stride *= len(self._kept[low])

    def best(self, count: int) -> tuple[Walk, ...]:
        """Find the cheapest walks, cheapest first."""
        heap: list[tuple[float, int, tuple[int, ...], tuple[int, ...], int]] = []
        pushed = 0
        for state, cost in enumerate(self._entering_first()):
            if cost < np.inf:
                heap.append((float(cost), pushed, (state,), (), 0))
                pushed += 1
        heapq.heapify(heap)
        found: list[Walk] = []
        while heap and len(found) < count:
            cost, _, states, branches, start = heapq.heappop(heap)
            walk = self._followed(cost, states, branches)
            found.append(walk)
            for total, layer, choice in self._detours(walk, start, count - len(found)):
                state, branch = divmod(choice, self._trellis.branches)
                key = (*walk.states[: layer + 1], state), (*walk.branches[:layer], branch)
                heapq.heappush(heap, (total, pushed, *key, layer + 1))
                pushed += 1
        return tuple(found)

    def _entering_first(self) -> Floats:
        """Cost of the best walk from each state of the first layer."""
        entering: Floats = self._after_departures(0).reshape(self._left, -1)[-1]
        return entering

    def _followed(self, cost: float, states: tuple[int, ...], branches: tuple[int, ...]) -> Walk:
        """Finish a walk along the cheapest choices."""
        walked, taken = list(states), list(branches)
        left = self._lefts(np.array(walked))[-1]
        state, many = walked[-1], self._trellis.branches
        simple = not self._kept and self._room is None
        for layer in range(len(walked) - 1, self._size - 1):
            place = state if simple else self._place(layer, walked, int(left))
            choice = self._choice[layer].get(place)
            if choice is None:
                choice = self._choice[layer][place] = self._plain_choice(layer, state)
            state, branch = divmod(choice, many)
            walked.append(state)
            taken.append(branch)
            if self._room is not None:
                left -= bool(self._trellis.departures[layer + 1][state])
        return Walk(cost, tuple(walked), tuple(taken))

    def _plain_choice(self, layer: int, state: int) -> int:
        """Cheapest choice of one state where nothing is open and nothing is counted."""
        onward, many = self.onward[layer + 1][0], self._trellis.branches
        start = self._trellis.places[layer] + state * len(onward) * many
        row = self._trellis.links[start : start + len(onward) * many]
        return int((row + (onward if many == 1 else onward.repeat(many))).argmin())

    def _lefts(self, walked: Ints) -> Ints:
        """Departures left after each layer of a walk's beginning."""
        if self._room is None:
            return np.zeros(len(walked), dtype=np.int64)
        marked = [bool(self._trellis.departures[layer][state]) for layer, state in enumerate(walked)]
        return self._room - np.cumsum(marked)

    def _place(self, layer: int, walked: Sequence[int], left: int) -> int:
        """Where in a layer's costs a walk stands."""
        place = left * int(self._widths[layer]) + walked[layer]
        for low in self._open[layer]:
            kept = int(np.searchsorted(self._kept[low], walked[low]))
            place += int(self._strides[low][layer]) * kept
        return place

    def _detours(self, walk: Walk, start: int, count: int) -> list[tuple[float, int, int]]:
        """Cheapest first choices by which a walk can be left from a layer on: (cost of the whole, layer, choice)."""
        if count < 1 or start >= self._size - 1:
            return []
        walked = np.array(walk.states)
        layers = np.arange(start, self._size - 1)
        here = walked[layers]
        many, widths = self._trellis.branches, self._widths[layers + 1]
        valid = self._valid[layers]
        rows = (self._places[layers] + here * widths * many)[:, None] + self._choices
        entering, allowed = self._entering(walked, layers, valid)
        link = self._trellis.links[np.where(valid, rows, 0)]
        costs = np.where(allowed, link + entering, np.inf)
        for jump in (jump for jumps in self._jumps_into.values() for jump in jumps if jump.high > start):
            row = jump.costs[walked[jump.low]]
            costs[jump.high - 1 - start, : len(row) * many] += np.repeat(row, many)
        taken = walked[layers + 1] * many + np.array(walk.branches[start:], dtype=np.int64)
        spent = costs[np.arange(len(layers)), taken][:, None]
        with np.errstate(invalid="ignore"):
            costs = np.where(np.isfinite(costs), walk.cost + (costs - spent), np.inf)
        costs[np.arange(len(layers)), taken] = np.inf
        return _cheapest(costs, count, start)

    def _entering(self, walked: Ints, layers: Ints, valid: Bools) -> tuple[Floats, Bools]:
        """Cost of finishing after each choice along a walk, and whether the choice is allowed."""
        places = (self._starts[layers + 1])[:, None] + np.where(valid, self._next, 0)
        for low, strides in self._strides.items():
            kept = int(np.searchsorted(self._kept[low], walked[low]))
            places = places + (strides[layers + 1] * kept)[:, None]
        if self._room is None:
            return self._flat[places], valid
        marked = np.zeros(valid.shape, dtype=np.int64)
        for row, layer in enumerate(layers):
            flags = np.repeat(self._trellis.departures[layer + 1], self._trellis.branches)
            marked[row, : len(flags)] = flags
        left = self._lefts(walked)[layers][:, None] - marked
        allowed = valid & (left >= 0)
        places = places + np.where(allowed, left, 0) * self._widths[layers + 1][:, None]
        return self._flat[places], allowed


def _cheapest(costs: Floats, count: int, start: int) -> list[tuple[float, int, int]]:
    """Pick the smallest finite costs, ties by layer and choice."""
    flat = costs.ravel()
    bound = np.partition(flat, count - 1)[count - 1] if flat.size > count else np.inf
    near = np.flatnonzero((flat <= bound) & np.isfinite(flat))
    near = near[np.argsort(flat[near], kind="stable")][:count]
    return [(float(flat[at]), start + int(at) // costs.shape[1], int(at) % costs.shape[1]) for at in near]
