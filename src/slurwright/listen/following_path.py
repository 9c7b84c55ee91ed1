"""A way through the part: which stretch of a take is which note. Values only."""

from dataclasses import dataclass
from enum import IntEnum

import numpy as np
from numpy.typing import NDArray

__all__ = ["SPANS", "Kind", "Line", "Path", "Stretch"]

SPANS = 14
"""The most segments that make one stretch; a note that has more is held on."""


class Kind(IntEnum):
    """What a stretch is taken for."""

    GAP = 0
    NOISE = 1
    EXTRA = 2
    ASKED = 3
    OCTAVE = 4
    WRONG = 5
    HELD = 6
    """The note before goes on: it has more segments than one stretch."""


@dataclass(frozen=True, slots=True, eq=False)
class Line:
    """The part as the follower needs it; arrays shape=(notes,)."""

    onset_s: NDArray[np.float64]
    """At the marked tempo [s]."""
    length_s: NDArray[np.float64]
    semitones: NDArray[np.float64]
    """Asked pitch, the tuning of the take counted in [semitones]."""
    pitch: NDArray[np.intp]
    """Index into ``Evidence.pitches``."""


@dataclass(frozen=True, slots=True)
class Stretch:
    """A stretch of a take that is one sound."""

    kind: Kind
    asked: int | None
    first_cut: int
    last_cut: int
    after: int | None = None
    """The note of the part that was the last before it, None at the start."""


@dataclass(frozen=True, slots=True)
class Path:
    """The likeliest path."""

    stretches: tuple[Stretch, ...]
    nats: float
    """Log of its chance."""
