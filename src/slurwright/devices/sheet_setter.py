"""Drawings that are whole sheets, set as one PDF in a child process with limits."""

import base64
from collections.abc import Sequence

from slurwright.devices.child import ChildLimits, Errand, child_answer
from slurwright.devices.engraver_fonts import text_font_folder
from slurwright.errors import EngravingError
from slurwright.formats.chart_sheets import Sheet, drawn_inputs, drawn_source

__all__ = ["set_sheets"]

_USUAL = ChildLimits()
_SET = Errand(
    "typeset_child",
    doing="setting the sheets",
    gave_up="the sheets could not be set",
    error=EngravingError,
    allowed="drawings in SVG",
)


def set_sheets(
    drawings: Sequence[str], *, title: str, sheet: Sheet = Sheet.A4, limits: ChildLimits = _USUAL
) -> bytes:
    """Set drawings as the pages of one PDF.

    Args:
        drawings: SVG, one a page.
        title: of the document.
        sheet: what each is drawn for.
        limits: what setting may take.

    Raises:
        EngravingError: they cannot be set, or setting took more than it may.
    """
    answer = child_answer(
        _SET,
        {
            "source": drawn_source(),
            "inputs": dict(drawn_inputs(drawings, title=title, sheet=sheet)),
            "font_paths": [str(text_font_folder())],
        },
        limits=limits,
    )
    return base64.b64decode(answer["pdf"])
