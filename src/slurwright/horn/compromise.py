"""Lengths of three valve slides that share out the error of the fingerings that combine them.

The error of a fingering is its distance from the equal-tempered lowering that it is used for, + sharp. Both
answers are found by repeating the linear problem where the last answer lies, which settles in a few rounds.
"""

from collections.abc import Callable
from itertools import combinations

import numpy as np
import numpy.typing as npt

from slurwright.horn.tubing import Tubing, pieces_of, ratio_of
from slurwright.pitch import cents_of_ratio

__all__ = ["COMBINATIONS", "least_squares", "minimax"]

COMBINATIONS = (("2",), ("1",), ("1", "2"), ("2", "3"), ("1", "3"), ("1", "2", "3"))
"""Fingerings that the error is shared among: the normal ones of a three-valve horn (derived from the rule)."""

_VALVES = ("1", "2", "3")
_ROUNDS = 8
_SMALL = 1e-9

_Array = npt.NDArray[np.float64]
_Step = Callable[[_Array, _Array], _Array]


def least_squares(tubing: Tubing, lengths: dict[str, float]) -> dict[str, float]:
    """Which lengths make the sum of the squared errors least.

    Args:
        tubing: the horn's tubes.
        lengths: exact added lengths to start from, in open lengths [1].

    Returns:
        Valve name to added length [1].

    """
    return _settled(tubing, lengths, _least_squares_step)


def minimax(tubing: Tubing, lengths: dict[str, float]) -> dict[str, float]:
    """Which lengths make the greatest error least, then the greatest of the errors still free, and so on.

    Args:
        tubing: the horn's tubes.
        lengths: exact added lengths to start from, in open lengths [1].

    Returns:
        Valve name to added length [1].

    """
    return _settled(tubing, lengths, _strict_minimax)


def _settled(tubing: Tubing, lengths: dict[str, float], step: _Step) -> dict[str, float]:
    """Repeat the linear problem until it settles."""
    semitones = {name: tubing.valve(name).semitones for name in _VALVES}
    for _ in range(_ROUNDS):
        slopes = np.zeros((len(COMBINATIONS), len(_VALVES)))
        errors = np.zeros(len(COMBINATIONS))
        for row, pressed in enumerate(COMBINATIONS):
            ratio = ratio_of(pieces_of(tubing, frozenset(pressed), lengths=lengths))
            errors[row] = 100.0 * sum(semitones[name] for name in pressed) - cents_of_ratio(ratio)
            slopes[row] = [-1200.0 / np.log(2.0) / ratio if name in pressed else 0.0 for name in _VALVES]
        moved = step(slopes, errors)
        lengths = {**lengths, **{name: lengths[name] + float(moved[i]) for i, name in enumerate(_VALVES)}}
    return lengths


def _least_squares_step(slopes: _Array, errors: _Array) -> _Array:
    """Solve the linear problem of least squares."""
    return np.asarray(-np.linalg.lstsq(slopes, errors, rcond=None)[0], dtype=np.float64)


def _strict_minimax(slopes: _Array, errors: _Array) -> _Array:
    """Solve the linear strict minimax problem: least greatest |errors + slopes x|, then the next greatest.

    A set of rows with just one linear dependence cannot be brought below a level that follows from that dependence;
    the set with the highest level decides. Its rows are then fixed and the freedom that is left serves the others.
    """
    found = np.zeros(slopes.shape[1])
    free = np.eye(slopes.shape[1])
    rows = list(range(len(errors)))
    while free.shape[1]:
        projected = slopes @ free
        rows = [row for row in rows if np.abs(projected[row]).max() > _SMALL]
        left = errors + slopes @ found
        decided, wanted = _deciding_rows(projected, left, rows)
        found = found + free @ np.linalg.lstsq(projected[decided], wanted - left[decided], rcond=None)[0]
        _, sizes, turned = np.linalg.svd(projected[decided])
        rank = int((sizes > _SMALL * sizes[0]).sum())
        free = free @ turned[rank:].T
        rows = [row for row in rows if row not in decided]
    return found


def _deciding_rows(projected: _Array, left: _Array, rows: list[int]) -> tuple[list[int], _Array]:
    """Find the dependent rows with the highest level, and the errors they must be given; all zero if none depend."""
    best: tuple[float, list[int], _Array] | None = None
    for size in range(2, projected.shape[1] + 2):
        for chosen in combinations(rows, size):
            _, sizes, turned = np.linalg.svd(projected[list(chosen)].T)
            dependence = turned[-1]
            single = int((sizes > _SMALL * sizes[0]).sum()) == size - 1
            if not single or np.abs(dependence).min() <= _SMALL:
                continue
            level = float(dependence @ left[list(chosen)] / np.abs(dependence).sum())
            if best is None or abs(level) > best[0] + _SMALL:
                best = abs(level), list(chosen), np.sign(dependence) * level
    if best is None:
        return rows, np.zeros(len(rows))
    return best[1], best[2]
