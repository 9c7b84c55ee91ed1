"""Which pulls of a few slides suit many notes best: least squares, least worst, most within a tolerance.

With u = 2 * (sum of the pulls that act on a note) / (length of its air column), the note moves by -k ln(1 + u),
k = 1200 / ln 2. So "no sharper than t" is 1 + u >= exp((c - t) / k) and "no flatter than t" is
1 + u <= exp((c + t) / k): for a given t both are linear in the pulls, and the least worst and the most in tune are
linear programs, with whole steps mixed-integer ones. The square (c - k ln(1 + u))^2 is convex in u while the error
stays above -k (a whole 14 semitones), so that Gauss-Newton finds the one least-squares answer and branching on
whole steps with it as a bound is exact (derived).
"""

import math
from dataclasses import dataclass
from typing import Any, TypeAlias

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import Bounds, LinearConstraint, lsq_linear, milp, minimize

__all__ = ["Problem", "errors", "least_squares", "least_worst", "most_in_tune", "squares", "stepped"]

Floats: TypeAlias = NDArray[np.floating[Any]]

KAPPA = 1200.0 / math.log(2.0)
_ROUNDS = 12
_SETTLED_CENTS = 1e-7
_SLACK_CENTS = 1e-6


@dataclass(frozen=True, slots=True, eq=False)
class Problem:
    """n notes and s slides; pulls count in steps of each slide."""

    cents: Floats
    """Errors with no pull, shape=(n,) [cents]."""
    slope: Floats
    """Relative length that one step adds to each note's air column, shape=(n, s) [1]."""
    weight: Floats
    """Shape=(n,), sum 1 [1]."""
    low: Floats
    """Shape=(s,) [steps]."""
    high: Floats
    """Shape=(s,) [steps]."""


def errors(problem: Problem, pulls: Floats) -> Floats:
    """How far each note is out after the pulls, shape=(..., n) [cents].

    Args:
        problem: notes and slides.
        pulls: shape=(..., s) [steps].

    """
    return problem.cents - KAPPA * np.log1p(pulls @ problem.slope.T)


def squares(problem: Problem, pulls: Floats) -> Floats:
    """Weighted mean of the squared errors, shape=(...) [cents squared].

    Args:
        problem: notes and slides.
        pulls: shape=(..., s) [steps].

    """
    return np.asarray(errors(problem, pulls) ** 2 @ problem.weight)


def _within(bounds: tuple[Floats, Floats], pulls: Floats) -> Floats:
    return np.minimum(np.maximum(pulls, bounds[0]), bounds[1])


def _relaxed(problem: Problem, low: Floats, high: Floats) -> Floats:
    """Least squares with pulls between bounds, steps left aside."""
    pulls = _within((low, high), np.zeros(len(low)))
    free = high - low > 1e-9
    root = np.sqrt(problem.weight)
    if not free.any():
        return low
    for _ in range(_ROUNDS):
        error = errors(problem, pulls)
        jacobian = -KAPPA * problem.slope / (1.0 + problem.slope @ pulls)[:, None]
        target = -error + jacobian @ pulls - jacobian[:, ~free] @ low[~free]
        # A trace of a pull towards zero keeps the answer unique where two slides do the same work.
        wide = np.vstack([root[:, None] * jacobian[:, free], 1e-6 * np.eye(int(free.sum()))])
        found = lsq_linear(
            wide, np.concatenate([root * target, np.zeros(int(free.sum()))]), bounds=(low[free], high[free])
        )
        new = low.copy()
        new[free] = found.x
        moved = float(np.max(np.abs(errors(problem, new) - error)))
        pulls = new
        if moved < _SETTLED_CENTS:
            break
    return pulls


def least_squares(problem: Problem) -> Floats:
    """Pulls with the least weighted sum of squares, shape=(s,) [steps].

    Args:
        problem: notes and slides.

    """
    return _relaxed(problem, problem.low, problem.high)


def _limits(problem: Problem, worst: float) -> tuple[Floats, Floats]:
    """Between which values the relative length of each note may lie so that none is out by more than `worst`."""
    return np.expm1((problem.cents - worst) / KAPPA), np.expm1((problem.cents + worst) / KAPPA)


def least_worst(problem: Problem, *, whole: bool = False) -> Floats:
    """Pulls with the least greatest error, then with least squares among those, shape=(s,) [steps].

    Args:
        problem: notes and slides.
        whole: True for whole steps, then without the second wish.

    """
    count, slides = problem.slope.shape
    worst = float(np.max(np.abs(problem.cents)))
    kinds = np.append(np.full(slides, int(whole)), 0)
    bounds = Bounds(np.append(problem.low, 0.0), np.append(problem.high, np.inf))
    for _ in range(_ROUNDS):
        below, above = _limits(problem, worst)
        # The limits made linear in the worst error, around its last value.
        fall, rise = (1.0 + below) / KAPPA, (1.0 + above) / KAPPA
        rows = np.vstack([np.column_stack([problem.slope, fall]), np.column_stack([problem.slope, -rise])])
        least = np.concatenate([below + fall * worst, np.full(count, -np.inf)])
        most = np.concatenate([np.full(count, np.inf), above - rise * worst])
        found = milp(
            np.append(np.zeros(slides), 1.0),
            constraints=LinearConstraint(rows, least, most),
            bounds=bounds,
            integrality=kinds,
            options={"mip_rel_gap": 0.0},
        )
        pulls = np.round(found.x[:-1]) if whole else _within((problem.low, problem.high), found.x[:-1])
        new = float(np.max(np.abs(errors(problem, pulls))))
        if abs(new - worst) < _SETTLED_CENTS:
            break
        worst = new
    return pulls if whole else _squares_under(problem, pulls, *_limits(problem, new + _SLACK_CENTS))


