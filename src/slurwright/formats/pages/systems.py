"""Engraved systems one by one, each with the places of its notes, to stand among other drawings."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from lxml import etree

from slurwright.errors import EngravingError
from slurwright.formats.pages.element import note_id
from slurwright.formats.pages.music_font import MusicFont
from slurwright.formats.pages.svg_bounds import box_of, kind_of, place_of_use, staff_of_system
from slurwright.formats.pages.svg_text import SVG

__all__ = ["EngravedSystem", "systems_of"]

_UNITS_PER_MM = 100.0
_HEAD_HALF = 0.2
"""Half of a notehead's width [font sizes]. Derived."""
_XLINK = "{http://www.w3.org/1999/xlink}href"


@dataclass(frozen=True, slots=True)
class EngravedSystem:
    """One system; places are those on the page that it was drawn for, from the page's left edge [mm]."""

    markup: str
    """An SVG group in millimetres whose upper left corner is that of the system's box at the page's left edge."""
    signs: Mapping[str, str]
    """What the group makes use of: id -> SVG element."""
    heads: Mapping[int, float]
    """Index into ``Part.notes`` -> centre of the note's head."""
    bar_lines: tuple[float, ...]
    """Left edges of its bar lines, the last one included."""
    left: float
    right: float
    """Ends of the staff."""
    height_mm: float


def systems_of(pages: Sequence[str], *, notes: int, font: MusicFont) -> tuple[EngravedSystem, ...]:
    """Take cleaned pages apart into their systems.

    Args:
        pages: cleaned pages, one SVG each.
        notes: how many notes the part has [1].
        font: metrics of the engraver's fonts.

    Raises:
        EngravingError: a page is no drawing of ours.
    """
    found: list[EngravedSystem] = []
    for page in pages:
        root = etree.fromstring(
            page.encode(), etree.XMLParser(resolve_entities=False, no_network=True, huge_tree=True)
        )
        signs = {sign.get("id", ""): sign for defs in root.iter(f"{SVG}defs") for sign in defs}
        found += [_system(group, signs, notes, font) for group in root.iter(f"{SVG}g") if kind_of(group) == "system"]
    return tuple(found)


def _system(
    group: etree._Element, signs: Mapping[str, etree._Element], notes: int, font: MusicFont
) -> EngravedSystem:
    box, staff = box_of(group, font), staff_of_system(group)
    if box is None or staff is None:
        raise EngravingError("a system without a staff")
    across = sum(_across(around) for around in group.iterancestors())
    heads = {}
    named = {inner.get("id"): inner for inner in group.iter(f"{SVG}g") if inner.get("id")}
    for note in range(notes):
        drawn = named.get(note_id(note))
        centre = None if drawn is None else _head_centre(drawn)
        if centre is not None:
            heads[note] = (centre + across) / _UNITS_PER_MM
    used = {use.get(_XLINK, use.get("href", "")).removeprefix("#") for use in group.iter(f"{SVG}use")}
    scale = 1.0 / _UNITS_PER_MM
    inside = etree.tostring(group, encoding="unicode", with_tail=False)
    markup = (
        f'<g transform="scale({scale:g}) translate({across:.0f} {-box.top:.0f})" '
        f'font-family="{_family(group)}" color="currentColor">{inside}</g>'
    )
    return EngravedSystem(
        markup=markup,
        signs={
            name: etree.tostring(signs[name], encoding="unicode", with_tail=False)
            for name in sorted(used)
            if name in signs
        },
        heads=heads,
        bar_lines=tuple(sorted((x + across) / _UNITS_PER_MM for x in _bar_lines(group, font))),
        left=(staff.left + across) / _UNITS_PER_MM,
        right=(staff.right + across) / _UNITS_PER_MM,
        height_mm=(box.bottom - box.top) / _UNITS_PER_MM,
    )


def _bar_lines(group: etree._Element, font: MusicFont) -> list[float]:
    """Where the bar lines of a system stand [units]."""
    lines = [box_of(inner, font) for inner in group.iter(f"{SVG}g") if kind_of(inner) == "barLine"]
    return [box.left for box in lines if box is not None]


def _across(element: etree._Element) -> float:
    """How far a group is moved to the right [units]."""
    transform = element.get("transform", "")
    if not transform.startswith("translate("):
        return 0.0
    return float(transform.removeprefix("translate(").partition(",")[0].strip(" )"))


def _family(group: etree._Element) -> str:
    families = (around.get("font-family") for around in group.iterancestors())
    return next((family for family in families if family), "serif")


def _head_centre(note: etree._Element) -> float | None:
    for head in note.iter(f"{SVG}g"):
        if kind_of(head) == "notehead":
            for use in head.iter(f"{SVG}use"):
                x, _, size = place_of_use(use)
                return x + _HEAD_HALF * size
    return None
