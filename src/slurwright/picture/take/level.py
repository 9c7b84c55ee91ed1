"""The lane of loudness: a grey hill over the notes, in which a gap is a valley down to the ground."""

import math
from collections.abc import Iterator

from slurwright.picture.shapes import Anchor, Polyline, Segment, Shape, Stroke, Text
from slurwright.picture.take.scene import TakeScene
from slurwright.picture.take.stage import Clock, TakeStage

__all__ = ["LEVEL_LANE_MM", "draw_level"]

LEVEL_LANE_MM = 6.0
_RANGE_DB = 36.0
"""From the loudest of a take down to the ground of the lane (ours, by eye) [dB]."""
_STEP_DB = 12
_GROUND = Stroke(0.18, opacity=0.7)
_LINE = Stroke(0.18, opacity=0.9)
_GUIDE = Stroke(0.1, (0.6, 0.8), opacity=0.4)
_FILL = 0.22
_LEAP_MM = 2.5
"""From frame to frame time never goes so far on paper but over a note that did not sound [mm]."""


def draw_level(scene: TakeScene, stage: TakeStage, clock: Clock, *, top: float) -> tuple[Shape, ...]:
    """Draw the lane of a run on a row.

    Args:
        scene: the take.
        stage: the row.
        clock: the run's time on the row.
        top: upper edge of the lane [mm].
    """
    ground = top + LEVEL_LANE_MM
    shapes: list[Shape] = []
    for step in range(_STEP_DB, int(_RANGE_DB), _STEP_DB):
        y = top + step / _RANGE_DB * LEVEL_LANE_MM
        shapes.append(Segment(stage.left, y, stage.right, y, _GUIDE))
    for line in _pieces(_hill(scene, clock, top)):
        corners = ((line[0][0], ground), *line, (line[-1][0], ground))
        shapes.append(Polyline(corners, None, closed=True, filled=True, fill=_FILL))
        shapes.append(Polyline(tuple(line), _LINE))
    shapes.append(Segment(stage.left, ground, stage.right, ground, _GROUND))
    shapes.append(Text(stage.left - 0.8, top + 3.0, "loudness", size=1.8, anchor=Anchor.END, italic=True))
    shapes.append(Text(stage.left - 0.8, top + 5.4, f"{_STEP_DB} dB a line", size=1.5, anchor=Anchor.END))
    return tuple(shapes)


def _pieces(line: list[tuple[float, float]]) -> Iterator[list[tuple[float, float]]]:
    """Part a line where it leaps over notes that did not sound."""
    start = 0
    for at in range(1, len(line) + 1):
        if at == len(line) or line[at][0] - line[at - 1][0] > _LEAP_MM:
            if at - start > 1:
                yield line[start:at]
            start = at


def _hill(scene: TakeScene, clock: Clock, top: float) -> list[tuple[float, float]]:
    """The level along the row as places, never below the ground."""
    track = scene.track
    if not clock.times_s:
        return []
    first = max(0, math.ceil((clock.times_s[0] - track.start_s) / track.step_s))
    last = min(len(track.hz), math.floor((clock.times_s[-1] - track.start_s) / track.step_s) + 1)
    line = []
    for place, level in enumerate(track.level_db[first:last].tolist(), start=first):
        x = clock.x(track.start_s + place * track.step_s)
        if x is not None:
            down = min(_RANGE_DB, max(0.0, scene.loudest_db - level))
            line.append((x, top + down / _RANGE_DB * LEVEL_LANE_MM))
    return line
