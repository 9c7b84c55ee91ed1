"""A trellis: layers of states, a link from each layer to the next, and a few jumps.

This module and its neighbours `finishing` and `jumps` know nothing of music. A walk takes one state a layer and one
branch a link (parallel links between the same two states); its cost is the sum of the states' costs, the links', and
those of the jumps, each of which joins two layers that need not be neighbours. Each layer may mark states as
departures, of which a walk may be allowed only so many.

Costs are whole multiples of `GRID`, which a float adds without error as long as a walk costs less than 2^17: sums do
not depend on their order, so equal costs are equal and ties fall to the first state, branch and layer.
"""

from dataclasses import dataclass

import numpy as np

from slurwright.plan.transition import Bools, Floats

__all__ = ["GRID", "Jump", "Trellis", "Walk", "link_of", "on_grid"]

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


def link_of(trellis: Trellis, layer: int) -> Floats:
    """Give the costs of one link, shape=(states, next states, branches)."""
    here, there = len(trellis.states[layer]), len(trellis.states[layer + 1])
    place = trellis.places[layer]
    return trellis.links[place : place + here * there * trellis.branches].reshape(here, there, trellis.branches)
