"""Where on the paper does a note's way stand: columns across, rungs up, tendency lifted or dropped."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from slurwright.picture.columns import Column
from slurwright.plan import Way

__all__ = ["CENTS_PER_MM", "RANGE_CENTS", "RUNG_MM", "Spot", "Stage", "room_for_columns", "stage_of"]

CENTS_PER_MM = 10.0
"""Vertical scale of a tendency [cents/mm]."""
RANGE_CENTS = 40.0
"""A tendency beyond this is drawn at this height with an arrowhead, and its figure is printed [cents]."""
RUNG_MM = 10.5
"""From rung to rung: the two ranges and a little air between them [mm]."""
GUTTER_MM = 23.0
"""Left margin for the rungs' names and the scale of cents [mm]."""
HEAD_MM = 5.5
FOOT_MM = 9.0
_LEAD_MM = 3.0


@dataclass(frozen=True, slots=True)
class Spot:
    """A way's place on the paper [mm]."""

    x: float
    y: float
    beyond: int
    """+1 when it is sharper than the range, -1 when flatter, 0 inside it."""


@dataclass(frozen=True, slots=True)
class Stage:
    """One row of a ladder before anything is drawn on it [mm]."""

    columns: range
    x: Mapping[int, float]
    """Centre of each column."""
    y: Mapping[int, float]
    """Height of each rung, by partial; lower partials lie lower on the paper."""
    left: float
    right: float
    top: float
    bottom: float

    @property
    def height_mm(self) -> float:
        """Height of the whole row with its head and foot [mm]."""
        return self.bottom + FOOT_MM

    def spot(self, column: int, way: Way, *, aside: float = 0.0) -> Spot:
        """Where a way of a column's note stands.

        Args:
            column: index of the sound.
            way: one of its ways, on a rung that this row has.
            aside: moved to the right so far, to keep clear of another mark [mm].

        """
        shown = max(-RANGE_CENTS, min(RANGE_CENTS, way.cents))
        beyond = (way.cents > RANGE_CENTS) - (way.cents < -RANGE_CENTS)
        return Spot(self.x[column] + aside, self.y[way.partial] - shown / CENTS_PER_MM, beyond)


def stage_of(
    columns: Sequence[Column], row: range, partials: Sequence[int], *, width_mm: float, stretch: float
) -> Stage:
    """Lay out one row.

    Args:
        columns: of the whole part.
        row: the columns of this row.
        partials: those that need a rung.
        width_mm: of the picture [mm].
        stretch: how much wider than asked each column is made [1].

    """
    x: dict[int, float] = {}
    at = GUTTER_MM + _LEAD_MM
    for index in row:
        width = columns[index].width_mm * stretch
        x[index] = at + width / 2
        at += width
    ordered = sorted(set(partials), reverse=True)
    y = {partial: HEAD_MM + RUNG_MM * (place + 0.5) for place, partial in enumerate(ordered)}
    return Stage(
        columns=row,
        x=x,
        y=y,
        left=GUTTER_MM,
        right=min(width_mm, at + 1.0),
        top=HEAD_MM,
        bottom=HEAD_MM + RUNG_MM * len(ordered),
    )


def room_for_columns(width_mm: float) -> float:
    """Width that is left for columns in a picture [mm].

    Args:
        width_mm: of the picture [mm].

    """
    return width_mm - GUTTER_MM - _LEAD_MM - 1.0
