"""The key under the first row: every sign of a ladder, drawn and said."""

from collections.abc import Collection, Sequence

from slurwright.picture.metrics import text_width
from slurwright.picture.path import RING_MM, Step, draw_step
from slurwright.picture.scene import BARS
from slurwright.picture.scenery import TIE_CENTS
from slurwright.picture.shapes import Circle, Rect, Segment, Shape, Stroke, Text, moved
from slurwright.picture.stage import CENTS_PER_MM
from slurwright.plan import Technique

__all__ = ["KEY_MM", "draw_key"]

KEY_MM = 15.0
_SIZE = 2.2
_ROW_MM = 4.4
_LINE_MM = 8.0
_THIN = Stroke(0.3)
_Sign = tuple[Sequence[Shape], float, str]
"""Shapes, their width [mm] and what they mean."""


def draw_key(*, top: float, slide: bool, techniques: Collection[Technique] = ()) -> tuple[Shape, ...]:
    """Draw the key from a height downwards.

    Args:
        top: where it begins [mm].
        slide: True for a slide, whose held partials smear.
        techniques: those that are drawn.

    """
    y = top + 2.5
    shapes: list[Shape] = []
    for row, signs in enumerate((_marks(), _steps(slide=slide), _heights(techniques))):
        shapes += _line_of_signs(signs, y + row * _ROW_MM)
    return tuple(shapes)


def _marks() -> list[_Sign]:
    return [
        ((Circle(0.8, 0, 0.8, fill=1.0),), 1.6, "normal"),
        ((Circle(0.8, 0, 0.8, stroke=_THIN),), 1.6, "alternate"),
        ((Circle(1.45, 0, RING_MM, stroke=_THIN), Circle(1.45, 0, 0.8, fill=1.0)), 2.9, "chosen"),
        (_line(slurred=True), _LINE_MM, "slurred"),
        (_line(), _LINE_MM, "tongued"),
        (_line(slurred=True, weak=True), _LINE_MM, "S1, %: weak slur 1, chance that it breaks"),
    ]


def _steps(*, slide: bool) -> list[_Sign]:
    smears: list[_Sign] = [(_line(slurred=True, weak=True, smears=True), _LINE_MM, "smears")] if slide else []
    other = "position" if slide else "fingering"
    return [
        *smears,
        (_line(slurred=True, helps=True), _LINE_MM, f"%: a {other} that helps, chance that it then breaks"),
        ((), 0.0, "c: cents that the lips cross without help from the horn"),
    ]


def _heights(techniques: Collection[Technique]) -> list[_Sign]:
    half = TIE_CENTS / CENTS_PER_MM
    band: tuple[Shape, ...] = (Rect(0, -half, 6, 2 * half, fill=0.08), Segment(0, 0, 6, 0, _THIN))
    scale = f"1 mm is {CENTS_PER_MM:.0f} cents; grey: within {TIE_CENTS:.0f} cents"
    strokes: list[_Sign] = [
        (_line(slurred=True, bars=BARS[technique]), _LINE_MM, technique.value.replace("-", " "))
        for technique in sorted(techniques)
    ]
    return [(band, 6.0, f"above its rung sharp, below it flat, {scale}"), *strokes]


def _line(
    *, slurred: bool = False, weak: bool = False, helps: bool = False, smears: bool = False, bars: int = 0
) -> tuple[Shape, ...]:
    ends = (-RING_MM, 0.0), (_LINE_MM + RING_MM, 0.0)
    return draw_step(Step(*ends, slurred=slurred, weak=weak, helps=helps, smears=smears, bars=bars))


def _line_of_signs(signs: Sequence[_Sign], y: float) -> list[Shape]:
    """Set signs and their words from left to right."""
    shapes: list[Shape] = []
    x = 2.0
    for drawing, width, words in signs:
        shapes += [moved(shape, x, y) for shape in drawing]
        x += width + (1.2 if width else 0.0)
        shapes.append(Text(x, y + 0.8, words, size=_SIZE))
        x += text_width(words, _SIZE) + 2.6
    return shapes
