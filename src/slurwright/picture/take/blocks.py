"""Blocks of a page about a take: heading, paragraphs, lists; each a stack of shapes with its height."""

import re
from collections.abc import Sequence
from dataclasses import dataclass

from slurwright.picture.metrics import text_width
from slurwright.picture.shapes import Segment, Shape, Stroke, Text

__all__ = ["Block", "heading_block", "words_block", "wrapped"]

_TITLE, _SUBTITLE, _HEADING, _WORDS = 5.6, 2.9, 3.4, 2.7
_LEADING = 1.42
_RULE = Stroke(0.3)
_SIGN_MM = 3.2
_SPACES = re.compile("[ \t\n]+")


@dataclass(frozen=True, slots=True)
class Block:
    """Shapes from its own upper left corner on, and how high they stand [mm]."""

    shapes: tuple[Shape, ...]
    height_mm: float
    keep_with_next: bool = False
    """True for what must not stand alone at the foot of a page."""


def wrapped(words: str, size: float, width_mm: float, *, bold: bool = False) -> tuple[str, ...]:
    """Break words into lines; a no-break space holds words together.

    Args:
        words: what is to be broken.
        size: of the type [mm].
        width_mm: of the lines [mm].
        bold: whether the type is bold.
    """
    lines: list[str] = []
    for word in filter(None, _SPACES.split(words)):
        longer = f"{lines[-1]} {word}" if lines else word
        if lines and text_width(longer, size, bold=bold) <= width_mm:
            lines[-1] = longer
        else:
            lines.append(word)
    return tuple(lines)


def heading_block(title: str, subtitle: str, width_mm: float) -> Block:
    """Head the first page: title, a line about horn and day, a rule.

    Args:
        title: what was played.
        subtitle: horn, reading, day, tuning.
        width_mm: of the page between its margins [mm].
    """
    shapes: list[Shape] = []
    y = 0.0
    for line in wrapped(title, _TITLE, width_mm, bold=True):
        y += _TITLE * 1.15
        shapes.append(Text(0.0, y, line, size=_TITLE, bold=True))
    for line in wrapped(subtitle, _SUBTITLE, width_mm):
        y += _SUBTITLE * _LEADING + 0.4
        shapes.append(Text(0.0, y, line, size=_SUBTITLE))
    y += 2.2
    shapes.append(Segment(0.0, y, width_mm, y, _RULE))
    return Block(tuple(shapes), y + 1.5, keep_with_next=True)


def words_block(
    sentences: Sequence[str], width_mm: float, *, heading: str = "", sign: str = "", bold_first: bool = False
) -> Block:
    """Set sentences under a heading, each on lines of its own.

    Args:
        sentences: what is said.
        width_mm: of the page between its margins [mm].
        heading: over them; empty for none.
        sign: before each of them; empty for none.
        bold_first: True sets the first sentence bold.
    """
    shapes: list[Shape] = []
    y = 0.0
    if heading:
        y += _HEADING * 1.6
        shapes.append(Text(0.0, y, heading, size=_HEADING, bold=True))
        y += 0.8
    left = _SIGN_MM if sign else 0.0
    for place, sentence in enumerate(sentences):
        bold = bold_first and place == 0
        for number, line in enumerate(wrapped(sentence, _WORDS, width_mm - left, bold=bold)):
            y += _WORDS * _LEADING
            if sign and number == 0:
                shapes.append(Text(0.4, y, sign, size=_WORDS))
            shapes.append(Text(left, y, line, size=_WORDS, bold=bold))
        y += 0.5
    return Block(tuple(shapes), y + 1.5)
