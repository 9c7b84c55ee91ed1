"""Which way did the pitch take from one note to the other? Every candidate move is weighed by how well it fits.

Along the right path each moment is like the one a period later; what is left over in all says how likely a path is.
First come moves that land where they should, at every moment near the change; then the best of them again, landing
off the second note and settling.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from slurwright.listen.slur_lags import LagMap
from slurwright.listen.slur_moves import Moves, Settling, moves_between

__all__ = ["PathFit", "fit_path"]

Real = NDArray[np.float64]
Places = NDArray[np.intp]
_Rows = tuple[Real, Places, Places]
"""Length, way and step of the map about which a move is half way, for each move."""

_LENGTHS_S = np.geomspace(0.004, 0.26, 19)
_SPLITS_S = (0.02, 0.07)
"""Short, middling and long moves are laid on grids of their own."""
_SCOOP_S, _SCOOP_PERIODS = 0.040, 2.5
_OFF_CENTS = (-170.0, -120.0, -85.0, -60.0, -40.0, -24.0, -12.0, 12.0, 24.0, 40.0, 60.0, 85.0, 120.0, 170.0)
_SETTLE_S = (0.09, 0.17)
_KEPT = 6
_COARSER = (1, 2, 4)
_STRIDE = 0.25
"""Step of the moment that is sought, in periods."""
_SHARPNESS = 2.5
"""Independent looks a period; sets how fast a worse path becomes unlikely. Fitted on made-up slurs."""
_LEAST = 0.0015


@dataclass(frozen=True, slots=True, eq=False)
class PathFit:
    """Candidate paths with their weights; all arrays have shape=(paths,)."""

    weight: Real
    time_s: Real
    left_s: Real
    half_s: Real
    reached_s: Real
    scoop_cents: Real
    overshoot_cents: Real
    misfit: float
    """What the best path leaves unexplained, against the sound's power: 0 for nothing, 1 for half of it."""
    best: int
    lag_s: Real
    """Period along the best path, one a step of the map [s]."""


@dataclass(frozen=True, slots=True, eq=False)
class _Tried:
    """Moves with the best moments for each."""

    moves: Moves
    settling: Settling
    half_s: Real
    """When the pitch is half way, shape=(moves, moments) [s]."""
    cost: Real
    """Mean of what is left over, shape=(moves, moments)."""


