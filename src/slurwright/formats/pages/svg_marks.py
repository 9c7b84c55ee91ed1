"""Marks of weak slurs: the box with number and risk gets a foot that reaches from the first note to the second."""

from collections.abc import Iterable

from lxml import etree

from slurwright.formats.pages.element import note_id
from slurwright.formats.pages.request import WeakSlurMark
from slurwright.formats.pages.row import mark_id
from slurwright.formats.pages.svg_bounds import place_of_use, staff_of_system
from slurwright.formats.pages.svg_text import SVG

__all__ = ["draw_feet"]

_HEAD_HALF = 0.2
"""Half of a notehead's width [font sizes]. Derived."""
_TICK = 120.0
_UNDER_LETTERS = 110.0
_AIR = 50.0
_STROKE = 30
"""Length of the ticks at both ends, what the box keeps under its letters, air under the ticks and thickness of
the foot [units: hundredths of a millimetre]. Derived."""


def draw_feet(system: etree._Element, marks: Iterable[WeakSlurMark]) -> None:
    """Draw the feet of the marks whose boxes stand in a system; open at the right if the slur goes on elsewhere."""
    staff = staff_of_system(system)
    groups = {group.get("id"): group for group in system.iter(f"{SVG}g") if group.get("id")}
    for mark in marks:
        box = groups.get(mark_id(mark.number))
        first = groups.get(note_id(mark.first_note))
        frame = None if box is None else box.find(f"{SVG}rect")
        if box is None or frame is None or first is None or staff is None:
            continue
        y = _close_box(box, frame)
        left = _head_centre(first)
        last = groups.get(note_id(mark.last_note))
        right = staff.right if last is None else _head_centre(last)
        line = f"M{left:.0f} {y + _TICK:.0f} L{left:.0f} {y:.0f} L{right:.0f} {y:.0f}"
        if last is not None:
            line += f" L{right:.0f} {y + _TICK:.0f}"
        foot = etree.SubElement(box, f"{SVG}path", d=line)
        foot.set("class", "foot")
        foot.set("fill", "none")
        foot.set("stroke", "currentColor")
        foot.set("stroke-width", str(_STROKE))


def _close_box(box: etree._Element, frame: etree._Element) -> float:
    """Take the empty second line out of a box, close it under the first and set it down onto its foot's room.

    Returns:
        Height of the box's lower edge, y downwards [units].

    """
    text = box.find(f"{SVG}text")
    top = float(frame.get("y", "0"))
    if text is None:
        return top + float(frame.get("height", "0"))
    baseline = float(text.get("y", "0"))
    height = baseline + _UNDER_LETTERS - top
    drop = max(0.0, float(frame.get("height", "0")) - height - _TICK - _AIR)
    for rest in [empty for empty in text.iter(f"{SVG}tspan") if empty.get("class") == "lb"]:
        line = rest.getparent()
        if line is not None:
            for after in [rest, *rest.itersiblings()]:
                line.remove(after)
    text.set("y", f"{baseline + drop:.0f}")
    frame.set("y", f"{top + drop:.0f}")
    frame.set("height", f"{height:.0f}")
    return top + drop + height


def _head_centre(note: etree._Element) -> float:
    for head in note.iter(f"{SVG}g"):
        if head.get("class") == "notehead":
            for use in head.iter(f"{SVG}use"):
                x, _, size = place_of_use(use)
                return x + _HEAD_HALF * size
    return 0.0
