"""Small panels of curves over days: a line with its band, dots of what was counted, and what each line is in words.

All panels of a page share one span of days and one scale, so that they can be compared at a glance. Lines are told
apart by dash, by the shape of their dots and by words under the panel.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from slurwright.picture.metrics import CAP_HEIGHT, text_width
from slurwright.picture.shapes import (
    Anchor,
    Circle,
    Group,
    Polyline,
    Rect,
    Segment,
    Shape,
    Stroke,
    Text,
    moved,
)
from slurwright.picture.take.blocks import Block, wrapped

__all__ = ["CurveLine", "CurveScale", "Dot", "Panel", "draw_row"]

_TITLE, _WORDS, _SMALL = 3.2, 2.3, 2.0
_LEADING = 1.35
_SCALE_MM = 7.5
"""Room of the scale's figures at the left [mm]."""
_PLOT_MM = 24.0
_AIR_MM = 2.4
_DAYS_MM = 4.6
_SAMPLE_MM = 8.0
_FRAME = Stroke(0.15, opacity=0.6)
_GUIDE = Stroke(0.1, (0.15, 0.9), opacity=0.8)
_TARGET = Stroke(0.25)
_LINES = (Stroke(0.55), Stroke(0.4, (1.7, 0.9)), Stroke(0.4, (0.1, 0.95)), Stroke(0.4, (2.4, 0.7, 0.1, 0.7)))
_TRIANGLE = 2
_BANDS = (0.13, 0.09, 0.09, 0.09)
_HOLLOW = Stroke(0.22)
_DOT_MM = (0.4, 1.15)
"""Radius of a dot that stands for one, and of the largest; ours, by eye [mm]."""
_MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")


@dataclass(frozen=True, slots=True)
class Dot:
    """What was counted or measured on a day or in a week."""

    day: date
    value: float
    weight: float = 1.0
    """Its area against that of one [1]."""


@dataclass(frozen=True, slots=True)
class CurveLine:
    """One curve."""

    points: tuple[tuple[date, float, float, float], ...]
    """Day, value, and the ends of its interval."""
    dots: tuple[Dot, ...]
    words: str
    """What it is, and its figures."""


@dataclass(frozen=True, slots=True)
class CurveScale:
    """What all panels of a page share."""

    first: date
    last: date
    low: float
    high: float
    marks: tuple[tuple[float, str], ...]
    """Values with a line across, and what stands beside it."""
    target: float | None = None
    """A value with a full line across; None for none."""


@dataclass(frozen=True, slots=True)
class Panel:
    """One panel: what it shows, its lines, and what is said of them."""

    title: str
    said: str
    lines: tuple[CurveLine, ...]


def draw_row(panels: Sequence[Panel], scale: CurveScale, *, width_mm: float, step_mm: float) -> Block:
    """Draw panels side by side, their plots at one height.

    Args:
        panels: from left to right.
        scale: of the page.
        width_mm: of each [mm].
        step_mm: from the left side of one to that of the next [mm].
    """
    lead = max(len(wrapped(panel.said, _WORDS, width_mm)) for panel in panels)
    drawn = [_draw_panel(panel, scale, width_mm=width_mm, lead=lead) for panel in panels]
    shapes = tuple(moved(group, place * step_mm, 0.0) for place, (group, _) in enumerate(drawn))
    return Block(shapes, max(height for _, height in drawn))


def _draw_panel(panel: Panel, scale: CurveScale, *, width_mm: float, lead: int) -> tuple[Group, float]:
    """Draw a panel from its upper left corner, with so many lines of words over its plot; and say how high it is."""
    shapes: list[Shape] = [Text(0.0, _TITLE, panel.title, size=_TITLE)]
    for number, words in enumerate(wrapped(panel.said, _WORDS, width_mm), start=1):
        shapes.append(Text(0.0, _TITLE * 1.3 + number * _WORDS * _LEADING, words, size=_WORDS))
    stage = _Stage(scale, _SCALE_MM, width_mm - 1.0, _TITLE * 1.3 + lead * _WORDS * _LEADING + _AIR_MM)
    shapes += _scenery(stage)
    order = list(enumerate(panel.lines))
    for number, line in reversed(order):
        shapes += _band(line, stage, number)
    for number, line in reversed(order):
        shapes += _curve(line, stage, number)
    y = stage.bottom + _DAYS_MM
    for number, line in order:
        shapes += _sample(number, y + (_LEADING - CAP_HEIGHT / 2.0) * _WORDS)
        for words in wrapped(line.words, _WORDS, width_mm - _SAMPLE_MM):
            y += _WORDS * _LEADING
            shapes.append(Text(_SAMPLE_MM, y, words, size=_WORDS))
    said = "; ".join((panel.said, *(line.words for line in panel.lines)))
    return Group(tuple(shapes), title=f"{panel.title}: {said}", css_class="panel"), y + _AIR_MM


