import pytest

from slurwright.picture.shapes import Circle, Group, Polyline, Rect, Segment, Shape, Text, moved

SHAPES = [
    Segment(1, 2, 3, 4),
    Polyline(((0, 0), (1, 1))),
    Rect(1, 2, 3, 4),
    Circle(1, 2, 3),
    Text(1, 2, "F3"),
    Group((Circle(0, 0, 1), Text(1, 1, "0")), title="a note"),
]


@pytest.mark.parametrize("shape", SHAPES, ids=lambda shape: type(shape).__name__)
def test_moving_there_and_back_changes_nothing(shape: Shape) -> None:
    there = moved(shape, 3.0, -2.0)
    assert there != shape
    assert moved(there, -3.0, 2.0) == shape


def test_moving_keeps_sizes() -> None:
    assert moved(Rect(0, 0, 3, 4), 1, 1) == Rect(1, 1, 3, 4)
    assert moved(Segment(0, 0, 5, 5), 1, 2) == Segment(1, 2, 6, 7)
