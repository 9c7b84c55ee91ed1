"""Which way did the pitch take from one note to the other? Every candidate move is weighed by how well it fits.

Along the right path each moment is like the one a period later; what is left over in all says how likely a path is.
First come moves that land where they should, at every moment near the change; then the best of them again, landing
off the second note and settling.
"""

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from slurwright.listen.slur_lags import LagMap
from slurwright.listen.slur_moves import Moves, Settling, moves_between

__all__ = ["PathFit", "fit_path"]

Real = NDArray[np.float64]
Places = NDArray[np.intp]
_Rows = tuple[Real, Places, Places]
"""Length, way and step of the map about which a move is half way, for each move."""

_LENGTHS, _LONGEST_S = 18, 0.26
_LEAST_PERIODS = 1.0
"""An air column does not settle on another note in less than about one period (inference, ours)."""
_SPLITS_S = (0.02, 0.07)
"""Short, middling and long moves are laid on grids of their own."""
_SCOOP_S, _SCOOP_PERIODS = 0.040, 2.5
_OFF_CENTS = (20.0, 40.0, 65.0, 100.0, 150.0)
"""Landings that are tried, on either side."""
_HOPELESS_NATS = 16.0
"""Where a path is less likely than the best by so much, none beyond it is tried [nats]."""
_SETTLE_S = (0.09, 0.16)
_NEAR_OFF, _NEAR_SETTLE = (0.8, 0.9, 1.0, 1.12, 1.25), (0.85, 1.0, 1.17, 1.35)
_KEPT = 4
_COARSER = (1, 2, 4)
_STRIDE = 0.25
"""Step of the moment that is sought, in periods."""
_SHARPNESS = 1.6
"""Independent looks a period; sets how fast a worse path becomes unlikely. Fitted on made-up slurs."""
_LEAST = 0.0015
_RARER = 4.0
"""Log odds of a clean landing against one of the many others [nats]."""
_FAR = 9.0
"""What is this much less likely does not count [nats]."""


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

    @property
    def least(self) -> float:
        """What the best of them leaves over."""
        return float(self.cost.min())


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
    shortest = _LEAST_PERIODS / min(pair)
    every = shortest * np.geomspace(1.0, max(2.0, _LONGEST_S / shortest), _LENGTHS)
    for low, high, times in zip((0.0, *_SPLITS_S), (*_SPLITS_S, 1.0), _COARSER, strict=True):
        lengths = every[(low < every) & (high >= every)]
        if not len(lengths):
            continue
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
    if not settling:
        return _fit(lags, pair, fine)
    few = (lengths[:_KEPT], ways[:_KEPT], starts[:_KEPT])
    least = min(each.least for each in fine)
    fine += _settling(lags, bounds, few, offsets[:: max(1, near // 2)], least=least)
    best = min(fine, key=lambda each: each.least)
    if best.settling.off_cents:
        fine += [
            _try(
                lags,
                bounds,
                few,
                offsets,
                Settling(best.settling.off_cents * off, best.settling.length_s * longer),
            )
            for off in _NEAR_OFF
            for longer in _NEAR_SETTLE
        ]
    return _fit(lags, pair, fine)


def _settling(
    lags: LagMap, bounds: "_Bounds", rows: tuple[Real, Places, Places], offsets: Places, *, least: float
) -> list[_Tried]:
    """Try moves that land further and further off the second note, on either side, as long as that can be the way."""
    periods = lags.unlike.shape[1] * lags.step_s * min(bounds.first_hz, bounds.second_hz)
    hopeless = float(np.exp(_HOPELESS_NATS / (_SHARPNESS * periods)))
    tried = []
    for settle in _SETTLE_S:
        for side in (-1.0, 1.0):
            for off in _OFF_CENTS:
                tried.append(_try(lags, bounds, rows, offsets, Settling(side * off, settle)))
                least = min(least, tried[-1].least)
                if tried[-1].least + _LEAST > hopeless * (least + _LEAST):
                    break
    return tried


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
    times = step * np.arange(before, int(after / step) + 2, dtype=np.float64)
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
    return _Tried(moves, settling, lags.start_s + step * shifts.astype(np.float64), cost)


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
    """Join all that was tried to one distribution; what is far less likely than the best is dropped."""
    periods = lags.unlike.shape[1] * lags.step_s * min(pair)
    tried = [_doubted(each, periods) for each in tried]
    least = min(float(each.cost.min()) for each in tried)
    most = (least + _LEAST) * float(np.exp(_FAR / (_SHARPNESS * periods))) - _LEAST
    parts = []
    for each in tried:
        moves, moments = np.nonzero(each.cost <= most)
        if len(moves):
            parts.append((each, moves, moments))
    table = np.concatenate([_rows(each, moves, moments, pair) for each, moves, moments in parts], axis=1)
    weight = np.exp(-_SHARPNESS * periods * np.log((table[0] + _LEAST) / (least + _LEAST)))
    best = min(tried, key=lambda each: float(each.cost.min()))
    move, moment = np.unravel_index(int(best.cost.argmin()), best.cost.shape)
    return PathFit(
        weight=weight / weight.sum(),
        time_s=table[2] - table[1],
        left_s=table[3] + table[1],
        half_s=table[3],
        reached_s=table[3] + table[2],
        scoop_cents=table[4],
        overshoot_cents=table[5],
        misfit=least,
        lag_s=_along(lags, best, int(move), float(best.half_s[move, moment]), pair),
    )


def _doubted(each: _Tried, periods: float) -> _Tried:
    """Make what arrives off the note cost more: it is rarer, and there are many ways to do so."""
    if not each.settling.off_cents:
        return each
    return replace(each, cost=(each.cost + _LEAST) * float(np.exp(_RARER / (_SHARPNESS * periods))) - _LEAST)


def _rows(each: _Tried, moves: Places, moments: Places, pair: tuple[float, float]) -> Real:
    """One column a path: cost, edges against half way, half way, scoop, overshoot; shape=(6, paths)."""
    interval = 1200.0 * np.log2(pair[1] / pair[0])
    look = max(_SCOOP_S, _SCOOP_PERIODS / pair[1])
    few, place = np.unique(moves, return_inverse=True)
    hz = each.moves.hz[few]
    left, reached = _edges(each.moves.times_s, 1200.0 * np.log2(hz / pair[0]) / interval)
    column = min(
        round((look - each.moves.times_s[0]) / (each.moves.times_s[1] - each.moves.times_s[0])), hz.shape[1] - 1
    )
    short = np.maximum(0.0, -1200.0 * np.log2(hz[:, column] / pair[1]))
    past = max(0.0, each.settling.off_cents * float(np.sign(interval)))
    return np.stack(
        (
            each.cost[moves, moments],
            left[place],
            reached[place],
            each.half_s[moves, moments],
            short[place],
            np.full(len(moves), past),
        )
    )


def _along(lags: LagMap, tried: _Tried, move: int, half_s: float, pair: tuple[float, float]) -> Real:
    times = lags.start_s + lags.step_s * np.arange(lags.unlike.shape[1]) - half_s
    lag_s = np.interp(times, tried.moves.times_s, tried.moves.lag_s[move], left=1.0 / pair[0], right=1.0 / pair[1])
    return np.asarray(lag_s, np.float64)


def _edges(times: Real, done: Real) -> tuple[Real, Real]:
    """When the pitch leaves the first note and reaches the second, to a tenth of the interval; 0 is half way."""
    left = _crossing(times, done, (done >= 0.1).argmax(axis=1), 0.1)
    reached = _crossing(times, done, (done >= 0.9).argmax(axis=1), 0.9)
    return left, np.maximum(reached, left)


def _crossing(times: Real, done: Real, over: Places, limit: float) -> Real:
    """When a limit is passed upwards, between two moments; where it never is, at the end."""
    rows = np.arange(len(done))
    never = done[rows, over] < limit
    over = np.maximum(np.where(never, len(times) - 1, over), 1)
    below, above = done[rows, over - 1], done[rows, over]
    along = np.clip((limit - below) / np.maximum(above - below, 1e-9), 0.0, 1.0)
    return np.asarray(times[over - 1] + (times[1] - times[0]) * along)
