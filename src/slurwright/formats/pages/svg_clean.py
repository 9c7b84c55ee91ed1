"""The engraver's drawing as pages that every reader of SVG shows alike: own fonts, straight rows, page numbers."""

from collections.abc import Sequence

from lxml import etree

from slurwright.errors import EngravingError
from slurwright.formats.pages.heading import PAGE_MARK
from slurwright.formats.pages.look import PAPER_SIZES_MM
from slurwright.formats.pages.music_font import MusicFont
from slurwright.formats.pages.request import PageRequest
from slurwright.formats.pages.svg_bounds import box_of, kind_of, shift_down, staff_of_system
from slurwright.formats.pages.svg_marks import draw_feet
from slurwright.formats.pages.svg_rows import settle_signs
from slurwright.formats.pages.svg_text import SVG, TEXT_FONTS, draw_signs, text_span

__all__ = ["clean_pages"]

_BETWEEN_SYSTEMS = 250.0
"""Least room between a row and the system under it [units: hundredths of a millimetre]. Derived."""
_MARGINS_MM = 2 * 13.0 + 6.0
"""Height of a sheet that the systems leave free: margins and page number [mm]. Derived."""
_ENGRAVER_FONTS = frozenset({"Times", "Times, serif"})


def clean_pages(drawn: Sequence[str], request: PageRequest, *, font: MusicFont, feet: bool = True) -> tuple[str, ...]:
    """Turn the engraver's pages into the pages that are handed out.

    Args:
        drawn: one SVG a page, as the engraver gave it.
        request: what was asked for.
        font: metrics and outlines of the engraver's fonts.
        feet: False leaves out running lines and page numbers, for a document that sets its own.

    Raises:
        EngravingError: the engraver's answer is no SVG.

    """
    numbers = [f"{number}/{len(drawn)}" if feet else "" for number in range(1, len(drawn) + 1)]
    return tuple(_clean(page, request, font, number) for page, number in zip(drawn, numbers, strict=True))


def _clean(page: str, request: PageRequest, font: MusicFont, numbering: str) -> str:
    try:
        root = etree.fromstring(
            page.encode(), etree.XMLParser(resolve_entities=False, no_network=True, huge_tree=True)
        )
    except etree.XMLSyntaxError as broken:
        raise EngravingError("the engraver's answer is not a drawing", got=str(broken)) from broken
    width, height = PAPER_SIZES_MM[request.paper]
    root.set("width", f"{width:g}mm")
    root.set("height", f"{height:g}mm")
    systems = [group for group in root.iter(f"{SVG}g") if kind_of(group) == "system"]
    dropped = [settle_signs(system, font) for system in systems]
    for system in systems:
        _keep_inside(system, font)
        draw_feet(system, request.weak)
    _spread(systems, dropped, font)
    _gather(systems, 100 * (height - _MARGINS_MM), font)
    _number(root, numbering)
    for text in list(root.iter(f"{SVG}text")):
        group = text.getparent()
        if group is not None and (group.get("class") or "") == "harm changed":
            text.set("text-decoration", "underline")
        draw_signs(text, font)
    for element in root.iter():
        if element.get("font-family") in _ENGRAVER_FONTS:
            element.set("font-family", TEXT_FONTS)
    return etree.tostring(root, encoding="unicode")


def _number(root: etree._Element, numbering: str) -> None:
    """Write a page's number, or take its whole foot away where there is none."""
    for foot in [group for group in root.iter(f"{SVG}g") if kind_of(group) == "pgFoot"]:
        parent = foot.getparent()
        if not numbering and parent is not None:
            parent.remove(foot)
        for element in foot.iter(f"{SVG}tspan"):
            if element.text and PAGE_MARK in element.text:
                element.text = element.text.replace(PAGE_MARK, numbering)


def _spread(systems: list[etree._Element], dropped: list[float], font: MusicFont) -> None:
    """Move systems down whose neighbour above has come too near because its row had to move."""
    moved = 0.0
    for place, system in enumerate(systems):
        above = box_of(systems[place - 1], font) if place and dropped[place - 1] else None
        here = box_of(system, font) if above else None
        if above and here:
            moved = max(moved, above.bottom + _BETWEEN_SYSTEMS - here.top)
        if moved:
            shift_down(system, moved)


def _gather(systems: list[etree._Element], lowest: float, font: MusicFont) -> None:
    """Bring systems closer together, each a little, when the last one has come too near the foot of the page."""
    last = box_of(systems[-1], font) if len(systems) > 1 else None
    over = last.bottom - lowest if last else 0.0
    if over > 0:
        for place, system in enumerate(systems):
            shift_down(system, -over * place / (len(systems) - 1))


def _keep_inside(system: etree._Element, font: MusicFont) -> None:
    """Move words that would run over the right margin back to it."""
    staff = staff_of_system(system)
    if staff is None:
        return
    for group in system.iter(f"{SVG}g"):
        if kind_of(group) not in {"dir", "tempo", "dynam"}:
            continue
        over = max((text_span(text, font)[1] for text in group.iter(f"{SVG}text")), default=0.0) - staff.right
        if over <= 0:
            continue
        for shape in group.iter(f"{SVG}rect", f"{SVG}text", f"{SVG}tspan"):
            if shape.get("x") is not None:
                shape.set("x", f"{float(shape.get('x', '0')) - over:.0f}")
