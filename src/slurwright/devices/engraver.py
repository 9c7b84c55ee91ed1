"""Pages and prints of a part: the engraver and the typesetter, each in a child process with limits."""

import base64
from collections.abc import Sequence
from functools import cache

from slurwright.devices.child import ChildLimits, Errand, child_answer
from slurwright.devices.engraver_fonts import EngraverFonts, text_font_folder
from slurwright.errors import EngravingError
from slurwright.formats.pages.look import engraver_options, stand_system_options, system_options
from slurwright.formats.pages.mei_page import page_mei
from slurwright.formats.pages.request import PageRequest
from slurwright.formats.pages.room import free_below_mm, last_is_nearly_empty
from slurwright.formats.pages.sheets import sheet_inputs, sheet_source
from slurwright.formats.pages.svg_clean import clean_pages
from slurwright.formats.pages.systems import EngravedSystem, systems_of

__all__ = ["engrave_each", "engrave_pdf", "engrave_svg", "engrave_systems"]

_USUAL = ChildLimits()
_DRAW = Errand(
    "engrave_child",
    doing="drawing the pages",
    gave_up="the engraver gave up on this part",
    error=EngravingError,
    allowed="a part that can be drawn",
)
_SET = Errand(
    "typeset_child",
    doing="setting the sheets",
    gave_up="the sheets could not be set",
    error=EngravingError,
    allowed="pages and pictures in SVG",
)


def engrave_svg(request: PageRequest, *, limits: ChildLimits = _USUAL) -> tuple[str, ...]:
    """Draw a part with its row and marks: one SVG a page.

    Args:
        request: what goes on the stand.
        limits: what drawing may take.

    Raises:
        EngravingError: the part cannot be drawn, or drawing took more than it may.

    """
    return clean_pages(_drawn(request, limits), request, font=_fonts())


def engrave_pdf(request: PageRequest, *, limits: ChildLimits = _USUAL) -> bytes:
    """Print a part: its pages, its pictures, the choices at weak slurs, legend and cautions as one PDF.

    Args:
        request: what goes on the stand.
        limits: what drawing may take, for the drawing and the setting each.

    Raises:
        EngravingError: the part cannot be drawn, or drawing took more than it may.

    """
    pages = clean_pages(_drawn(request, limits), request, font=_fonts(), feet=False)
    free_mm = free_below_mm(pages[-1], request.paper, font=_fonts())
    answer = child_answer(
        _SET,
        {
            "source": sheet_source(),
            "inputs": dict(sheet_inputs(request, pages, free_mm=free_mm)),
            "font_paths": [str(text_font_folder())],
        },
        limits=limits,
    )
    return base64.b64decode(answer["pdf"])


def engrave_systems(
    request: PageRequest, *, left_mm: float, right_mm: float, limits: ChildLimits = _USUAL
) -> tuple[EngravedSystem, ...]:
    """Draw a part system by system, widely spaced, to stand among other drawings.

    Args:
        request: the part and its row; headings and what follows the music are left out.
        left_mm: from the sheet's left edge to the staves [mm].
        right_mm: from the staves to the sheet's right edge [mm].
        limits: what drawing may take.

    Raises:
        EngravingError: the part cannot be drawn, or drawing took more than it may.

    """
    options = system_options(request.paper, left_mm=left_mm, right_mm=right_mm)
    drawn: list[str] = child_answer(_DRAW, {"mei": page_mei(request), "options": options}, limits=limits)["pages"]
    pages = clean_pages(drawn, request, font=_fonts(), feet=False)
    return systems_of(pages, notes=len(request.part.notes), font=_fonts())


def engrave_each(
    requests: Sequence[PageRequest], *, left_mm: float, right_mm: float, limits: ChildLimits = _USUAL
) -> tuple[tuple[EngravedSystem, ...], ...]:
    """Draw several short parts system by system, at the size of music on a stand, all for one sheet of paper.

    Args:
        requests: the parts and their rows; headings and what follows the music are left out.
        left_mm: from the sheet's left edge to the staves [mm].
        right_mm: from the staves to the sheet's right edge [mm].
        limits: what drawing all of them may take.

    Returns:
        The systems of each part.

    Raises:
        EngravingError: a part cannot be drawn, or drawing took more than it may.

    """
    if not requests:
        return ()
    options = stand_system_options(requests[0].paper, left_mm=left_mm, right_mm=right_mm)
    task = {"several": [page_mei(request) for request in requests], "options": options}
    drawn: list[list[str]] = child_answer(_DRAW, task, limits=limits)["each"]
    return tuple(
        systems_of(
            clean_pages(pages, request, font=_fonts(), feet=False), notes=len(request.part.notes), font=_fonts()
        )
        for pages, request in zip(drawn, requests, strict=True)
    )


def _drawn(request: PageRequest, limits: ChildLimits) -> Sequence[str]:
    """Have the pages drawn; closer, if that spares the player a turn to a page with only the last bars."""
    mei = page_mei(request)
    follow_breaks = any(measure.new_section for measure in request.part.measures)

    def draw(*, closer: bool) -> list[str]:
        options = engraver_options(request.paper, follow_breaks=follow_breaks, closer=closer)
        pages: list[str] = child_answer(_DRAW, {"mei": mei, "options": options}, limits=limits)["pages"]
        return pages

    pages = draw(closer=False)
    if last_is_nearly_empty(pages):
        fewer = draw(closer=True)
        pages = fewer if len(fewer) < len(pages) else pages
    return pages


@cache
def _fonts() -> EngraverFonts:
    return EngraverFonts()
