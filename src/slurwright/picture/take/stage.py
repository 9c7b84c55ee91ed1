"""Where on the paper is a moment of a take: at its note's head when the note starts, between heads in between."""

import math
from bisect import bisect_right
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from slurwright.picture.columns import Column
from slurwright.picture.take.scene import Run, TakeScene

__all__ = ["BAR_AHEAD_MM", "GUTTER_MM", "Clock", "TakeStage", "clock_of", "stage_of_run", "stages_of"]

GUTTER_MM = 15.0
"""Left margin for the names and scales of the lanes [mm]."""
_LEAD_S, _LEAD_MM = 0.12, 2.4
"""How much before the first note of a row is shown, and how wide [s], [mm]."""
_LEAST_SHARE = 0.45
"""A note that is followed by a pause keeps at least this part of the way to the next head (ours, by eye) [1]."""
_END_SHARE = 0.85
"""Part of the way to the next head that a note takes behind which the run ends (ours, by eye) [1]."""
_HEAD_ROOM_MM = 4.0
BAR_AHEAD_MM = 1.9
"""Without notation a bar line stands so far before the first note of its bar [mm]."""
_TOUCH_S = 0.002
"""A note that lasts to the next one ends so much before it, where another note lies between them on paper [s]."""


@dataclass(frozen=True, slots=True)
class TakeStage:
    """One row of a take before anything is drawn on it [mm]."""

    columns: range
    """Indices of asked notes."""
    x: Mapping[int, float]
    """Centre of each note's head."""
    left: float
    right: float
    bar_lines: tuple[float, ...] = ()

    def end_of(self, column: int) -> float:
        """Where the room of a note ends [mm].

        Args:
            column: index of an asked note of this row [1].
        """
        return self.x.get(column + 1, self.right)


@dataclass(frozen=True, slots=True)
class Clock:
    """The way from a moment to its place on a row: straight between its anchors."""

    times_s: tuple[float, ...]
    """Rising [s]."""
    places: tuple[float, ...]
    """Rising or equal [mm]."""

    def x(self, time_s: float) -> float | None:
        """Place of a moment on the row; None where it is not on it [mm].

        Args:
            time_s: from the start of the recording [s].
        """
        if not self.times_s or not self.times_s[0] <= time_s <= self.times_s[-1]:
            return None
        at = min(bisect_right(self.times_s, time_s), len(self.times_s) - 1)
        start, end = self.times_s[at - 1], self.times_s[at]
        share = (time_s - start) / (end - start) if end > start else 0.0
        return self.places[at - 1] + share * (self.places[at] - self.places[at - 1])

    def near(self, time_s: float) -> float:
        """Place of a moment, or of the row's end that is nearer to it [mm].

        Args:
            time_s: from the start of the recording [s].
        """
        place = self.x(min(max(time_s, self.times_s[0]), self.times_s[-1])) if self.times_s else None
        return 0.0 if place is None else place


def clock_of(scene: TakeScene, stage: TakeStage, run: Run) -> Clock:
    """Lay the time of a run out on a row."""
    notes = scene.measure.following.played
    here = scene.played(run, stage.columns)
    anchors: list[tuple[float, float]] = []
    for index in here:
        note, column = notes[index], notes[index].asked
        if column is None:
            continue
        start, end = stage.x[column], stage.end_of(column)
        if not anchors:
            anchors += _lead(scene, stage, index, start)
        anchors.append((note.onset_s, start))
        following = next((later for later in run.played if later > index and notes[later].asked is not None), None)
        if following is None or notes[following].asked != column + 1:
            anchors += _until_missed(scene, stage, run, index, following)
            continue
        until = notes[following].onset_s
        sounding = (note.offset_s - note.onset_s) / max(1e-6, until - note.onset_s)
        if sounding < _LEAST_SHARE:
            anchors.append((note.offset_s, start + _LEAST_SHARE * (end - start)))
        if column + 1 not in stage.x:
            anchors.append((until, end))
    return _rising(anchors)


