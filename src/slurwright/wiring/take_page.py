"""The pages of a take: engraved by the engraver, set by the typesetter."""

from datetime import date
from pathlib import Path

from slurwright.formats.pages.request import Paper
from slurwright.jobs.take.measured import MeasuredTake

__all__ = ["take_page_pdf", "take_page_svgs", "take_pages"]


def take_pages(
    taken: MeasuredTake, out: Path, *, paper: str = "a4", played_on: date | None = None, remark: str = ""
) -> dict[Path, bytes]:
    """Draw a take into a file, or into several with numbers where SVG has several pages.

    Args:
        taken: the take.
        out: a name ending in .pdf or .svg.
        paper: name of the sheet.
        played_on: the day; None where it is not known.
        remark: what the player wants to remember about it.

    Raises:
        EngravingError: the part cannot be drawn or set, or that took more than it may.
    """
    if out.suffix.lower() == ".svg":
        from slurwright.wiring.part import numbered_files  # noqa: PLC0415

        pages = take_page_svgs(taken, played_on=played_on, paper=Paper(paper), remark=remark)
        return numbered_files(out, pages)
    return {out: take_page_pdf(taken, played_on=played_on, paper=Paper(paper), remark=remark)}


def take_page_svgs(
    taken: MeasuredTake,
    *,
    played_on: date | None = None,
    paper: Paper = Paper.A4,
    engraved: bool = True,
    remark: str = "",
) -> tuple[str, ...]:
    """Draw a take under its notation: one SVG a page.

    Args:
        taken: the take.
        played_on: the day; None where it is not known.
        paper: the sheet.
        engraved: False sets note names in place of the notation.
        remark: what the player wants to remember about it.

    Raises:
        EngravingError: the part cannot be drawn, or drawing took more than it may.
    """
    from slurwright.devices.engraver import engrave_systems  # noqa: PLC0415
    from slurwright.jobs.take.pages import (  # noqa: PLC0415
        STAVES_FROM_MM,
        STAVES_TO_MM,
        engraving_request,
        take_pages,
    )

    request = engraving_request(taken, paper=paper)
    systems = engrave_systems(request, left_mm=STAVES_FROM_MM, right_mm=STAVES_TO_MM) if engraved else ()
    return take_pages(taken, played_on=played_on, systems=systems, paper=paper, remark=remark)


def take_page_pdf(
    taken: MeasuredTake, *, played_on: date | None = None, paper: Paper = Paper.A4, remark: str = ""
) -> bytes:
    """Draw a take under its notation as one PDF.

    Args:
        taken: the take.
        played_on: the day; None where it is not known.
        paper: the sheet.
        remark: what the player wants to remember about it.

    Raises:
        EngravingError: the part cannot be drawn or set, or that took more than it may.
    """
    from slurwright.devices.sheet_setter import set_sheets  # noqa: PLC0415
    from slurwright.formats.chart_sheets import Sheet  # noqa: PLC0415
    from slurwright.jobs.words import title_of  # noqa: PLC0415

    pages = take_page_svgs(taken, played_on=played_on, paper=paper, remark=remark)
    return set_sheets(pages, title=title_of(taken.study), sheet=Sheet(paper.value))
