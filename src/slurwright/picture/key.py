"""The key under the first row: every sign of a ladder, drawn and said."""

from collections.abc import Sequence

from slurwright.picture.metrics import text_width
from slurwright.picture.path import RING_MM, Step, draw_step
from slurwright.picture.scenery import TIE_CENTS
from slurwright.picture.shapes import Circle, Rect, Segment, Shape, Stroke, Text, moved
from slurwright.picture.stage import CENTS_PER_MM

__all__ = ["KEY_MM", "draw_key"]

KEY_MM = 15.0
_SIZE = 2.2
_ROW_MM = 4.4
_LINE_MM = 8.0
_THIN = Stroke(0.3)


def draw_key(*, top: float, slide: bool) -> tuple[Shape, ...]:
    """Draw the key from a height downwards.

    Args:
        top: where it begins [mm].
        slide: True for a slide, whose held partials smear.

    """
    y = top + 2.5
    other = "position" if slide else "fingering"
    weak = "S1 24 %: weak slur 1, chance that it breaks"
    signs: tuple[tuple[Sequence[Shape], float, str], ...] = (
        ((Circle(0.8, 0, 0.8, fill=1.0),), 1.6, "normal"),
        ((Circle(0.8, 0, 0.8, stroke=_THIN),), 1.6, "alternate"),
        ((Circle(1.45, 0, RING_MM, stroke=_THIN), Circle(1.45, 0, 0.8, fill=1.0)), 2.9, "chosen"),
        (_line(slurred=True), _LINE_MM, "slurred"),
        (_line(), _LINE_MM, "tongued"),
        (_line(slurred=True, weak=True), _LINE_MM, weak),
    )
    shapes = _line_of_signs(signs, y)
    below: list[tuple[Sequence[Shape], float, str]] = [
        (_line(slurred=True, helps=True), _LINE_MM, f"2 %: a {other} that helps, chance that it then breaks"),
        ((), 0.0, "498 c: cents that the lips cross without help from the horn"),
    ]
    if slide:
        below.insert(0, (_line(slurred=True, weak=True, smears=True), _LINE_MM, "smears"))
    shapes += _line_of_signs(below, y + _ROW_MM)
    half = TIE_CENTS / CENTS_PER_MM
    band: tuple[Shape, ...] = (Rect(0, -half, 6, 2 * half, fill=0.08), Segment(0, 0, 6, 0, _THIN))
    height = (
        f"above its rung sharp, below it flat, 1 mm is {CENTS_PER_MM:.0f} cents; grey: within {TIE_CENTS:.0f} cents"
    )
    shapes += _line_of_signs(((band, 6.0, height),), y + 2 * _ROW_MM)
    return tuple(shapes)


def _line(
    *, slurred: bool = False, weak: bool = False, helps: bool = False, smears: bool = False
) -> tuple[Shape, ...]:
    ends = (-RING_MM, 0.0), (_LINE_MM + RING_MM, 0.0)
    return draw_step(Step(*ends, slurred=slurred, weak=weak, helps=helps, smears=smears))


def _line_of_signs(signs: Sequence[tuple[Sequence[Shape], float, str]], y: float) -> list[Shape]:
    """Set signs and their words from left to right."""
    shapes: list[Shape] = []
    x = 2.0
    for drawing, width, words in signs:
        shapes += [moved(shape, x, y) for shape in drawing]
        x += width + (1.2 if width else 0.0)
        shapes.append(Text(x, y + 0.8, words, size=_SIZE))
        x += text_width(words, _SIZE) + 2.6
    return shapes
