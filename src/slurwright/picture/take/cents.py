"""The lane of pitch: how each note lay around its target, its path and the figure of its steady middle."""

import math
from collections.abc import Iterator

from slurwright.listen.figure import Figure
from slurwright.listen.followed import PlayedAs, PlayedNote
from slurwright.picture.lettering import draw_pitch
from slurwright.picture.metrics import CAP_HEIGHT, text_width
from slurwright.picture.shapes import Anchor, Group, Polyline, Rect, Segment, Shape, Stroke, Text
from slurwright.picture.take.scene import Run, TakeScene
from slurwright.picture.take.stage import Clock, TakeStage

__all__ = ["CENTS_LANE_MM", "NOTICED_CENTS", "WRONG_CENTS", "draw_cents"]

_RANGE_CENTS = 50.0
"""The lane reaches so far either way [cents]."""
_MM_PER_CENT = 0.17
CENTS_LANE_MM = 2.0 * _RANGE_CENTS * _MM_PER_CENT
NOTICED_CENTS = 10.0
"""What is noticed in a melody (published: Hill and Summers, JASA 121 (2007) 2376) [cents]."""
WRONG_CENTS = 20.0
"""What most hear as out of tune (common practice) [cents]."""
_CLOSE_CENTS = 5.0
_EDGE = Stroke(0.15, opacity=0.45)
_TARGET = Stroke(0.2, opacity=0.75)
_GUIDE = Stroke(0.1, (0.6, 0.8), opacity=0.55)
_PATH = Stroke(0.2)
_BEYOND = Stroke(0.7, (0.01, 1.1))
"""Dots along the lane's edge: the pitch is further out than the lane reaches."""
_BAR = Stroke(0.5)
_ONSET = Stroke(0.1, opacity=0.3)
_BOX = Stroke(0.3, (1.0, 0.8))
_LEAST_BEYOND_S = 0.03
"""A shorter stay beyond the lane is the change of pitch itself [s]."""
_HALF_MM = CENTS_LANE_MM / 2.0
_LEAST_BAND_MM = 0.5
_FILLS = (0.07, 0.2, 0.42)


def draw_cents(scene: TakeScene, stage: TakeStage, run: Run, clock: Clock, *, top: float) -> tuple[Shape, ...]:
    """Draw the lane of a run on a row.

    Args:
        scene: the take.
        stage: the row.
        run: the run.
        clock: the run's time on the row.
        top: upper edge of the lane [mm].
    """
    middle = top + _HALF_MM
    shapes: list[Shape] = [*_scenery(stage, middle)]
    notes = scene.measure.following.played
    here = scene.played(run, stage.columns)
    for index in here:
        column = notes[index].asked
        if column is not None:
            shapes.append(Segment(stage.x[column], top, stage.x[column], top + CENTS_LANE_MM, _ONSET))
    shapes += [
        Group(
            tuple(_note(scene, stage, clock, index, middle)),
            title=scene.notes[index].sentence,
            css_class=notes[index].played_as.value,
        )
        for index in here
    ]
    for column in scene.missed(run, stage.columns):
        shapes += _missed(stage, column, middle)
    for index in scene.extras(run):
        shapes += _extra(scene, clock, index, middle)
    return tuple(shapes)


def _scenery(stage: TakeStage, middle: float) -> Iterator[Shape]:
    left, right = stage.left, stage.right
    band = NOTICED_CENTS * _MM_PER_CENT
    yield Rect(left, middle - band, right - left, 2 * band, fill=0.05)
    for cents in (-_RANGE_CENTS, _RANGE_CENTS):
        y = middle - cents * _MM_PER_CENT
        yield Segment(left, y, right, y, _EDGE)
    for cents in (-_CLOSE_CENTS, _CLOSE_CENTS):
        y = middle - cents * _MM_PER_CENT
        yield Segment(left, y, right, y, _GUIDE)
    yield Segment(left, middle, right, middle, _TARGET)
    for cents in (_RANGE_CENTS, NOTICED_CENTS, 0.0, -NOTICED_CENTS, -_RANGE_CENTS):
        words = f"{cents:+.0f}".replace("-", "−") if cents else "0"
        y = middle - cents * _MM_PER_CENT + 0.5 * CAP_HEIGHT * 1.8
        yield Text(left - 0.8, y, words, size=1.8, anchor=Anchor.END)
    yield Text(left - 7.6, middle + 0.6, "cents", size=1.8, anchor=Anchor.END, italic=True)


