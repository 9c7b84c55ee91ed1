"""A take as pages: blocks of words and rows of lanes, under engraved systems where there are some."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from slurwright.formats.pages.look import PAPER_SIZES_MM
from slurwright.formats.pages.request import Paper
from slurwright.formats.pages.systems import EngravedSystem
from slurwright.formats.svg import write_svg
from slurwright.picture.shapes import Anchor, Picture, Shape, Text, moved
from slurwright.picture.take.blocks import Block

__all__ = ["LEFT_MM", "RIGHT_MM", "Placed", "page_width_mm", "write_take_pages"]

LEFT_MM, RIGHT_MM = 12.0, 12.0
_TOP_MM, _FOOT_MM = 12.0, 14.0
_GAPS_MM = (3.0, 2.2, 1.5)
"""Room between blocks; less where that saves a page [mm]."""


@dataclass(frozen=True, slots=True)
class Placed:
    """A block, and the engraved system that stands over its shapes, both from the block's upper left corner."""

    block: Block
    system: EngravedSystem | None = None


@dataclass(slots=True)
class _Page:
    """A page that is being filled."""

    shapes: list[Shape] = field(default_factory=list)
    markup: list[str] = field(default_factory=list)
    signs: dict[str, str] = field(default_factory=dict)


def page_width_mm(paper: Paper) -> float:
    """Width between the margins of a page [mm].

    Args:
        paper: the sheet.
    """
    return PAPER_SIZES_MM[paper][0] - LEFT_MM - RIGHT_MM


def write_take_pages(blocks: Sequence[Placed], *, paper: Paper, title: str) -> tuple[str, ...]:
    """Write blocks onto pages: one SVG a sheet; blocks move a little closer where that saves a page.

    Args:
        blocks: from top to bottom.
        paper: the sheet.
        title: of the whole, for running feet and for people who do not see the page.
    """
    size = PAPER_SIZES_MM[paper]
    groups = _kept_together(blocks)
    pages = min((_filled(groups, size[1], gap_mm) for gap_mm in _GAPS_MM), key=len)
    count = len(pages)
    return tuple(_written(page, size, title, f"{number}/{count}") for number, page in enumerate(pages, start=1))


def _filled(groups: Sequence[Sequence[Placed]], height_mm: float, gap_mm: float) -> list[_Page]:
    """Fill pages from top to bottom; what belongs together stays on one page."""
    pages = [_Page()]
    y = _TOP_MM
    for group in groups:
        needed = sum(placed.block.height_mm for placed in group) + gap_mm * (len(group) - 1)
        if y > _TOP_MM and y + needed > height_mm - _FOOT_MM:
            pages.append(_Page())
            y = _TOP_MM
        for placed in group:
            _put(pages[-1], placed, y)
            y += placed.block.height_mm + gap_mm
    return pages


def _kept_together(blocks: Sequence[Placed]) -> list[list[Placed]]:
    groups: list[list[Placed]] = []
    for placed in blocks:
        if groups and groups[-1][-1].block.keep_with_next:
            groups[-1].append(placed)
        else:
            groups.append([placed])
    return groups


def _put(page: _Page, placed: Placed, y: float) -> None:
    page.shapes += [moved(shape, LEFT_MM, y) for shape in placed.block.shapes]
    if placed.system is not None:
        # A system's places count from the sheet's left edge already.
        page.markup.append(f'<g transform="translate(0 {y:.2f})">{placed.system.markup}</g>')
        page.signs.update(placed.system.signs)


def _written(page: _Page, size: tuple[float, float], title: str, numbering: str) -> str:
    foot = (
        Text(LEFT_MM, size[1] - 7.5, title, size=2.4),
        Text(size[0] - RIGHT_MM, size[1] - 7.5, numbering, size=2.4, anchor=Anchor.END),
    )
    picture = Picture(*size, (*page.shapes, *foot), title=f"{title}, {numbering}")
    text = write_svg(picture)
    if not page.markup:
        return text
    defs = f"<defs>{''.join(_in_order(page.signs))}</defs>"
    before, end, after = text.rpartition("</svg>")
    return "\n".join((before + defs, *page.markup, end + after))


def _in_order(signs: Mapping[str, str]) -> list[str]:
    return [signs[name] for name in sorted(signs)]
