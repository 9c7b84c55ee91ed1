"""One note's lines of a chart: name, fingerings, and each way's place on a scale of cents."""

from slurwright.picture.lettering import draw_pitch
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
)
from slurwright.plan.charted import ChartedNote, ChartedWay, Knowledge

__all__ = ["HEAD_MM", "RANGE_CENTS", "ROWS_MM", "WIDTH_MM", "draw_block", "draw_column_head", "draw_interval"]

WIDTH_MM = 58.0
"""Of a column [mm]."""
ROWS_MM = (5.2, 4.8, 4.4, 4.0, 3.7, 3.35)
"""Heights of one way, of which a chart takes the greatest that spares a sheet; ours, by eye [mm]."""
HEAD_MM = 6.0
"""Above the first note of a column [mm]."""
RANGE_CENTS = 50.0
"""The scale goes so far to both sides; what lies beyond has an arrowhead, and its figure [cents]."""
_NOTICED_CENTS = 10.0
_FINGERING_X = 9.0
_PARTIAL_X = 22.2
_STRIP = (24.5, 51.5)
_FIGURE_X = WIDTH_MM
_SIZE = 2.4
_NAME_SIZE = 3.4
_LETTER = 0.72
"""Room that lettering gives to the letter of a name, in sizes of the type [1]."""
_MARK_MM = 0.85
_LINES = {
    Knowledge.MEASURED: Stroke(0.75),
    Knowledge.INFERRED: Stroke(0.3),
    Knowledge.PRIOR: Stroke(0.3, dash=(0.25, 0.75)),
}
_THIN = Stroke(0.3)
_RULE = Stroke(0.12)


def _x(cents: float) -> float:
    left, right = _STRIP
    shown = max(-RANGE_CENTS, min(RANGE_CENTS, cents))
    return left + (right - left) * (shown + RANGE_CENTS) / (2 * RANGE_CENTS)


def draw_block(note: ChartedNote, name: str, *, row_mm: float) -> Group:
    """Draw a note and its ways from the top left corner.

    Args:
        note: the note, with at least one way.
        name: as the player reads it, with ♭ and ♯.
        row_mm: height of one way [mm].
    """
    base = row_mm / 2 + 0.3 * _NAME_SIZE
    shapes: list[Shape] = [
        Segment(0.0, -0.2, WIDTH_MM, -0.2, _RULE),
        *_name(name, 0.4, base),
    ]
    for place, charted in enumerate(note.ways):
        shapes += _way(charted, (place + 0.5) * row_mm)
    return Group(tuple(shapes), title=name, css_class="note")


def _name(name: str, x: float, base: float) -> tuple[Shape, ...]:
    """Draw a name so that the letters of all names end at one place, and what follows them stands in line."""
    letter, rest = name[0], name[1:]
    if rest[:1] in ("♭", "♯"):
        return draw_pitch(name, x, base, size=_NAME_SIZE)
    right = x + _LETTER * _NAME_SIZE
    return (
        Text(right, base, letter, size=_NAME_SIZE, anchor=Anchor.END),
        Text(right, base, rest, size=_NAME_SIZE),
    )


def _way(charted: ChartedWay, y: float) -> list[Shape]:
    way, tendency = charted.way, charted.tendency
    base = y + 0.36 * _SIZE
    figure = round(tendency.mean_cents)
    words = f"{figure:+d}".replace("-", "−") if figure else "0"
    shapes: list[Shape] = [
        Text(_FINGERING_X, base, way.fingering, size=_SIZE, bold=way.normal),
        Text(_PARTIAL_X, base, f"{way.partial}", size=1.9, anchor=Anchor.END),
        Text(_FIGURE_X, base, words, size=_SIZE, anchor=Anchor.END, bold=way.normal),
        *draw_interval(charted.knowledge, tendency.low_cents, tendency.mean_cents, tendency.high_cents, y=y),
    ]
    said = f"{way.fingering} on partial {way.partial}: {words} cents, {charted.knowledge.value}"
    return [Group(tuple(shapes), title=said, css_class="normal" if way.normal else "way")]


def draw_interval(knowledge: Knowledge, low: float, mean: float, high: float, *, y: float) -> list[Shape]:
    """Draw an interval and its mean on the scale of a column.

    Args:
        knowledge: where the figure comes from; tells the line and the mark.
        low: lower end [cents].
        mean: in the middle [cents].
        high: upper end [cents].
        y: height of the line [mm].
    """
    x, left, right = _x(mean), _x(low), _x(high)
    shapes: list[Shape] = []
    stroke = _LINES[knowledge]
    inner = 0.0 if knowledge is Knowledge.MEASURED else _MARK_MM
    if x - inner > left:
        shapes.append(Segment(left, y, x - inner, y, stroke))
    if x + inner < right:
        shapes.append(Segment(x + inner, y, right, y, stroke))
    for end, cents in ((left, low), (right, high)):
        if abs(cents) < RANGE_CENTS and abs(end - x) > inner:
            shapes.append(Segment(end, y - 0.55, end, y + 0.55, _THIN))
    return [*shapes, *_mark(knowledge, x, y, beyond=(mean > RANGE_CENTS) - (mean < -RANGE_CENTS))]


def _mark(knowledge: Knowledge, x: float, y: float, *, beyond: int) -> list[Shape]:
    size = _MARK_MM
    if beyond:
        points = ((x - beyond * size, y - size), (x + beyond * size * 0.6, y), (x - beyond * size, y + size))
        return [Polyline(points, _THIN, closed=True, filled=knowledge is Knowledge.MEASURED)]
    if knowledge is Knowledge.MEASURED:
        return [Circle(x, y, size + 0.1, fill=1.0)]
    if knowledge is Knowledge.INFERRED:
        return [Circle(x, y, size - 0.15, stroke=_THIN)]
    return [Segment(x, y - size, x, y + size, _THIN), Segment(x - size, y, x + size, y, _THIN)]


def draw_column_head(held: str, height_mm: float) -> list[Shape]:
    """Draw what stands above a column, and the scale's lines behind it, from the column's top left corner.

    Args:
        held: "fingering" or "position".
        height_mm: of the column [mm].
    """
    band = _x(_NOTICED_CENTS) - _x(0.0)
    middle = _x(0.0)
    shapes: list[Shape] = [
        Rect(middle - band, 0.0, 2 * band, height_mm, fill=0.07),
        Segment(middle, -0.6, middle, height_mm, Stroke(0.2)),
        Text(0.4, -1.2, "note", size=1.9),
        Text(_FINGERING_X, -1.2, f"{held}", size=1.9),
        Text(_PARTIAL_X, -3.2, "partial", size=1.9, anchor=Anchor.END),
        Text(_FIGURE_X, -3.2, "cents", size=1.9, anchor=Anchor.END),
    ]
    for cents in (-50, -25, 0, 25, 50):
        words = f"{cents:+d}".replace("-", "−") if cents else "0"
        shapes.append(Text(_x(cents), -1.2, words, size=1.9, anchor=Anchor.MIDDLE))
        if cents:
            shapes.append(Segment(_x(cents), -0.6, _x(cents), height_mm, Stroke(0.1, dash=(0.1, 1.0))))
    return shapes