def _note(scene: TakeScene, stage: TakeStage, clock: Clock, index: int, middle: float) -> Iterator[Shape]:
    note = scene.measure.following.played[index]
    measured = scene.measured.get(index)
    if note.asked is None or measured is None:
        return
    if note.played_as is PlayedAs.WRONG:
        yield from _instead(stage, clock, note, middle, scene.notes[index].short)
        return
    octaves = round(math.log2(note.hz / scene.measure.passage.notes[note.asked].hz)) if _is_octave(note) else 0
    target_hz = scene.measure.passage.notes[note.asked].hz * 2.0**octaves
    cents = measured.cents
    start, end = (clock.near(moment) for moment in measured.steady_s)
    if isinstance(cents, Figure):
        yield from _bar((start, end), cents, 1200.0 * octaves, middle)
    for line in _path(scene, clock, _span(scene, index), target_hz):
        outside = abs(line[0][1]) > _RANGE_CENTS
        if outside and len(line) * scene.track.step_s < _LEAST_BEYOND_S:
            continue
        places = tuple((x, middle - _held(value) * _MM_PER_CENT) for x, value in line)
        yield Polyline(places, _BEYOND if outside else _PATH)
    if _is_octave(note):
        yield from _octave(stage, clock, note, octaves, middle)


def _is_octave(note: PlayedNote) -> bool:
    return note.played_as is PlayedAs.OCTAVE


def _bar(ends: tuple[float, float], cents: Figure, octave_cents: float, middle: float) -> Iterator[Shape]:
    """The figure as a bar hanging from the target, its interval as a band around its end."""
    value, low, high = (part - octave_cents for part in (cents.value, cents.low, cents.high))
    start, end = ends[0], max(ends[1], ends[0] + 0.8)
    y = middle - _held(value) * _MM_PER_CENT
    out = abs(round(value))
    fill = _FILLS[(out >= NOTICED_CENTS) + (out >= WRONG_CENTS)]
    yield Rect(start, min(y, middle), end - start, abs(y - middle), fill=fill)
    if abs(value) > _RANGE_CENTS:
        yield _arrow((start + end) / 2.0, y, up=value > 0)
        return
    top = max(middle - high * _MM_PER_CENT, middle - _HALF_MM)
    bottom = min(middle - low * _MM_PER_CENT, middle + _HALF_MM)
    if bottom - top > _LEAST_BAND_MM:
        yield Rect(start, top, end - start, bottom - top, fill=0.16)
    yield Segment(start, y, end, y, _BAR)


def _arrow(x: float, y: float, *, up: bool) -> Shape:
    tip = -1.6 if up else 1.6
    return Polyline(((x - 1.0, y), (x + 1.0, y), (x, y + tip)), None, closed=True, filled=True)


def _span(scene: TakeScene, index: int) -> tuple[float, float]:
    """From when to when the sound belongs to a note [s]."""
    notes = scene.measure.following.played
    note = notes[index]
    joined = note.joined_to_next and index + 1 < len(notes)
    return note.onset_s, notes[index + 1].onset_s if joined else note.offset_s


def _held(cents: float) -> float:
    return max(-_RANGE_CENTS, min(_RANGE_CENTS, cents))


def _path(
    scene: TakeScene, clock: Clock, span_s: tuple[float, float], target_hz: float
) -> Iterator[list[tuple[float, float]]]:
    """The pitch against the target, in pieces that lie wholly inside the lane or wholly beyond: places and cents."""
    track = scene.track
    first = max(0, math.ceil((span_s[0] - track.start_s) / track.step_s))
    last = min(len(track.hz), math.floor((span_s[1] - track.start_s) / track.step_s) + 1)
    line: list[tuple[float, float]] = []
    for place, hz in enumerate(track.hz[first:last].tolist(), start=first):
        x = clock.x(track.start_s + place * track.step_s)
        cents = 1200.0 * math.log2(hz / target_hz) if hz > 0 else math.inf
        beyond = abs(cents) > _RANGE_CENTS
        if line and (x is None or math.isinf(cents) or beyond is not (abs(line[-1][1]) > _RANGE_CENTS)):
            if len(line) > 1:
                yield line
            line = []
        if x is not None and not math.isinf(cents):
            line.append((x, cents))
    if len(line) > 1:
        yield line


