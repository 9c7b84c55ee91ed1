"""Where the drawn things of a page lie, read from their shapes; close enough to keep them apart."""

import re
from collections.abc import Iterator
from dataclasses import dataclass

from lxml import etree

from slurwright.formats.pages.music_font import MusicFont
from slurwright.formats.pages.svg_text import SVG, text_runs, text_span

__all__ = ["Box", "box_of", "curve_arcs", "kind_of", "move_of", "place_of_use", "shift_down", "staff_of_system"]

_NUMBER = re.compile(r"-?\d+(?:\.\d+)?")
_TRANSLATE = re.compile(r"translate\((-?[\d.]+),\s*(-?[\d.]+)\)")
_SCALE = re.compile(r"scale\(([\d.]+)")
_CODE = re.compile(r"#([0-9A-F]{4,5})\b")
_SIGN_ABOVE, _SIGN_BELOW = 0.45, 0.25
"""How far a sign of the music font (a dynamic) reaches over and under its line [font sizes]. Derived."""
_LETTERS_ABOVE, _LETTERS_BELOW = 0.7, 0.22
"""The same for letters [font sizes]. Derived."""
_SAMPLES = 16
"""Points that stand for one arc of a slur [1]."""
_SHAPES = frozenset(f"{SVG}{name}" for name in ("polyline", "polygon", "path", "use", "text", "rect"))


@dataclass(frozen=True, slots=True)
class Box:
    """An upright box around something drawn, y downwards, in the units of the page."""

    left: float
    top: float
    right: float
    bottom: float

    def beside(self, other: "Box", gap: float) -> bool:
        """Say whether two boxes stand on one level, one after the other.

        Args:
            other: the second box.
            gap: largest distance between them [units].

        """
        level = self.top < other.bottom and other.top < self.bottom
        return level and self.left - gap < other.right and other.left - gap < self.right


def kind_of(group: etree._Element) -> str:
    """Say what a group of the drawing is: the first word of its class."""
    return (group.get("class") or "").split(" ")[0]


def box_of(element: etree._Element, font: MusicFont) -> Box | None:
    """Find the box around all that is drawn under an element; None where nothing is."""
    boxes = list(_boxes_under(element, font, 0.0))
    if not boxes:
        return None
    return Box(
        min(box.left for box in boxes),
        min(box.top for box in boxes),
        max(box.right for box in boxes),
        max(box.bottom for box in boxes),
    )


def _boxes_under(element: etree._Element, font: MusicFont, moved: float) -> Iterator[Box]:
    """Yield the boxes of the shapes under an element, moves of groups on the way counted."""
    if element.tag in _SHAPES:
        for box in _shape_boxes(element, font):
            yield Box(box.left, box.top + moved, box.right, box.bottom + moved)
        return
    moved += move_of(element)
    for inner in element:
        yield from _boxes_under(inner, font, moved)


def _shape_boxes(shape: etree._Element, font: MusicFont) -> Iterator[Box]:
    if shape.tag == f"{SVG}text":
        left, right = text_span(shape, font)
        for run in text_runs(shape):
            if run.start is not None:
                y = run.start[1]
                yield Box(left, y - _LETTERS_ABOVE * run.size, right, y + _LETTERS_BELOW * run.size)
    elif shape.tag == f"{SVG}use":
        x, y, size = place_of_use(shape)
        code = _CODE.search(shape.get("{http://www.w3.org/1999/xlink}href") or shape.get("href") or "")
        width = font.sign_advance(int(code.group(1), 16)) * size if code else 0.0
        yield Box(x, y - _SIGN_ABOVE * size, x + width, y + _SIGN_BELOW * size)
    elif shape.tag == f"{SVG}rect":
        x, y = float(shape.get("x", "0")), float(shape.get("y", "0"))
        yield Box(x, y, x + float(shape.get("width", "0")), y + float(shape.get("height", "0")))
    elif not shape.get("transform"):
        numbers = [float(number) for number in _NUMBER.findall(shape.get("points") or shape.get("d") or "")]
        if len(numbers) >= 2:
            across, down = numbers[0::2], numbers[1::2]
            yield Box(min(across), min(down), max(across), max(down))


def curve_arcs(slur: etree._Element) -> tuple[tuple[tuple[float, float], ...], ...]:
    """Follow the arcs of a slur or tie: points along each of its edges."""
    arcs: list[tuple[tuple[float, float], ...]] = []
    for path in slur.iter(f"{SVG}path"):
        numbers = [float(number) for number in _NUMBER.findall(path.get("d") or "")]
        corners = list(zip(numbers[0::2], numbers[1::2], strict=False))
        arcs += [tuple(_arc(corners[start : start + 4])) for start in range(0, len(corners) - 3, 3)]
    return tuple(arcs)


def _arc(corners: list[tuple[float, float]]) -> Iterator[tuple[float, float]]:
    """Walk along a cubic Bézier arc."""
    for step in range(_SAMPLES + 1):
        t = step / _SAMPLES
        weights = ((1 - t) ** 3, 3 * t * (1 - t) ** 2, 3 * t * t * (1 - t), t**3)
        yield (
            sum(weight * corner[0] for weight, corner in zip(weights, corners, strict=True)),
            sum(weight * corner[1] for weight, corner in zip(weights, corners, strict=True)),
        )


def place_of_use(use: etree._Element) -> tuple[float, float, float]:
    """Say where a sign stands and how large it is set.

    Returns:
        x, y and font size [units].

    """
    transform = use.get("transform", "")
    at, scale = _TRANSLATE.search(transform), _SCALE.search(transform)
    size = 1000 * float(scale.group(1)) if scale else 0.0
    return (float(at.group(1)), float(at.group(2)), size) if at else (0.0, 0.0, size)


def move_of(element: etree._Element) -> float:
    """Say how far a group is moved down against what is drawn in it.

    Returns:
        The move [units].

    """
    at = _TRANSLATE.search(element.get("transform", ""))
    return float(at.group(2)) if at else 0.0


def shift_down(element: etree._Element, by: float) -> None:
    """Move everything under an element down the page, on top of earlier moves.

    Args:
        element: what is to be moved.
        by: how far; below 0 moves it up [units].

    """
    element.set("transform", f"translate(0, {move_of(element) + by:.0f})")


def staff_of_system(system: etree._Element) -> Box | None:
    """Find the box of a system's staff lines; None for a system without a staff."""
    lines = [
        [float(number) for number in numbers]
        for staff in system.iter(f"{SVG}g")
        if kind_of(staff) == "staff"
        for line in staff.iterchildren(f"{SVG}path")
        if len(numbers := _NUMBER.findall(line.get("d") or "")) == 4
    ]
    if not lines:
        return None
    return Box(
        min(line[0] for line in lines),
        min(line[1] for line in lines),
        max(line[2] for line in lines),
        max(line[3] for line in lines),
    )