def _squares_under(problem: Problem, start: Floats, below: Floats, above: Floats) -> Floats:
    """Least squares where each note's relative length stays between limits."""
    scale = 1e3
    bounded = np.flatnonzero(np.isfinite(below))
    rows = problem.slope[bounded]

    def slope_of(pulls: Floats) -> Floats:
        push = problem.weight * errors(problem, pulls) / (1.0 + problem.slope @ pulls)
        return np.asarray(-2.0 * KAPPA * (push @ problem.slope))

    found = minimize(
        lambda pulls: float(squares(problem, pulls)),
        start,
        jac=slope_of,
        method="SLSQP",
        bounds=Bounds(problem.low, problem.high),
        constraints=[
            {
                "type": "ineq",
                "fun": lambda pulls: scale * (rows @ pulls - below[bounded]),
                "jac": lambda _: scale * rows,
            },
            {
                "type": "ineq",
                "fun": lambda pulls: scale * (above[bounded] - rows @ pulls),
                "jac": lambda _: -scale * rows,
            },
        ],
        options={"ftol": 1e-12, "maxiter": 200},
    )
    inside = _within((problem.low, problem.high), found.x)
    spare = problem.slope @ inside
    holds = np.all(spare[bounded] >= below[bounded] - 1e-7) and np.all(spare[bounded] <= above[bounded] + 1e-7)
    return inside if holds and squares(problem, inside) <= squares(problem, start) else start


def most_in_tune(problem: Problem, tolerance: float, *, whole: bool = False) -> Floats:
    """Pulls with the greatest weight of notes within a tolerance, then with least squares, shape=(s,) [steps].

    Args:
        problem: notes and slides.
        tolerance: error up to which a note counts as in tune [cents].
        whole: True for whole steps, then without the second wish.

    """
    count, slides = problem.slope.shape
    below, above = _limits(problem, tolerance)
    reach_low = np.minimum(problem.slope * problem.low, problem.slope * problem.high).sum(axis=1)
    reach_high = np.maximum(problem.slope * problem.low, problem.slope * problem.high).sum(axis=1)
    rows = np.vstack(
        [
            np.hstack([problem.slope, -np.diag(below - reach_low)]),
            np.hstack([problem.slope, np.diag(reach_high - above)]),
        ]
    )
    found = milp(
        np.concatenate([np.zeros(slides), -problem.weight]),
        constraints=LinearConstraint(
            rows,
            np.concatenate([reach_low, np.full(count, -np.inf)]),
            np.concatenate([np.full(count, np.inf), reach_high]),
        ),
        bounds=Bounds(np.append(problem.low, np.zeros(count)), np.append(problem.high, np.ones(count))),
        integrality=np.append(np.full(slides, int(whole)), np.ones(count)),
        options={"mip_rel_gap": 0.0},
    )
    pulls = np.round(found.x[:slides]) if whole else _within((problem.low, problem.high), found.x[:slides])
    if whole:
        return pulls
    kept = np.abs(errors(problem, pulls)) <= tolerance + _SLACK_CENTS
    return _squares_under(problem, pulls, np.where(kept, below, -np.inf), np.where(kept, above, np.inf))


def stepped(problem: Problem) -> Floats:
    """Pulls in whole steps with the least weighted sum of squares, shape=(s,) [steps].

    Branches on one slide at a time; without steps the sum is convex, so that its least value on a branch is a bound.

    Args:
        problem: notes and slides; whole numbers lie between each slide's bounds.

    """
    low, high = np.ceil(problem.low - 1e-9), np.floor(problem.high + 1e-9)
    best = _within((low, high), np.round(_relaxed(problem, low, high)))
    value = float(squares(problem, best))
    open_branches = [(low, high)]
    while open_branches:
        below, above = open_branches.pop()
        relaxed = _relaxed(problem, below, above)
        if float(squares(problem, relaxed)) >= value - 1e-9:
            continue
        rounded = np.round(relaxed)
        tried = float(squares(problem, rounded))
        if tried < value:
            best, value = rounded, tried
        gap = np.abs(relaxed - rounded)
        split = int(np.argmax(gap))
        if gap[split] < 1e-7:
            continue
        lower, upper = above.copy(), below.copy()
        lower[split], upper[split] = math.floor(relaxed[split]), math.ceil(relaxed[split])
        open_branches += [(below, lower), (upper, above)]
    return best
