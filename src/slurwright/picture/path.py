"""The chosen path: a line through the marks, with the step that the lips must cross written along it."""

import math
from dataclasses import dataclass

from slurwright.picture.metrics import CAP_HEIGHT, text_width
from slurwright.picture.placing import Area, Placer, strip
from slurwright.picture.shapes import Anchor, Polyline, Segment, Shape, Stroke, Text

__all__ = ["RING_MM", "Step", "draw_step", "draw_step_words"]

RING_MM = 1.45
"""Radius of the ring around a chosen mark [mm]."""

_SLURRED = Stroke(0.45)
_WEAK = Stroke(0.8)
_TONGUED = Stroke(0.3, dash=(0.05, 1.0), opacity=0.75)
_HELP = Stroke(0.35, dash=(1.2, 0.8))
_BAR = Stroke(0.4)
_BAR_MM = 0.95
_BAR_APART_MM = 0.9
_OFF_LINE_MM = 0.55


@dataclass(frozen=True, slots=True)
class Step:
    """One move as it is drawn, from spot to spot [mm]."""

    start: tuple[float, float]
    end: tuple[float, float]
    slurred: bool
    weak: bool = False
    helps: bool = False
    smears: bool = False
    """True for a slide that moves under a held partial."""
    gap_words: str = ""
    """The step for the lips, such as "498 c"; empty on the same rung."""
    bars: int = 0
    """Strokes across the line: 1 for a legato tongue, 2 for a half-valve."""
    stub: bool = False
    """True where the other end lies elsewhere, so that the line is too short for words along it."""
    weak_words: str = ""
    """Number and risk of a weak slur, or what the risk becomes with help."""

    def shortened(self) -> tuple[tuple[float, float], tuple[float, float]]:
        """Ends of the line between the two rings."""
        (x1, y1), (x2, y2) = self.start, self.end
        length = math.hypot(x2 - x1, y2 - y1) or 1.0
        cut = min(RING_MM, 0.4 * length) / length
        dx, dy = (x2 - x1) * cut, (y2 - y1) * cut
        return (x1 + dx, y1 + dy), (x2 - dx, y2 - dy)


def draw_step(step: Step) -> tuple[Shape, ...]:
    """Draw the line of a move: solid in a slur, heavy where it is weak, dotted where the tongue parts the notes."""
    (x1, y1), (x2, y2) = step.shortened()
    if step.weak and step.smears:
        return (Polyline(_wave((x1, y1), (x2, y2)), Stroke(0.6)),)
    stroke = _HELP if step.helps else _WEAK if step.weak else _SLURRED if step.slurred else _TONGUED
    return (Segment(x1, y1, x2, y2, stroke), *_bars(step))


def _bars(step: Step) -> tuple[Segment, ...]:
    (x1, y1), (x2, y2) = step.start, step.end
    length = math.hypot(x2 - x1, y2 - y1) or 1.0
    ux, uy = (x2 - x1) / length, (y2 - y1) / length
    shapes = []
    for place in range(step.bars):
        along = (place - (step.bars - 1) / 2) * _BAR_APART_MM
        x, y = (x1 + x2) / 2 + ux * along, (y1 + y2) / 2 + uy * along
        shapes.append(Segment(x - uy * _BAR_MM, y + ux * _BAR_MM, x + uy * _BAR_MM, y - ux * _BAR_MM, _BAR))
    return tuple(shapes)


def _wave(start: tuple[float, float], end: tuple[float, float]) -> tuple[tuple[float, float], ...]:
    """A zigzag of even teeth: the sound smears through all pitches between."""
    (x1, y1), (x2, y2) = start, end
    length = math.hypot(x2 - x1, y2 - y1) or 1.0
    ux, uy = (x2 - x1) / length, (y2 - y1) / length
    teeth = max(4, 2 * round(length / 1.4))
    points = [start]
    for i in range(1, teeth):
        side = 0.55 if i % 2 else -0.55
        along = length * i / teeth
        points.append((x1 + ux * along + uy * side, y1 + uy * along - ux * side))
    return (*points, end)


def draw_step_words(step: Step, placer: Placer) -> tuple[Shape, ...]:
    """Write a step's words along its line, each on the side where it covers less; takes their room."""
    shapes: list[Shape] = []
    for words, bold in ((step.weak_words, not step.helps), (step.gap_words, False)):
        if words:
            size = 2.3 if bold else 2.1
            half = text_width(words, size, bold=bold) / 2
            offers = [_offer(step, along, off, half=half, size=size) for along, off in _places(step, half, size)]
            index, _ = placer.best([offer.areas for offer in offers])
            placer.take(offers[index].areas)
            shapes.append(_text(offers[index], words, size=size, bold=bold))
    return tuple(shapes)


@dataclass(frozen=True, slots=True)
class _Offer:
    """A place for words: their centre, their direction, what they would cover."""

    x: float
    y: float
    ux: float
    uy: float
    areas: tuple[Area, ...]


def _places(step: Step, half: float, size: float) -> list[tuple[float, float]]:
    """Offered centres, as (distance from the line's middle along it, distance off it) [mm].

    Args:
        step: the move.
        half: half the width of the words [mm].
        size: of the type [mm].

    """
    off = _OFF_LINE_MM + (0.6 if step.bars else 0.4 if step.weak else 0.1) + CAP_HEIGHT * size / 2
    if step.stub:
        return [
            (along * half, side * row)
            for row in (off + 0.6, off + 3.0, off + 5.4)
            for along in (0.5, -0.5)
            for side in (1, -1)
        ]
    (x1, y1), (x2, y2) = step.start, step.end
    length = math.hypot(x2 - x1, y2 - y1)
    offs = (off,) if 2 * half <= length - 2 * RING_MM else (RING_MM + off - 0.2, RING_MM + off + 2.4)
    return [(share * length, side * o) for o in offs for share in (0.0, -0.09, 0.09, -0.2, 0.2) for side in (1, -1)]


def _offer(step: Step, along: float, off: float, *, half: float, size: float) -> _Offer:
    (x1, y1), (x2, y2) = step.start, step.end
    length = math.hypot(x2 - x1, y2 - y1) or 1.0
    ux, uy = (1.0, 0.0) if step.stub else ((x2 - x1) / length, (y2 - y1) / length)
    x = (x1 + x2) / 2 + ux * along + uy * off
    y = (y1 + y2) / 2 + uy * along - ux * off
    areas = strip((x - ux * half, y - uy * half), (x + ux * half, y + uy * half), half_width=0.36 * size)
    return _Offer(x, y, ux, uy, areas)


def _text(offer: _Offer, words: str, *, size: float, bold: bool) -> Text:
    drop = CAP_HEIGHT * size / 2
    return Text(
        offer.x - offer.uy * drop,
        offer.y + offer.ux * drop,
        words,
        size=size,
        anchor=Anchor.MIDDLE,
        bold=bold,
        turn_degrees=math.degrees(math.atan2(offer.uy, offer.ux)),
    )