@dataclass(frozen=True, slots=True)
class _Stage:
    """Where days and values lie on a panel."""

    scale: CurveScale
    left: float
    right: float
    top: float

    @property
    def bottom(self) -> float:
        """Lower edge of the plot [mm]."""
        return self.top + _PLOT_MM

    def x(self, day: date) -> float:
        """Place of a day [mm]."""
        span = max(1, (self.scale.last - self.scale.first).days)
        share = (day - self.scale.first).days / span if self.scale.last > self.scale.first else 0.5
        return self.left + 1.2 + share * (self.right - self.left - 2.4)

    def y(self, value: float) -> float:
        """Height of a value; what lies beyond the scale lies on its edge [mm]."""
        share = (value - self.scale.low) / (self.scale.high - self.scale.low)
        return self.bottom - min(1.0, max(0.0, share)) * _PLOT_MM


def _scenery(stage: _Stage) -> Iterator[Shape]:
    scale = stage.scale
    yield Rect(stage.left, stage.top, stage.right - stage.left, _PLOT_MM, stroke=_FRAME)
    for value, words in scale.marks:
        y = stage.y(value)
        if scale.low < value < scale.high:
            yield Segment(stage.left, y, stage.right, y, _TARGET if value == scale.target else _GUIDE)
        yield Text(stage.left - 0.8, y + CAP_HEIGHT * _SMALL / 2, words, size=_SMALL, anchor=Anchor.END)
    free = stage.left - 3.0
    for day in _named_days(scale.first, scale.last):
        x, words = stage.x(day), f"{day.day} {_MONTHS[day.month - 1]}"
        half = text_width(words, _SMALL) / 2.0
        yield Segment(x, stage.bottom, x, stage.bottom + 0.7, _FRAME)
        if x - half > free and x + half < stage.right + 2.0:
            yield Text(x, stage.bottom + 3.0, words, size=_SMALL, anchor=Anchor.MIDDLE)
            free = x + half + 1.0


def _named_days(first: date, last: date) -> Sequence[date]:
    """Days that are named under a panel: Mondays, a fitting number of weeks apart; the day itself where it is one."""
    weeks = (last - first).days / 7.0
    if weeks < 1.0:
        return sorted({first, last})
    step = next((step for step in (1, 2, 4, 8, 13, 26, 52) if weeks / step <= 4.5), 104)
    monday = first + timedelta(days=-first.weekday() % 7)
    found = []
    while monday <= last:
        found.append(monday)
        monday += timedelta(weeks=step)
    return found


def _band(line: CurveLine, stage: _Stage, number: int) -> Iterator[Shape]:
    """The interval, as a grey ribbon; a single day's as a bar."""
    if len(line.points) == 1:
        day, _, low, high = line.points[0]
        x = stage.x(day) + 1.1 * (number - 1)
        yield Segment(x, stage.y(low), x, stage.y(high), Stroke(0.3))
        return
    upper = [(stage.x(day), stage.y(high)) for day, _, _, high in line.points]
    lower = [(stage.x(day), stage.y(low)) for day, _, low, _ in line.points]
    fill = _BANDS[number % len(_BANDS)]
    yield Polyline((*upper, *reversed(lower)), None, closed=True, filled=True, fill=fill)


def _curve(line: CurveLine, stage: _Stage, number: int) -> Iterator[Shape]:
    for dot in line.dots:
        radius = min(_DOT_MM[1], _DOT_MM[0] * max(1.0, dot.weight) ** 0.5)
        yield _mark(number, stage.x(dot.day), stage.y(dot.value), radius)
    if len(line.points) > 1:
        path = tuple((stage.x(day), stage.y(value)) for day, value, _, _ in line.points)
        yield Polyline(path, _LINES[number % len(_LINES)])


def _mark(number: int, x: float, y: float, radius: float) -> Shape:
    """The dots of a line: filled, hollow, a triangle, a square."""
    shape = number % len(_LINES)
    if shape == 0:
        return Circle(x, y, radius, fill=1.0)
    if shape == 1:
        return Circle(x, y, radius, stroke=_HOLLOW)
    size = 1.15 * radius
    corners: tuple[tuple[float, float], ...]
    if shape == _TRIANGLE:
        corners = ((x, y - size), (x + size, y + 0.8 * size), (x - size, y + 0.8 * size))
    else:
        corners = ((x - size, y - size), (x + size, y - size), (x + size, y + size), (x - size, y + size))
    return Polyline(corners, _HOLLOW, closed=True)


def _sample(number: int, y: float) -> Iterator[Shape]:
    """A line and its dot, before what they are."""
    yield Segment(0.3, y, _SAMPLE_MM - 1.4, y, _LINES[number % len(_LINES)])
    yield _mark(number, _SAMPLE_MM / 2.0 - 0.5, y, 0.85)
