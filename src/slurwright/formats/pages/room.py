"""How full the pages of a part are: what the last one leaves free, and whether it is worth turning to."""

from collections.abc import Sequence

from lxml import etree

from slurwright.formats.pages.look import PAPER_SIZES_MM
from slurwright.formats.pages.music_font import MusicFont
from slurwright.formats.pages.request import Paper
from slurwright.formats.pages.svg_bounds import box_of, kind_of, move_of
from slurwright.formats.pages.svg_text import SVG

__all__ = ["free_below_mm", "last_is_nearly_empty"]

_FOOT_MM = 13.0 + 6.0
"""Height at the foot of a page that its margin and its number take [mm]. Derived."""
_FEW_SYSTEMS = 2


def free_below_mm(page: str, paper: Paper, *, font: MusicFont) -> float:
    """Say how much of a page is empty under its last system.

    Args:
        page: a cleaned page.
        paper: its sheet.
        font: metrics of the engraver's fonts.

    Returns:
        Height down to the page's foot [mm].

    """
    root = etree.fromstring(page.encode(), etree.XMLParser(resolve_entities=False, no_network=True, huge_tree=True))
    lowest = 0.0
    for system in _systems(root):
        box = box_of(system, font)
        if box is not None:
            lowest = max(lowest, box.bottom + sum(move_of(group) for group in system.iterancestors()))
    return PAPER_SIZES_MM[paper][1] - _FOOT_MM - lowest / 100


def last_is_nearly_empty(pages: Sequence[str]) -> bool:
    """Say whether a player would turn to the last page for a system or two."""
    if len(pages) < 2:
        return False
    root = etree.fromstring(
        pages[-1].encode(), etree.XMLParser(resolve_entities=False, no_network=True, huge_tree=True)
    )
    return len(_systems(root)) <= _FEW_SYSTEMS


def _systems(root: etree._Element) -> list[etree._Element]:
    return [group for group in root.iter(f"{SVG}g") if kind_of(group) == "system"]
