"""What it costs to finish a walk through a trellis from everywhere, and the cheapest walks by it.

`onward[i][open, left, s]` is the least cost of finishing from layer i on when entering it in state s, with `left`
departures still allowed and `open` the states taken at the earlier ends of jumps that have not closed yet. It is
computed from the last layer back (dynamic programming; the open ends are what a jump costs). With it in hand, the
second best walk leaves the best one at one link and then goes on as is cheapest; the third leaves one of these, and
so on (the partition of solutions by deviations of E. L. Lawler, Management Science 18 (1972) 401; from memory). Every
walk has exactly one series of deviations, so none is told twice.
"""

import heapq
from collections.abc import Mapping, Sequence

import numpy as np

from slurwright.plan.transition import Bools, Floats, Ints
from slurwright.plan.trellis import Jump, Trellis, Walk, link_of

__all__ = ["Search", "open_ends"]


def open_ends(trellis: Trellis, ends: Sequence[int]) -> list[tuple[int, ...]]:
    """Say which jumps are open at each layer, by their low ends.

    Args:
        trellis: layers and jumps.
        ends: low ends that are to be told.

    """
    closes = {low: max(jump.high for jump in trellis.jumps if jump.low == low) for low in ends}
    return [tuple(low for low in sorted(ends) if low < layer < closes[low]) for layer in range(len(trellis.states))]


class Search:
    """Costs of finishing from everywhere, and the walks that they lead to."""

    def __init__(self, trellis: Trellis, kept: Mapping[int, Ints], room: int | None) -> None:
        """Compute the costs.

        Args:
            trellis: costs on the grid; states of open ends that are not kept are forbidden there.
            kept: low end of each jump -> its states that are not forbidden.
            room: how many departures are allowed; None for any number.

        """
        self._trellis = trellis
        self._kept = kept
        self._room = room
        self._left = 1 if room is None else room + 1
        self._size = len(trellis.states)
        self._open = open_ends(trellis, list(kept))
        self._jumps_into: dict[int, list[Jump]] = {}
        for jump in trellis.jumps:
            self._jumps_into.setdefault(jump.high, []).append(jump)
        self.onward: list[Floats] = [np.empty(0)] * self._size
        """Least cost of finishing, shape=(kept states of each open end..., left, states)."""
        self._choice: list[dict[int, int]] = [{} for _ in range(self._size)]
        """Cheapest choice by place in `onward`; where nothing is open it is looked for when it is needed."""
        self._options_kept: list[Floats] = [np.empty(0)] * self._size
        """Cost of each (state, choice) of those layers."""
        self._solve()

    def _solve(self) -> None:
        """Fill in the costs of finishing from the last layer back."""
        states, last = self._trellis.states, self._size - 1
        shape = self._shape(last)
        self.onward[last] = np.broadcast_to(states[last], shape).copy()
        for layer in range(last - 1, -1, -1):
            if self._plain(layer):
                options = self._options_kept[layer] = self._plain_options(layer)
                least = np.minimum.reduce(options, axis=1)
                self.onward[layer] = (least + states[layer])[None, :]
                continue
            options = self._options(layer)
            self.onward[layer] = (options.min(axis=-1) + states[layer]).reshape(self._shape(layer))
            self._choice[layer] = dict(enumerate(options.argmin(axis=-1).ravel().tolist()))

    def _plain(self, layer: int) -> bool:
        """Say whether nothing is open and nothing is counted from a layer to the next."""
        if self._room is not None:
            return False
        if not self._jumps_into:
            return True
        return not (self._open[layer] or self._open[layer + 1] or layer + 1 in self._jumps_into)

    def _shape(self, layer: int) -> tuple[int, ...]:
        return (*(len(self._kept[low]) for low in self._open[layer]), self._left, len(self._trellis.states[layer]))

    def _plain_options(self, layer: int) -> Floats:
        """Cost of each (state, choice) where nothing is open and nothing is counted."""
        trellis, onward = self._trellis, self.onward[layer + 1][0]
        if trellis.branches > 1:
            onward = onward.repeat(trellis.branches)
        here, start = len(trellis.states[layer]), trellis.places[layer]
        options: Floats = trellis.links[start : start + here * len(onward)].reshape(here, len(onward)) + onward
        return options

    def _options(self, layer: int) -> Floats:
        """Cost of each choice, shape=(open..., left, states, choices)."""
        link = link_of(self._trellis, layer)
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
        if count > 1 or self._kept or self._room is not None:
            self._lay_flat()
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
                choice = self._choice[layer][place] = int(self._options_kept[layer][state].argmin())
            state, branch = divmod(choice, many)
            walked.append(state)
            taken.append(branch)
            if self._room is not None:
                left -= bool(self._trellis.departures[layer + 1][state])
        return Walk(cost, tuple(walked), tuple(taken))

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
