"""Where does a label go? The free place nearest its mark, found greedily and always the same way."""

import math
from collections.abc import Sequence
from dataclasses import dataclass, field

__all__ = ["Area", "Placer", "around", "strip"]

_SAMPLE_MM = 0.7
_CELL_MM = 4.0
_TOUCH_MM2 = 0.12
"""A label rather covers so much more than move on to the next offered place (ours, by eye) [mm2]."""
_ROUNDING_MM2 = 0.001
"""Covers are compared to this exactness [mm2]."""
_OUTSIDE = 3.0
"""How much worse than covering a drawing it is to leave the frame (ours) [1]."""


@dataclass(frozen=True, slots=True)
class Area:
    """An upright rectangle from (left, top) to (right, bottom) [mm]."""

    left: float
    top: float
    right: float
    bottom: float

    def overlap(self, other: "Area") -> float:
        """Area that two rectangles share [mm2].

        Args:
            other: the second one.

        """
        if (
            self.right <= other.left
            or other.right <= self.left
            or self.bottom <= other.top
            or other.bottom <= self.top
        ):
            return 0.0
        wide = min(self.right, other.right) - max(self.left, other.left)
        high = min(self.bottom, other.bottom) - max(self.top, other.top)
        return wide * high


def around(x: float, y: float, *, half_width: float, half_height: float) -> Area:
    """Rectangle around a centre.

    Args:
        x: of the centre [mm].
        y: of the centre [mm].
        half_width: from the centre to the right edge [mm].
        half_height: from the centre to the lower edge [mm].

    """
    return Area(x - half_width, y - half_height, x + half_width, y + half_height)


def strip(start: tuple[float, float], end: tuple[float, float], *, half_width: float) -> tuple[Area, ...]:
    """Cover a slanting line, or a slanting line of words, with small rectangles.

    Args:
        start: one end [mm].
        end: the other end [mm].
        half_width: from the line to its edge [mm].

    """
    (x1, y1), (x2, y2) = start, end
    count = max(1, math.ceil(math.hypot(x2 - x1, y2 - y1) / _SAMPLE_MM))
    half = max(half_width, 0.5 * _SAMPLE_MM * 0.8)
    return tuple(
        around(x1 + (x2 - x1) * i / count, y1 + (y2 - y1) * i / count, half_width=half, half_height=half)
        for i in range(count + 1)
    )


@dataclass(slots=True)
class Placer:
    """Remembers what is drawn already, and picks among offered places the one that covers least of it."""

    frame: Area
    taken: dict[tuple[int, int], list[Area]] = field(default_factory=dict)
    """Areas by the square cells that they touch, so that a question looks at its neighbourhood only."""

    def take(self, areas: Sequence[Area]) -> None:
        """Mark areas as drawn upon."""
        for area in areas:
            for cell in _cells(area):
                self.taken.setdefault(cell, []).append(area)

    def cover(self, areas: Sequence[Area], *, most: float = math.inf) -> float:
        """How much of what is drawn already, or of what lies outside the frame, these areas would cover [mm2].

        Args:
            areas: one label as rectangles.
            most: counting may stop once it is above this [mm2].

        """
        covered = 0.0
        for area in areas:
            left, top, right, bottom = area.left, area.top, area.right, area.bottom
            near = {id(other): other for cell in _cells(area) for other in self.taken.get(cell, ())}
            covered += sum(
                [
                    area.overlap(other)
                    for other in near.values()
                    if left < other.right and other.left < right and top < other.bottom and other.top < bottom
                ]
            )
            size = (right - left) * (bottom - top)
            covered += _OUTSIDE * (size - area.overlap(self.frame))
            if covered > most:
                break
        return covered

    def best(self, candidates: Sequence[Sequence[Area]]) -> tuple[int, float]:
        """Which candidate covers least, an earlier one being worth a slight touch, and how much it covers [mm2].

        Args:
            candidates: at least one label position, each as rectangles, the preferred one first.

        """
        found, least, lowest = 0, math.inf, math.inf
        for index, areas in enumerate(candidates):
            if round(lowest, 3) <= round(_TOUCH_MM2 * index, 3):
                break  # no later place can be worth more, not even a free one
            cover = self.cover(areas, most=lowest - _TOUCH_MM2 * index + _ROUNDING_MM2)
            if round(cover + _TOUCH_MM2 * index, 3) < round(lowest, 3):
                found, least, lowest = index, cover, cover + _TOUCH_MM2 * index
        return found, least


def _cells(area: Area) -> list[tuple[int, int]]:
    return [
        (column, row)
        for column in range(int(area.left // _CELL_MM), int(area.right // _CELL_MM) + 1)
        for row in range(int(area.top // _CELL_MM), int(area.bottom // _CELL_MM) + 1)
    ]