def _instead(stage: TakeStage, clock: Clock, note: PlayedNote, middle: float, name: str) -> Iterator[Shape]:
    """Another note in place of the asked one: a crossed box with its name."""
    if note.asked is None:
        return
    start = stage.x[note.asked] + 0.4
    end = max(start + 4.0, min(clock.near(note.offset_s), stage.end_of(note.asked)) - 0.4)
    top, bottom = middle - _HALF_MM + 1.2, middle + _HALF_MM - 1.2
    x = (start + end) / 2.0
    yield Rect(start, top, end - start, bottom - top, fill=0.12, stroke=Stroke(0.35))
    for lean in (-1.4, 1.4):
        yield Segment(x - 1.4, middle + 4.6 - lean, x + 1.4, middle + 4.6 + lean, Stroke(0.6))
    yield from draw_pitch(name, x, middle - 3.2, size=2.9, anchor=Anchor.MIDDLE)
    if end - start > text_width("instead", 1.9):
        yield Text(x, middle - 0.2, "instead", size=1.9, anchor=Anchor.MIDDLE, italic=True)


def _missed(stage: TakeStage, column: int, middle: float) -> Iterator[Shape]:
    """A note that did not sound: an empty dashed box that says so."""
    start, end = stage.x[column] - 1.4, stage.end_of(column) - 1.8
    end = max(end, start + text_width("missed", 2.2) + 0.6)
    top, bottom = middle + 1.2, middle + 6.2
    corners = ((start, top), (end, top), (end, bottom), (start, bottom))
    yield Group(
        (
            Polyline(corners, _BOX, closed=True),
            Text((start + end) / 2.0, middle + 4.5, "missed", size=2.2, anchor=Anchor.MIDDLE, bold=True),
        ),
        title="missed",
        css_class="missed",
    )


def _extra(scene: TakeScene, clock: Clock, index: int, middle: float) -> Iterator[Shape]:
    """A sound that nobody asked for: a narrow box with a plus."""
    note = scene.measure.following.played[index]
    start = clock.x(note.onset_s)
    if start is None:
        return
    end = max(start + 1.5, clock.near(note.offset_s))
    top, bottom = middle - _HALF_MM + 3.2, middle - 0.8
    corners = ((start, top), (end, top), (end, bottom), (start, bottom))
    name = scene.notes[index].short
    yield Group(
        (
            Polyline(corners, _BOX, closed=True),
            Text((start + end) / 2.0, top - 0.6, "+", size=3.0, anchor=Anchor.END, bold=True),
            *draw_pitch(name, (start + end) / 2.0 + 0.3, top - 0.7, size=2.2),
        ),
        title=scene.notes[index].sentence,
        css_class="extra",
    )


def _octave(stage: TakeStage, clock: Clock, note: PlayedNote, octaves: int, middle: float) -> Iterator[Shape]:
    if note.asked is None:
        return
    start = stage.x[note.asked] + 0.3
    end = max(start + 3.0, clock.near(note.offset_s) - 0.3)
    edge = middle - _HALF_MM + 1.0 if octaves > 0 else middle + _HALF_MM - 1.0
    corners = ((start, middle - _HALF_MM + 1.0), (end, middle - _HALF_MM + 1.0))
    lower = ((end, middle + _HALF_MM - 1.0), (start, middle + _HALF_MM - 1.0))
    yield Polyline((*corners, *lower), _BOX, closed=True)
    for step in range(abs(octaves)):
        y = edge + (step * 1.8 if octaves > 0 else -step * 1.8)
        yield _arrow((start + end) / 2.0, y + (1.8 if octaves > 0 else -1.8), up=octaves > 0)
    y = edge + (6.0 if octaves > 0 else -4.2)
    yield Text(
        (start + end) / 2.0,
        y,
        "octave low" if octaves < 0 else "octave high",
        size=2.0,
        anchor=Anchor.MIDDLE,
        bold=True,
    )
