import pytest

from slurwright.picture.lettering import draw_pitch
from slurwright.picture.shapes import Anchor, Polyline, Segment, Text


def test_a_natural_name_is_plain_text() -> None:
    assert draw_pitch("F3", 10, 20, size=2.5) == (Text(10, 20, "F3", size=2.5),)


@pytest.mark.parametrize(
    ("name", "segments", "bowls"), [("B♭3", 1, 1), ("F♯3", 4, 0), ("B♭♭2", 2, 2), ("C♯♯5", 8, 0)]
)
def test_accidentals_are_drawn_and_not_typed(name: str, segments: int, bowls: int) -> None:
    shapes = draw_pitch(name, 10, 20, size=2.5)
    words = "".join(shape.words for shape in shapes if isinstance(shape, Text))
    assert words == name.replace("♭", "").replace("♯", "")
    assert sum(isinstance(shape, Segment) for shape in shapes) == segments
    assert sum(isinstance(shape, Polyline) for shape in shapes) == bowls


def test_the_anchor_is_kept() -> None:
    for anchor, side in ((Anchor.START, 1), (Anchor.END, -1)):
        xs = [shape.x for shape in draw_pitch("B♭3", 10, 20, size=2.5, anchor=anchor) if isinstance(shape, Text)]
        assert all((x - 10) * side >= 0 for x in xs)


@pytest.mark.parametrize("name", ["B♭3", "F♯4", "E♭♭2"])
def test_accidentals_keep_clear_of_letter_and_figure(name: str) -> None:
    size = 2.5
    shapes = draw_pitch(name, 0, 0, size=size)
    letter, octave = (shape for shape in shapes if isinstance(shape, Text))
    strokes = [
        (x, shape.stroke.width) for shape in shapes if isinstance(shape, Segment) for x in (shape.x1, shape.x2)
    ]
    strokes += [
        (x, shape.stroke.width)
        for shape in shapes
        if isinstance(shape, Polyline) and shape.stroke
        for x, _ in shape.points
    ]
    # A hair of 0.1 mm is what a printer of 300 dots an inch still leaves white (derived).
    assert min(x - width / 2 for x, width in strokes) - letter.x >= 0.1
    assert octave.x - max(x + width / 2 for x, width in strokes) >= 0.1
