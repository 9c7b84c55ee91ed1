"""What a row of a ladder stands on: rungs with their names, the scale of cents, bar lines, note names, dynamics."""

from collections.abc import Mapping, Sequence

from slurwright.picture.columns import Column, Rung
from slurwright.picture.lettering import draw_pitch
from slurwright.picture.metrics import CAP_HEIGHT, text_width
from slurwright.picture.shapes import Anchor, Face, Rect, Segment, Shape, Stroke, Text
from slurwright.picture.stage import CENTS_PER_MM, RANGE_CENTS, Stage

__all__ = ["TIE_CENTS", "draw_scenery"]

TIE_CENTS = 10.0
"""Half the grey band: a difference that is hardly noticed in a melody [cents] (published: Hill and Summers, JASA 121
(2007) 2376)."""

_RUNG = Stroke(0.2, opacity=0.55)
_BAR = Stroke(0.18, opacity=0.45)
_AXIS = Stroke(0.18, opacity=0.8)
_TICK_CENTS = 20
_BRACKET = Stroke(0.2)
_BRACKET_MM, _HOOK_MM = 4.4, 1.4
"""Height of an ending's bracket over the topmost rung's range, and length of its hooks [mm]. Ours, by eye."""


def draw_scenery(stage: Stage, columns: Sequence[Column], rungs: Mapping[int, Rung]) -> tuple[Shape, ...]:
    """Draw a row without its marks and path."""
    shapes: list[Shape] = [Text(1.2, stage.top - 1.4, "partial, open horn", size=1.9)]
    for place, partial in enumerate(sorted(stage.y, reverse=True)):
        shapes += _rung(stage, rungs[partial], first=place == 0)
    for index in stage.columns:
        shapes += _words(stage, columns[index], index)
    return (*shapes, *_endings(stage, columns))


def _endings(stage: Stage, columns: Sequence[Column]) -> list[Shape]:
    """Draw the brackets of first and second endings; one that goes on in another row stays open there."""
    shapes: list[Shape] = []
    y = stage.top - _BRACKET_MM
    first = stage.columns.start
    for index in stage.columns:
        column, following = columns[index], columns[index + 1] if index + 1 < len(columns) else None
        if column.opens_ending or index == stage.columns.start:
            first = index
        goes_on = following is not None and following.ending == column.ending and not following.opens_ending
        last = index == stage.columns.stop - 1
        if not column.ending or (goes_on and not last):
            continue
        left, right = _edge(stage, first), stage.right if last else _edge(stage, index + 1)
        shapes.append(Segment(left, y, right - 0.4, y, _BRACKET))
        if columns[first].opens_ending:
            shapes.append(Segment(left, y, left, y + _HOOK_MM, _BRACKET))
        if not goes_on:
            shapes.append(Segment(right - 0.4, y, right - 0.4, y + _HOOK_MM, _BRACKET))
        aside = text_width(columns[first].bar_words, 2.4) + 1.8
        words = column.ending if columns[first].opens_ending else f"({column.ending})"
        shapes.append(Text(left + aside, stage.top - 1.4, words, size=2.2))
    return shapes


def _edge(stage: Stage, index: int) -> float:
    """Where a column begins: half way from the one before, or at the row's left end [mm].

    Args:
        stage: the row.
        index: of the column.

    """
    return stage.left if index == stage.columns.start else (stage.x[index - 1] + stage.x[index]) / 2


def _rung(stage: Stage, rung: Rung, *, first: bool) -> list[Shape]:
    y = stage.y[rung.partial]
    half = TIE_CENTS / CENTS_PER_MM
    shapes: list[Shape] = [
        Rect(stage.left, y - half, stage.right - stage.left, 2 * half, fill=0.08),
        Segment(stage.left, y, stage.right, y, _RUNG),
        Text(3.6, y + CAP_HEIGHT * 1.7, str(rung.partial), size=3.4, anchor=Anchor.END, bold=True),
    ]
    if rung.written == rung.sounding:
        shapes += draw_pitch(rung.written, 5.0, y + CAP_HEIGHT * 1.2, size=2.4)
    else:
        shapes += draw_pitch(rung.written, 5.0, y - 0.2, size=2.4)
        shapes.append(Text(5.0, y + 2.5, "sounds", size=1.9))
        shapes += draw_pitch(rung.sounding, 11.4, y + 2.5, size=1.9)
    axis = stage.left - 1.5
    reach = RANGE_CENTS / CENTS_PER_MM
    shapes.append(Segment(axis, y - reach, axis, y + reach, _AXIS))
    for cents in range(-int(RANGE_CENTS), int(RANGE_CENTS) + 1, _TICK_CENTS):
        tick = y - cents / CENTS_PER_MM
        shapes.append(Segment(axis - (1.0 if cents % 40 == 0 else 0.6), tick, axis, tick, _AXIS))
        if first and cents in {-40, 0, 40}:
            words = "0" if cents == 0 else f"{cents:+d} c".replace("-", "−")
            shapes.append(Text(axis - 1.4, tick + CAP_HEIGHT * 0.9, words, size=1.8, anchor=Anchor.END))
    return shapes


def _words(stage: Stage, column: Column, index: int) -> list[Shape]:
    x = stage.x[index]
    shapes: list[Shape] = [*draw_pitch(column.name, x, stage.bottom + 3.6, size=2.5, anchor=Anchor.MIDDLE)]
    if column.starts_bar or index == stage.columns.start:
        edge = _edge(stage, index)
        if index != stage.columns.start:
            shapes.append(Segment(edge, stage.top - 3.5, edge, stage.bottom, _BAR))
        shapes.append(Text(edge + 0.8, stage.top - 1.4, column.bar_words, size=2.4, italic=True))
    if column.dynamic:
        shapes.append(
            Text(
                x,
                stage.bottom + 7.4,
                column.dynamic,
                size=3.4,
                anchor=Anchor.MIDDLE,
                bold=True,
                italic=True,
                face=Face.SERIF,
            )
        )
    return shapes
