"""The key at the foot of a chart: every sign, drawn and said."""

from slurwright.picture.chart_rows import draw_interval
from slurwright.picture.metrics import text_width
from slurwright.picture.shapes import Rect, Shape, Text, moved
from slurwright.plan.charted import Knowledge

__all__ = ["KEY_MM", "draw_chart_key"]

KEY_MM = 13.0
"""Height that is kept for it [mm]."""
_SIZE = 2.2
_ROW_MM = 3.6
_SAMPLE_MM = 10.0
_SAID = {
    Knowledge.MEASURED: "measured on this way",
    Knowledge.INFERRED: "inferred from measured ways that share its tube or partial",
    Knowledge.PRIOR: "prior: as any horn of this model",
}


def draw_chart_key(x: float, y: float, width_mm: float) -> list[Shape]:
    """Draw the key.

    Args:
        x: of its left side [mm].
        y: of its first line [mm].
        width_mm: room for its lines [mm].
    """
    shapes: list[Shape] = []
    at_x, at_y = x, y
    for drawing, width, words in _signs():
        wide = width + (1.2 if width else 0.0) + text_width(words, _SIZE) + 3.5
        if at_x > x and at_x + wide > x + width_mm + 3.5:
            at_x, at_y = x, at_y + _ROW_MM
        shapes += [moved(shape, at_x, at_y) for shape in drawing]
        shapes.append(Text(at_x + width + (1.2 if width else 0.0), at_y + 0.8, words, size=_SIZE))
        at_x += wide
    return shapes


def _signs() -> list[tuple[list[Shape], float, str]]:
    signs: list[tuple[list[Shape], float, str]] = []
    for knowledge, words in _SAID.items():
        drawn = draw_interval(knowledge, -15.0, 0.0, 15.0, y=0.0)
        signs.append(([moved(shape, -33.0, 0.0) for shape in drawn], _SAMPLE_MM, words))
    signs += [
        ([Rect(0.0, -1.4, 5.0, 2.8, fill=0.07)], 5.0, "within 10 cents"),
        ([], 0.0, "line: holds it in nine cases of ten"),
        ([], 0.0, "bold: normal"),
        ([], 0.0, "cents against equal temperament, A4 = 440 Hz, + sharp"),
    ]
    return signs
