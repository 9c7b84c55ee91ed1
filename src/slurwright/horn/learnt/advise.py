"""Which few notes to measure next, so that the ways the player uses become known best.

Greedy: each time the note is taken that most reduces the expected width of the intervals, weighted by how often the
ways are used. The reduction is exact for a normal model and does not hang on what will be read, so a whole
sheet can be written before the first note is played.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from slurwright.errors import RequestError
from slurwright.horn.learnt.frame import Floats, rows_of
from slurwright.horn.learnt.learn import LearntHorn
from slurwright.horn.learnt.predict import raw_joint, tuning_matrix, tuning_ways
from slurwright.horn.learnt.values import WayKey
from slurwright.horn.model import Horn
from slurwright.pitch import SoundingPitch

__all__ = ["Advice", "NextNote", "next_notes", "steady_ways"]

_INTERVAL = 2 * 1.6448536269514722
"""Width of the interval that holds nine cases of ten, in standard deviations (derived)."""


@dataclass(frozen=True, slots=True)
class NextNote:
    """One note that is worth measuring."""

    fingering: str
    partial: int
    sounding: SoundingPitch
    width_before_cents: float
    """Weighted mean width of the intervals before it is measured [cents]."""
    width_after_cents: float
    """The same after it [cents]."""


@dataclass(frozen=True, slots=True)
class Advice:
    """Notes to measure, most useful first."""

    notes: tuple[NextNote, ...]
    width_now_cents: float
    """Weighted mean width of the intervals that hold nine cases of ten, as things stand [cents]."""

    @property
    def width_then_cents(self) -> float:
        """The same when all the notes have been measured [cents]."""
        return self.notes[-1].width_after_cents if self.notes else self.width_now_cents


def steady_ways(horn: Horn) -> Mapping[WayKey, SoundingPitch]:
    """Say which ways any player can hold steadily: the normal ones of the comfortable range, pedals left out."""
    low, high = (pitch.midi for pitch in horn.comfortable)
    found: dict[WayKey, SoundingPitch] = {}
    for midi in sorted(horn.normal):
        if low <= midi <= high and horn.normal[midi][1] > 1:
            found.setdefault(horn.normal[midi], SoundingPitch.from_midi(midi))
    return found


def _readings_joint(
    learnt: LearntHorn, wanted: Sequence[WayKey], candidates: Sequence[WayKey]
) -> tuple[Floats, Floats]:
    """Covariance of what is wanted (as tuned), then of what may be read in a new session; and the reading error."""
    by = tuning_ways(learnt.horn)
    raw = raw_joint(learnt, (*wanted, *by, *candidates)).covariance
    inner = len(wanted) + len(by)
    size = len(wanted) + len(candidates)
    matrix = np.zeros((size, inner + len(candidates)))
    matrix[: len(wanted), :inner] = tuning_matrix(learnt, wanted)
    matrix[len(wanted) :, inner:] = np.eye(len(candidates))
    covariance = matrix @ raw @ matrix.T
    priors = learnt.priors
    short = rows_of(learnt.frame, candidates).short
    session = priors.air_sd_cents**2 + priors.main_slide_sd_cents**2 * np.outer(short, short)
    covariance[len(wanted) :, len(wanted) :] += session
    error = np.full(len(candidates), learnt.posterior.sizes.scatter / (1.0 - priors.slip_chance))
    return covariance, error


def _width(covariance: Floats, weights: Floats) -> float:
    spread = np.sqrt(np.maximum(np.diag(covariance)[: len(weights)], 0.0))
    return float(_INTERVAL * (weights @ spread))


def _gains(covariance: Floats, error: Floats, weights: Floats) -> Floats:
    """Width of the weighted intervals after each candidate, shape=(candidates,)."""
    count = len(weights)
    variance = np.diag(covariance)
    cross = covariance[:count, count:]
    left = variance[:count, None] - cross**2 / (variance[count:] + error)
    return np.asarray(_INTERVAL * (weights @ np.sqrt(np.maximum(left, 0.0))), dtype=np.float64)


def next_notes(
    learnt: LearntHorn,
    wanted: Mapping[WayKey, float],
    *,
    count: int = 6,
    among: Mapping[WayKey, SoundingPitch] | None = None,
) -> Advice:
    """Say which notes to measure in the next session.

    Args:
        learnt: the horn as it is known now.
        wanted: ways of the player's parts and how much each matters, above zero [1].
        count: how many notes to choose; one way may be chosen more than once [1].
        among: ways that this player can hold steadily, with their notes; None takes `steady_ways`.

    Raises:
        RequestError: nothing is wanted, or a weight is not above zero, or there is nothing to choose from.
        FingeringError: a fingering that the horn does not have.

    """
    choice = steady_ways(learnt.horn) if among is None else among
    if not wanted or min(wanted.values()) <= 0:
        raise RequestError("no notes to learn about", got=str(dict(wanted)), allowed="ways with weights above zero")
    if not choice or count < 1:
        raise RequestError("no notes to choose from", got=f"{count} of {len(choice)}", allowed="one at least")
    candidates = list(choice)
    weights = np.array(list(wanted.values()), dtype=np.float64)
    weights = weights / weights.sum()
    covariance, error = _readings_joint(learnt, list(wanted), candidates)
    width = now = _width(covariance, weights)
    notes = []
    for _ in range(count):
        after = _gains(covariance, error, weights)
        best = int(np.argmin(after))
        column = covariance[:, len(weights) + best]
        covariance = covariance - np.outer(column, column) / (column[len(weights) + best] + error[best])
        fingering, partial = candidates[best]
        notes.append(NextNote(fingering, partial, choice[candidates[best]], width, float(after[best])))
        width = float(after[best])
    return Advice(tuple(notes), now)