def fit_path(
    lags: LagMap, *, first_hz: float, second_hz: float, change_s: float, within_s: float, settling: bool = True
) -> PathFit:
    """Weigh the ways from one pitch to the other.

    Args:
        lags: of the sound.
        first_hz: pitch that is left [Hz].
        second_hz: pitch that is reached [Hz].
        change_s: about when the pitch is half way [s].
        within_s: the moment is sought so far before and after [s].
        settling: whether paths that arrive off the second note are weighed too.
    """
    pair = (first_hz, second_hz)
    rough = []
    for low, high, times in zip((0.0, *_SPLITS_S), (*_SPLITS_S, 1.0), _COARSER, strict=True):
        lengths = _LENGTHS_S[(low < _LENGTHS_S) & (high >= _LENGTHS_S)]
        coarse = lags.coarser(times) if times > 1 else lags
        reach = within_s / coarse.step_s
        stride = max(1, round(_STRIDE / min(pair) / coarse.step_s))
        offsets = np.arange(-int(reach), int(reach) + 1, stride)
        ways = np.tile(np.arange(3), len(lengths))
        starts = np.full(len(ways), round((change_s - coarse.start_s) / coarse.step_s))
        rows = (np.repeat(lengths, 3), ways, starts)
        rough.append(_try(coarse, _Bounds.of(coarse, pair), rows, offsets, Settling()))
    bounds = _Bounds.of(lags, pair)
    near = max(1, round(_STRIDE / min(pair) / lags.step_s))
    offsets = np.arange(-near, near + 1)
    fine: list[_Tried] = []
    found = _best(rough, lags, 3 * _KEPT)
    lengths, ways, starts = (np.array([row[column] for row in found]) for column in range(3))
    # between the lengths that were tried, and at moments between
    many = (np.repeat(lengths, 3) * np.tile((0.93, 1.0, 1.07), len(found)), np.repeat(ways, 3), np.repeat(starts, 3))
    for short in (True, False):
        chosen = (many[0] <= _SPLITS_S[1]) == short
        if chosen.any():
            length, way, start = (column[chosen] for column in many)
            fine.append(_try(lags, bounds, (length, way, start), offsets, Settling()))
    if settling:
        few = (lengths[:_KEPT], ways[:_KEPT], starts[:_KEPT])
        fine += [
            _try(lags, bounds, few, offsets[:: max(1, near // 2)], Settling(off, settle))
            for settle in _SETTLE_S
            for off in _OFF_CENTS
        ]
    return _fit(lags, pair, fine)


@dataclass(frozen=True, slots=True, eq=False)
class _Bounds:
    """What staying on either note costs, summed up from the left."""

    first_hz: float
    second_hz: float
    first: Real
    second: Real

    @classmethod
    def of(cls, lags: LagMap, pair: tuple[float, float]) -> "_Bounds":
        steps = np.arange(lags.unlike.shape[1])
        first, second = (np.concatenate(([0.0], np.cumsum(lags.along(np.array(1.0 / hz), steps)))) for hz in pair)
        return cls(*pair, first, second)


def _try(lags: LagMap, bounds: _Bounds, rows: _Rows, offsets: Places, settling: Settling) -> _Tried:
    """Add up what each move leaves over, at each moment."""
    lengths, ways, starts = rows
    step = lags.step_s
    period = 1.0 / min(bounds.first_hz, bounds.second_hz)
    longest = float(lengths.max())
    after = longest + 0.6 * period + (settling.length_s if settling.off_cents else 0.0)
    before = -int((longest + 0.6 * period) / step) - 1
    times = step * np.arange(before, int(after / step) + 2)
    moves = moves_between(
        bounds.first_hz, bounds.second_hz, length_s=lengths, way=ways, settling=settling, times_s=times
    )
    width = lags.unlike.shape[1]
    shifts = starts[:, None] + offsets
    columns = shifts[:, :, None] + np.arange(before, before + len(times))
    inside = (columns >= 0) & (columns < width)
    values = lags.along(moves.lag_s[:, None, :], np.clip(columns, 0, width - 1))
    start = np.clip(shifts + before, 0, width)
    stop = np.clip(shifts + before + len(times), 0, width)
    ends = bounds.first[start] + bounds.second[-1] - bounds.second[stop]
    cost = ((values * inside).sum(axis=2) + ends) / width
    return _Tried(moves, settling, lags.start_s + step * shifts, cost)


def _best(tried: list[_Tried], lags: LagMap, count: int) -> list[tuple[float, int, int]]:
    """The best moves, each at its best moment: length, way, step of the map."""
    rows = []
    for each in tried:
        at = each.cost.argmin(axis=1)
        for move, moment in enumerate(at.tolist()):
            place = round((float(each.half_s[move, moment]) - lags.start_s) / lags.step_s)
            rows.append(
                (float(each.cost[move, moment]), float(each.moves.length_s[move]), int(each.moves.way[move]), place)
            )
    rows.sort()
    return [row[1:] for row in rows[:count]]


def _fit(lags: LagMap, pair: tuple[float, float], tried: list[_Tried]) -> PathFit:
    """Join all that was tried to one distribution."""
    table = np.concatenate([_rows(each, number, pair) for number, each in enumerate(tried)], axis=1)
    periods = lags.unlike.shape[1] * lags.step_s * min(pair)
    log = -_SHARPNESS * periods * np.log(table[0] + _LEAST)
    weight = np.exp(log - log.max())
    kept = weight > 1e-4
    table, weight = table[:, kept], weight[kept]
    place = int(table[0].argmin())
    chosen = tried[int(table[6, place])]
    return PathFit(
        weight=weight / weight.sum(),
        time_s=table[2] - table[1],
        left_s=table[3] + table[1],
        half_s=table[3],
        reached_s=table[3] + table[2],
        scoop_cents=table[4],
        overshoot_cents=table[5],
        misfit=float(table[0].min()),
        best=place,
        lag_s=_along(lags, chosen, int(table[7, place]), float(table[3, place]), pair),
    )


def _rows(each: _Tried, number: int, pair: tuple[float, float]) -> Real:
    """One column a path: cost, edges, half, scoop, overshoot, where it stands; shape=(8, paths)."""
    interval = 1200.0 * np.log2(pair[1] / pair[0])
    look = max(_SCOOP_S, _SCOOP_PERIODS / pair[1])
    moves, count = each.cost.shape
    left, reached = _edges(each, interval)
    hz = np.array([np.interp(look, each.moves.times_s, row) for row in each.moves.hz])
    short = np.maximum(0.0, -1200.0 * np.log2(hz / pair[1]))
    past = max(0.0, each.settling.off_cents * float(np.sign(interval)))
    per_move = np.repeat(np.stack((left, reached, short, np.arange(moves))), count, axis=1)
    size = each.cost.size
    return np.stack(
        (
            each.cost.ravel(),
            per_move[0],
            per_move[1],
            each.half_s.ravel(),
            per_move[2],
            np.full(size, past),
            np.full(size, float(number)),
            per_move[3],
        )
    )


def _along(lags: LagMap, tried: _Tried, move: int, half_s: float, pair: tuple[float, float]) -> Real:
    times = lags.start_s + lags.step_s * np.arange(lags.unlike.shape[1]) - half_s
    return np.interp(times, tried.moves.times_s, tried.moves.lag_s[move], left=1.0 / pair[0], right=1.0 / pair[1])


def _edges(tried: _Tried, interval: float) -> tuple[Real, Real]:
    """When the pitch leaves the first note and reaches the second, to a tenth of the interval; 0 is half way."""
    times, hz = tried.moves.times_s, tried.moves.hz
    done = 1200.0 * np.log2(hz / hz[:, :1]) / interval
    left = np.array([_crossing(times, row, 0.1, last=True) for row in done])
    reached = np.array([_crossing(times, row, 0.9, last=False) for row in done])
    return left, np.maximum(reached, left)


def _crossing(times: Real, done: Real, limit: float, *, last: bool) -> float:
    """When a limit is passed upwards, between two moments."""
    over = done >= limit
    if last:
        under = np.flatnonzero(~over)
        before = int(under[under < max(1, np.argmax(done >= 0.5))][-1]) if len(under) else 0
    else:
        before = max(0, int(np.argmax(over)) - 1) if over.any() else len(done) - 2
    before = min(before, len(done) - 2)
    rise = done[before + 1] - done[before]
    return float(
        times[before] + (times[1] - times[0]) * np.clip((limit - done[before]) / rise if rise > 0 else 0.0, 0.0, 1.0)
    )
