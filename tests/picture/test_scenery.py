from slurwright.picture.columns import Column, Rung
from slurwright.picture.scenery import draw_scenery
from slurwright.picture.shapes import Segment, Text
from slurwright.picture.stage import stage_of

RUNGS = {4: Rung(4, "B♭3", "B♭3")}


def column(bar: int, *, starts: bool, ending: str = "", opens: bool = False) -> Column:
    return Column("F3", str(bar), starts_bar=starts, width_mm=8.0, ending=ending, opens_ending=opens)


COLUMNS = (
    column(1, starts=True),
    column(2, starts=True, ending="1.", opens=True),
    column(2, starts=False, ending="1."),
    column(3, starts=True, ending="2.", opens=True),
    column(4, starts=True),
)


def drawn(row: range) -> tuple[list[Segment], list[str]]:
    """Give the strokes over the bar numbers, and the words that name a bracket."""
    stage = stage_of(COLUMNS, row, [4], width_mm=180.0, stretch=1.0)
    shapes = draw_scenery(stage, COLUMNS, RUNGS)
    above = [shape for shape in shapes if isinstance(shape, Segment) and shape.y1 < stage.top - 4.0]
    names = [shape.words for shape in shapes if isinstance(shape, Text) and shape.words.strip("()") in {"1.", "2."}]
    return above, names


def test_each_ending_has_its_bracket_with_hooks_at_both_ends() -> None:
    strokes, names = drawn(range(5))
    assert names == ["1.", "2."]
    assert sum(stroke.y1 == stroke.y2 for stroke in strokes) == 2
    assert sum(stroke.x1 == stroke.x2 for stroke in strokes) == 4
    first, second = (stroke for stroke in strokes if stroke.y1 == stroke.y2)
    assert first.x2 < second.x1


def test_a_bracket_that_goes_on_in_the_next_row_stays_open() -> None:
    strokes, names = drawn(range(2))
    assert (len(strokes), names) == (2, ["1."])
    strokes, names = drawn(range(2, 5))
    assert names == ["(1.)", "2."]
    assert sum(stroke.x1 == stroke.x2 for stroke in strokes) == 3
