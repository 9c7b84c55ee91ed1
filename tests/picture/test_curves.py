"""Panels of curves: lines told apart without colour, plots of a row at one height, all of it inside."""

from collections.abc import Iterator
from datetime import date, timedelta

import pytest

from slurwright.picture.curves import CurveLine, CurveScale, Dot, Panel, draw_row
from slurwright.picture.shapes import Circle, Group, Polyline, Rect, Segment, Shape, Text

FIRST = date(2026, 8, 31)
SCALE = CurveScale(FIRST, FIRST + timedelta(days=84), 0.0, 1.0, ((0.0, "0"), (0.5, "50"), (1.0, "100 %")))


def line(value: float, words: str = "0 to 0: 80 %", *, days: int = 84) -> CurveLine:
    points = tuple((FIRST + timedelta(days=day), value, value - 0.1, value + 0.1) for day in range(0, days + 1, 7))
    return CurveLine(points, (Dot(FIRST, value, 4.0), Dot(FIRST + timedelta(days=days), 2.0)), words)


def flat(shapes: tuple[Shape, ...]) -> Iterator[Shape]:
    for shape in shapes:
        if isinstance(shape, Group):
            yield from flat(shape.shapes)
        else:
            yield shape


def frames(shapes: tuple[Shape, ...]) -> list[Rect]:
    return [shape for shape in flat(shapes) if isinstance(shape, Rect)]


def test_plots_of_a_row_stand_at_one_height_however_much_is_said() -> None:
    panels = (Panel("F3 to B♭3", "good", (line(0.8),)), Panel("D4 to F4", "said " * 30, (line(0.5),)))
    block = draw_row(panels, SCALE, width_mm=58.0, step_mm=64.0)
    first, second = frames(block.shapes)
    assert first.y == second.y
    assert second.x - first.x == pytest.approx(64.0)


def test_lines_are_told_apart_by_dash_and_by_shape() -> None:
    panel = Panel("F3 to B♭3", "", tuple(line(value) for value in (0.2, 0.4, 0.6, 0.8)))
    shapes = list(flat(draw_row((panel,), SCALE, width_mm=58.0, step_mm=64.0).shapes))
    dashes = {
        shape.stroke.dash for shape in shapes if isinstance(shape, Polyline) and shape.stroke and not shape.closed
    }
    assert len(dashes) == 4
    dots = [shape for shape in shapes if isinstance(shape, Circle)]
    corners = {
        len(shape.points) for shape in shapes if isinstance(shape, Polyline) and shape.closed and not shape.filled
    }
    assert {dot.fill for dot in dots} == {0.0, 1.0}
    assert corners == {3, 4}


def test_everything_stays_inside_its_panel() -> None:
    panel = Panel("F3 to B♭3", "words " * 20, (line(0.99), line(-0.5), line(1.5, "long " * 20)))
    block = draw_row((panel,), SCALE, width_mm=58.0, step_mm=64.0)
    frame = frames(block.shapes)[0]
    for shape in flat(block.shapes):
        if isinstance(shape, Polyline) and shape.filled:
            assert all(frame.x <= x <= frame.x + frame.width for x, _ in shape.points)
            assert all(frame.y - 1e-9 <= y <= frame.y + frame.height + 1e-9 for _, y in shape.points)
        if isinstance(shape, Text):
            assert 0.0 <= shape.y <= block.height_mm


def test_dates_are_mondays_that_do_not_touch() -> None:
    block = draw_row((Panel("F3", "", (line(0.5),)),), SCALE, width_mm=58.0, step_mm=64.0)
    named = [
        shape
        for shape in flat(block.shapes)
        if isinstance(shape, Text) and shape.words.endswith(("Aug", "Sep", "Oct"))
    ]
    assert [text.words for text in named] == ["31 Aug", "28 Sep", "26 Oct"]


@pytest.mark.parametrize("days", [0, 3, 30, 400, 3000])
def test_any_span_of_days_can_be_drawn(days: int) -> None:
    last = FIRST + timedelta(days=days)
    scale = CurveScale(FIRST, last, -20.0, 20.0, ((0.0, "0"),), target=0.0)
    single = CurveLine(((FIRST, 3.0, -1.0, 7.0),), (Dot(FIRST, 3.0),), "1 take")
    block = draw_row((Panel("F3 on 1", "", (single,)),), scale, width_mm=58.0, step_mm=64.0)
    texts = [shape.words for shape in flat(block.shapes) if isinstance(shape, Text)]
    months = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")
    assert 1 <= sum(words.endswith(months) for words in texts) <= 6
    assert any(isinstance(shape, Segment) and shape.stroke.width == 0.3 for shape in flat(block.shapes))


def test_a_panel_says_for_those_who_do_not_see_it_what_it_shows() -> None:
    block = draw_row((Panel("F3 to B♭3", "good", (line(0.8),)),), SCALE, width_mm=58.0, step_mm=64.0)
    (group,) = block.shapes
    assert isinstance(group, Group)
    assert group.title == "F3 to B♭3: good; 0 to 0: 80 %"
