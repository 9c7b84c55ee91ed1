"""Pitch names with real accidentals, drawn so that no type needs to hold ♭ and ♯ (many do not)."""

import re

from slurwright.picture.metrics import text_width
from slurwright.picture.shapes import Anchor, Polyline, Segment, Shape, Stroke, Text

__all__ = ["draw_pitch"]

_NAME = re.compile(r"([A-G])([♭♯]*)(.*)")
_SIGN_WIDTH = 0.6
_SIDE = 0.12
# Room of an accidental and the air before its stem: enough that a small print does not run it into letter or figure.
# Outline of a flat's bowl, from the stem round and back, in shares of the type's size (ours, by eye).
_BOWL = ((0, -0.32), (0.1, -0.42), (0.22, -0.43), (0.29, -0.34), (0.27, -0.22), (0.17, -0.1), (0, 0.02))


def draw_pitch(name: str, x: float, y: float, *, size: float, anchor: Anchor = Anchor.START) -> tuple[Shape, ...]:
    """Draw a pitch name, such as B♭3, on a base line.

    Args:
        name: letter, accidentals, octave.
        x: of the anchor [mm].
        y: of the base line [mm].
        size: of the type [mm].
        anchor: which point of the name x is.

    """
    match = _NAME.fullmatch(name)
    if match is None or not match[2]:
        return (Text(x, y, name, size=size, anchor=anchor),)
    letter, signs, octave = match.groups()
    widths = (0.72 * size, _SIGN_WIDTH * size * len(signs), text_width(octave, size))
    left = x - {Anchor.START: 0.0, Anchor.MIDDLE: 0.5, Anchor.END: 1.0}[anchor] * sum(widths)
    shapes: list[Shape] = [Text(left + widths[0], y, letter, size=size, anchor=Anchor.END)]
    for place, sign in enumerate(signs):
        at = left + widths[0] + (_SIGN_WIDTH * place + _SIDE) * size
        shapes += _flat(at, y, size) if sign == "♭" else _sharp(at, y, size)
    shapes.append(Text(left + widths[0] + widths[1], y, octave, size=size))
    return tuple(shapes)


def _flat(x: float, y: float, size: float) -> list[Shape]:
    stroke = Stroke(0.08 * size)
    bowl = tuple((x + dx * size, y + dy * size) for dx, dy in _BOWL)
    return [Segment(x, y - 0.84 * size, x, y + 0.02 * size, stroke), Polyline(bowl, stroke)]


def _sharp(x: float, y: float, size: float) -> list[Shape]:
    thin, thick = Stroke(0.05 * size), Stroke(0.08 * size)
    stems = [
        Segment(x + dx * size, y - (0.72 + up) * size, x + dx * size, y + (0.08 - up) * size, thin)
        for dx, up in ((0.09, 0.0), (0.22, 0.06))
    ]
    bars = [
        Segment(x - 0.01 * size, y + dy * size, x + 0.32 * size, y + (dy - 0.09) * size, thick)
        for dy in (-0.16, -0.42)
    ]
    return [*stems, *bars]
