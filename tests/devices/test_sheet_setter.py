"""Whole sheets as one PDF: as many pages as drawings, of the sheet's size, the same bytes each time."""

import re

import pytest

from slurwright.devices.sheet_setter import set_sheets
from slurwright.errors import EngravingError
from slurwright.formats.chart_sheets import SHEET_SIZES_MM, Sheet
from slurwright.formats.svg import write_svg
from slurwright.picture.shapes import Circle, Picture

_POINTS_PER_MM = 72 / 25.4


def drawing(sheet: Sheet) -> str:
    width, height = SHEET_SIZES_MM[sheet]
    return write_svg(Picture(width, height, (Circle(20.0, 20.0, 5.0, fill=1.0),), title="a dot"))


@pytest.mark.parametrize("sheet", Sheet)
def test_a_page_for_each_drawing(sheet: Sheet) -> None:
    pdf = set_sheets([drawing(sheet)] * 3, title='dots "and" #more', sheet=sheet)
    boxes = re.findall(rb"/MediaBox *\[([^\]]*)\]", pdf)
    assert len(boxes) == 3
    for box in boxes:
        size = [float(number) for number in box.split()][2:]
        assert size == pytest.approx([mm * _POINTS_PER_MM for mm in SHEET_SIZES_MM[sheet]], abs=0.1)


def test_the_same_drawings_give_the_same_bytes() -> None:
    assert set_sheets([drawing(Sheet.A5)], title="dot", sheet=Sheet.A5) == set_sheets(
        [drawing(Sheet.A5)], title="dot", sheet=Sheet.A5
    )


def test_what_is_no_drawing_is_refused() -> None:
    with pytest.raises(EngravingError):
        set_sheets(["no drawing"], title="nothing")
