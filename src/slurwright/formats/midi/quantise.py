"""Which written place a played note was meant for.

Aim: give the places of a single line back when each onset was played a little early or late. Every onset may go
to any point of a few grids (halves, quarters, eighths and sixteenths of a beat; thirds, sixths and twelfths;
fifths); a beat uses one grid. What is minimised is a negative log chance: a Gaussian of the distance in time, a
cost for rare places and rare grids, and the rule that places rise. The spread of the Gaussian is chosen from a
short list as the one that explains the whole line best, so that an exact file is taken at its word and a played
one is not. The costs are ours, set so that an ordinary line with 25 ms of spread comes back; positions are in
beats of a quarter note.
"""

import math
from bisect import bisect_left, bisect_right
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

__all__ = ["Placed", "place_onsets"]

_SPREADS_S = (0.001, 0.004, 0.010, 0.018, 0.026, 0.040)
_RISE_PENALTY = 40.0
_WEAK_GAP_COST = 1.8
_WEAK_ENTRY_COST = 1.5
_OFFBEAT_ENTRY_COST = 0.3
_TERNARY_LONE_COST = 3.0


@dataclass(frozen=True, slots=True)
class _Family:
    """One way to divide a beat: what entering costs at first and after a beat of the same family, and its places."""

    first: float
    again: float
    places: tuple[tuple[Fraction, float], ...]
    values: tuple[float, ...]


def _family(first: float, again: float, parts: Sequence[tuple[int, float]]) -> _Family:
    found: dict[Fraction, float] = {}
    for count, cost in parts:
        for place in range(count):
            found.setdefault(Fraction(place, count), cost)
    places = tuple(sorted(found.items()))
    return _Family(first, again, places, tuple(float(place) for place, _ in places))


_FAMILIES = (
    _family(0.0, 0.0, ((1, 0.0), (2, 0.7), (4, 1.6), (8, 4.5), (16, 8.0))),
    _family(2.6, 1.0, ((1, 0.2), (3, 0.6), (6, 3.0), (12, 8.0))),
    _family(7.0, 4.0, ((1, 0.5), (5, 1.0))),
)


@dataclass(frozen=True, slots=True)
class Placed:
    """Where the onsets go, and how far they were off."""

    onsets_quarter: tuple[Fraction, ...]
    spread_s: float
    """Spread that explains the line best [s]."""


@dataclass(frozen=True, slots=True)
class _Candidate:
    place: Fraction
    beat: int
    family: int
    cost: float
    follower: Fraction
    """Place where the next onset is expected at the latest: one step of this place's own grid further on."""
    gap_cost: float
    """What it costs when it comes later: a weak place mostly leads on to the next one."""
    entry_cost: float
    """What it costs to be the first onset of its beat."""


def place_onsets(onsets_quarter: Sequence[float], quarter_s: Sequence[float]) -> Placed:
    """Say where each onset of a single line is to be written.

    Args:
        onsets_quarter: as played, rising, counted from a bar line; shape=(n,) [quarters].
        quarter_s: length of a quarter at each onset; shape=(n,) [s].

    """
    if not onsets_quarter:
        return Placed((), 0.0)
    best_cost, best = math.inf, Placed((), 0.0)
    for spread_s in _SPREADS_S:
        cost, places = _best_path(onsets_quarter, quarter_s, spread_s)
        if cost < best_cost - 1e-9:
            best_cost, best = cost, Placed(places, spread_s)
        off_s = (
            abs(onset - float(place)) * quarter
            for onset, place, quarter in zip(onsets_quarter, places, quarter_s, strict=True)
        )
        if max(off_s) < 2.0 * _SPREADS_S[0]:
            break  # exact: a wider spread has nothing to explain
    return best


def _best_path(
    onsets: Sequence[float], quarters: Sequence[float], spread_s: float
) -> tuple[float, tuple[Fraction, ...]]:
    """Viterbi over the onsets; the state is a place together with the grid that its beat uses."""
    layers: list[list[_Candidate]] = []
    costs: list[float] = []
    back: list[list[int]] = []
    for index, (onset, quarter_s) in enumerate(zip(onsets, quarters, strict=True)):
        layer = _candidates(onset, spread_s / quarter_s, math.log(spread_s))
        if index == 0:
            costs = [c.cost + _FAMILIES[c.family].first for c in layer]
            back.append([-1] * len(layer))
        else:
            costs, chosen = _extend(layers[-1], costs, layer)
            back.append(chosen)
        layers.append(layer)
    last = min(range(len(costs)), key=lambda at: (costs[at], layers[-1][at].place))
    total = costs[last]
    places: list[Fraction] = []
    for layer, chosen in zip(reversed(layers), reversed(back), strict=True):
        places.append(layer[last].place)
        last = chosen[last]
    return total, tuple(reversed(places))


def _extend(
    before: Sequence[_Candidate], costs: Sequence[float], layer: Sequence[_Candidate]
) -> tuple[list[float], list[int]]:
    new_costs: list[float] = []
    chosen: list[int] = []
    for candidate in layer:
        family = _FAMILIES[candidate.family]
        best, best_at = math.inf, 0
        for at, (previous, cost) in enumerate(zip(before, costs, strict=True)):
            if previous.beat == candidate.beat:
                if previous.family != candidate.family:
                    continue
                step = 0.0
            else:
                step = candidate.entry_cost + (family.again if previous.family == candidate.family else family.first)
            if previous.place >= candidate.place:
                step += _RISE_PENALTY
            elif candidate.place > previous.follower:
                step += previous.gap_cost
            if cost + step < best:
                best, best_at = cost + step, at
        new_costs.append(best + candidate.cost)
        chosen.append(best_at)
    return new_costs, chosen


def _candidates(onset: float, spread_quarter: float, log_spread: float) -> list[_Candidate]:
    """Gather the places near an onset: at least the nearest sixteenth, so that a path always exists."""
    beat = math.floor(onset)
    reach = max(4.0 * spread_quarter, 0.02)
    nearest = Fraction(round(onset * 4), 4)
    places: dict[tuple[Fraction, int], float] = {(nearest, 0): 2.0}
    for number, family in enumerate(_FAMILIES):
        for shift in (-1, 0, 1):
            for place, cost in _within(family, onset - beat - shift, reach):
                places[beat + shift + place, number] = cost
    costed = {
        (place, family): cost + 0.5 * ((onset - float(place)) / spread_quarter) ** 2 + log_spread
        for (place, family), cost in places.items()
    }
    floor = min(costed.values())
    return [
        _candidate(place, family, cost)
        for (place, family), cost in costed.items()
        if cost <= floor + 14.0 or (place, family) == (nearest, 0)
    ]


def _within(family: _Family, centre: float, reach: float) -> tuple[tuple[Fraction, float], ...]:
    if centre + reach < 0.0 or centre - reach >= 1.0:
        return ()
    low = bisect_left(family.values, centre - reach)
    return family.places[low : bisect_right(family.values, centre + reach)]


def _candidate(place: Fraction, family: int, cost: float) -> _Candidate:
    beat, within = divmod(place, 1)
    weak = within.denominator > 2
    gap_cost = _WEAK_GAP_COST if weak else (_TERNARY_LONE_COST if family and not within else 0.0)
    follower = Fraction(beat + 1) if family and not within else place + Fraction(1, within.denominator)
    entry_cost = _WEAK_ENTRY_COST if weak else (_OFFBEAT_ENTRY_COST if within else 0.0)
    return _Candidate(place, beat, family, cost, follower, gap_cost, entry_cost)