def _lead(scene: TakeScene, stage: TakeStage, index: int, start: float) -> list[tuple[float, float]]:
    """What is shown before the first note of a row: a moment, as far as nothing else sounds in it."""
    notes = scene.measure.following.played
    onset_s = notes[index].onset_s
    before_s = notes[index - 1].offset_s if index else 0.0
    lead_s = min(_LEAD_S, onset_s - before_s)
    return [(onset_s - lead_s, max(stage.left, start - _LEAD_MM * lead_s / _LEAD_S))] if lead_s > 0 else []


def _until_missed(
    scene: TakeScene, stage: TakeStage, run: Run, index: int, following: int | None
) -> list[tuple[float, float]]:
    """A note behind which the next asked one does not come: where it ends, and what sounds until another comes."""
    notes = scene.measure.following.played
    note = notes[index]
    column = note.asked or 0
    start, end = stage.x[column], stage.end_of(column)
    until_s = math.inf if following is None else notes[following].onset_s - _TOUCH_S
    ends = [(min(note.offset_s, until_s), start + _END_SHARE * (end - start))]
    if following is not None:
        if notes[following].asked not in stage.x:
            ends.append((notes[following].onset_s, stage.right))
        return ends
    extras = [later for later in run.played if later > index and notes[later].asked is None]
    if extras:
        ends = [(note.offset_s, start + _LEAST_SHARE * (end - start)), (notes[extras[-1]].offset_s, end)]
    return ends


def stage_of_run(scene: TakeScene, stage: TakeStage, run: Run) -> TakeStage:
    """Keep of a row what a run covers of it."""
    notes = scene.measure.following.played
    asked = [note.asked for index in run.played if (note := notes[index]).asked is not None]
    if not asked:
        return stage
    first, last = min(asked), max(asked)
    left = max(stage.left, stage.x[first] - _LEAD_MM - 1.0) if first in stage.x else stage.left
    right = stage.end_of(last) if last in stage.x else stage.right
    return replace(stage, left=left, right=right)


def _rising(anchors: Sequence[tuple[float, float]]) -> Clock:
    """Keep what goes on in time and place."""
    times: list[float] = []
    places: list[float] = []
    for time_s, x in anchors:
        if times and (time_s <= times[-1] or x < places[-1]):
            continue
        times.append(time_s)
        places.append(x)
    return Clock(tuple(times), tuple(places))


def stages_of(
    columns: Sequence[Column], wanted: range, widths: Sequence[float], *, width_mm: float
) -> tuple[TakeStage, ...]:
    """Break a take into rows of even width, at bar lines where that can be, each note as wide as it asks for.

    Args:
        columns: what stands around each asked note.
        wanted: those that were played.
        widths: room that each wants [mm].
        width_mm: of the picture [mm].
    """
    room = width_mm - GUTTER_MM - _HEAD_ROOM_MM
    rows: list[range] = []
    start = wanted.start
    while start < wanted.stop:
        end, used = start, 0.0
        while end < wanted.stop and (end == start or used + widths[end] <= room):
            used += widths[end]
            end += 1
        if end < wanted.stop:
            bars = [at for at in range(start + 1, end + 1) if columns[at].starts_bar]
            end = bars[-1] if bars and bars[-1] - start >= 0.5 * (end - start) else end
        rows.append(range(start, end))
        start = end
    widest = max((sum(widths[at] for at in row) for row in rows), default=1.0)
    stretch = min(1.25, room / widest)
    return tuple(_stage(columns, row, widths, stretch) for row in rows)


def _stage(columns: Sequence[Column], row: range, widths: Sequence[float], stretch: float) -> TakeStage:
    x: dict[int, float] = {}
    at = GUTTER_MM + _HEAD_ROOM_MM
    for column in row:
        x[column] = at
        at += widths[column] * stretch
    bar_lines = tuple(x[column] - BAR_AHEAD_MM for column in row if columns[column].starts_bar)
    return TakeStage(row, x, GUTTER_MM, at, bar_lines)
