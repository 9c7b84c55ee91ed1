"""How can the pitch move from one note to another? Candidate paths, and the period that is heard at each moment.

A move takes its time from end to end in one of three ways: evenly, gently at both ends, or at once and then more and
more slowly; it may arrive off the second note and settle.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

__all__ = ["Moves", "Settling", "moves_between"]

Real = NDArray[np.float64]

_FALL = 5.0
"""A slowing move is cut off after so many time constants."""
_LAST = 1.0 - np.exp(-_FALL)
_WAYS = 3


@dataclass(frozen=True, slots=True, eq=False)
class Moves:
    """Candidates, all on one grid of moments around the one where the pitch is half way."""

    length_s: Real
    """From end to end, shape=(moves,) [s]."""
    way: NDArray[np.intp]
    """0 even, 1 gentle, 2 slowing, shape=(moves,)."""
    times_s: Real
    """0 is half way, shape=(moments,) [s]."""
    hz: Real
    """shape=(moves, moments) [Hz]."""
    lag_s: Real
    """The period of which half lies before the moment and half after, shape=(moves, moments) [s]."""


@dataclass(frozen=True, slots=True)
class Settling:
    """Where a move arrives, against the second note, and how long it takes to settle."""

    off_cents: float = 0.0
    length_s: float = 0.1


def moves_between(
    first_hz: float, second_hz: float, *, length_s: Real, way: NDArray[np.intp], settling: Settling, times_s: Real
) -> Moves:
    """Lay out candidate moves.

    Args:
        first_hz: pitch that is left [Hz].
        second_hz: pitch that is reached [Hz].
        length_s: from end to end, shape=(moves,) [s].
        way: how each moves, shape=(moves,).
        settling: where all arrive.
        times_s: equal steps around half way, shape=(moments,) [s].
    """
    step = float(times_s[1] - times_s[0])
    reach = int(np.ceil(0.75 / min(first_hz, second_hz) / step)) + 1
    grid = times_s[0] + step * np.arange(-reach, len(times_s) + reach)
    interval = 1200.0 * np.log2(second_hz / first_hz)
    total = interval + settling.off_cents
    half = _when(np.clip(0.5 * interval / total if total else 0.5, 0.05, 0.95), way) * length_s
    since = grid[None, :] + half[:, None]
    cents = total * _done(since / length_s[:, None], way)
    if settling.off_cents:
        along = np.clip((since - length_s[:, None]) / settling.length_s, 0.0, 1.0)
        cents = cents - settling.off_cents * (0.5 - 0.5 * np.cos(np.pi * along))
    hz = first_hz * 2.0 ** (cents / 1200.0)
    inner = slice(reach, reach + len(times_s))
    return Moves(length_s, way, times_s, hz[:, inner], _lags(hz, step, reach, len(times_s)))


def _lags(hz: Real, step: float, reach: int, count: int) -> Real:
    """Solve for the span around each moment in which one cycle passes."""
    cycles = np.zeros_like(hz)
    np.cumsum(0.5 * (hz[:, 1:] + hz[:, :-1]) * step, axis=1, out=cycles[:, 1:])
    width = hz.shape[1]
    flat = cycles.ravel()
    base = (np.arange(hz.shape[0]) * width)[:, None]
    middle = np.arange(reach, reach + count)[None, :]
    lag = 1.0 / hz[:, reach : reach + count]
    for _ in range(3):
        half = lag / (2.0 * step)
        passed = _at(flat, base, middle + half, width) - _at(flat, base, middle - half, width)
        lag = lag + (1.0 - passed) / hz[:, reach : reach + count] * 0.9
    return lag


def _at(flat: Real, base: NDArray[np.intp], place: Real, width: int) -> Real:
    place = np.minimum(np.maximum(place, 0.0), width - 1.001)
    whole = place.astype(np.intp)
    at = base + whole
    here = flat.take(at, mode="clip")
    return np.asarray(here + (place - whole) * (flat.take(at + 1, mode="clip") - here))


def _done(share: Real, way: NDArray[np.intp]) -> Real:
    share = np.minimum(np.maximum(share, 0.0), 1.0)
    out = np.empty_like(share)
    even, gentle, slowing = (way == kind for kind in range(_WAYS))
    out[even] = share[even]
    out[gentle] = 0.5 - 0.5 * np.cos(np.pi * share[gentle])
    out[slowing] = (1.0 - np.exp(-_FALL * share[slowing])) / _LAST
    return out


def _when(done: float, way: NDArray[np.intp]) -> Real:
    """Part of its time at which a move of each kind has come so far."""
    table = np.array([done, np.arccos(1.0 - 2.0 * done) / np.pi, -np.log(1.0 - done * _LAST) / _FALL])
    return np.asarray(table[way])
