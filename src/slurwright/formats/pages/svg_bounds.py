"""How high the drawn things of a page reach, read from their shapes; close enough to keep lines apart."""

import re

from lxml import etree

from slurwright.formats.pages.svg_text import SVG, text_runs

__all__ = ["columns_of", "place_of_use", "rows_of", "shift_down", "system_right"]

_NUMBER = re.compile(r"-?\d+(?:\.\d+)?")
_TRANSLATE = re.compile(r"translate\((-?[\d.]+),\s*(-?[\d.]+)\)")
_SIGN_ABOVE, _SIGN_BELOW = 0.45, 0.25
"""How far a sign of the music font (a dynamic) reaches over and under its line [font sizes]. Derived."""
_LETTERS_ABOVE, _LETTERS_BELOW = 0.7, 0.22
"""The same for letters [font sizes]. Derived."""


def rows_of(element: etree._Element) -> tuple[float, float]:
    """Say between which heights the shapes under an element lie.

    Returns:
        Top and bottom, y downwards; the top lies under the bottom where nothing is drawn [units].

    """
    tops: list[float] = []
    bottoms: list[float] = []
    for shape in element.iter(f"{SVG}polyline", f"{SVG}path", f"{SVG}use", f"{SVG}text", f"{SVG}rect"):
        for top, bottom in _shape_rows(shape):
            tops.append(top)
            bottoms.append(bottom)
    return min(tops, default=1.0), max(bottoms, default=0.0)


def _shape_rows(shape: etree._Element) -> list[tuple[float, float]]:
    if shape.tag == f"{SVG}text":
        lines = [(run.start[1], run.size) for run in text_runs(shape) if run.start is not None]
        return [(y - _LETTERS_ABOVE * size, y + _LETTERS_BELOW * size) for y, size in lines]
    if shape.tag == f"{SVG}use":
        _, y, size = place_of_use(shape)
        return [(y - _SIGN_ABOVE * size, y + _SIGN_BELOW * size)]
    if shape.tag == f"{SVG}rect":
        y = float(shape.get("y", "0"))
        return [(y, y + float(shape.get("height", "0")))]
    if shape.tag == f"{SVG}path" and shape.get("transform"):
        return []
    heights = [float(number) for number in _NUMBER.findall(shape.get("points") or shape.get("d") or "")[1::2]]
    return [(min(heights), max(heights))] if heights else []


def columns_of(line: etree._Element) -> tuple[float, float]:
    """Say from where to where a line reaches.

    Returns:
        Left and right end [units].

    """
    across = [float(number) for number in _NUMBER.findall(line.get("points") or line.get("d") or "")[0::2]]
    return min(across, default=0.0), max(across, default=0.0)


def place_of_use(use: etree._Element) -> tuple[float, float, float]:
    """Say where a sign stands and how large it is set.

    Returns:
        x, y and font size [units].

    """
    transform = use.get("transform", "")
    at = _TRANSLATE.search(transform)
    scale = re.search(r"scale\(([\d.]+)", transform)
    size = 1000 * float(scale.group(1)) if scale else 0.0
    return (float(at.group(1)), float(at.group(2)), size) if at else (0.0, 0.0, size)


def shift_down(element: etree._Element, by: float) -> None:
    """Move everything under an element down the page.

    Args:
        element: what is to be moved.
        by: how far; below 0 moves it up [units].

    """
    element.set("transform", f"translate(0, {by:.0f})")


def system_right(system: etree._Element) -> float:
    """Find where the staff of a system ends.

    Returns:
        Largest x of its lines [units].

    """
    rights = [
        float(numbers[2])
        for staff in system.iter(f"{SVG}g")
        if staff.get("class") == "staff"
        for line in staff.iterchildren(f"{SVG}path")
        if len(numbers := _NUMBER.findall(line.get("d") or "")) == 4
    ]
    return max(rights, default=0.0)
