"""Small verbs to build MusicXML elements; attributes that are empty are left out."""

import re
from collections.abc import Mapping
from fractions import Fraction
from xml.etree.ElementTree import Element, SubElement

__all__ = ["Element", "child", "dotted", "in_divisions", "number", "printable"]

_UNFIT = re.compile("[^\u0020-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")


def child(parent: Element, tag: str, text: str = "", attributes: Mapping[str, str] | None = None) -> Element:
    """Append an element to another and hand it back."""
    made = SubElement(parent, tag, {key: printable(value) for key, value in (attributes or {}).items() if value})
    made.text = printable(text) or None
    return made


def printable(text: str) -> str:
    """Say what of a text XML can hold: line ends, control characters and the like become spaces."""
    return _UNFIT.sub(" ", text)


def dotted(parent: Element, tag: str, dots: int) -> None:
    """Append so many empty elements, one a dot.

    Args:
        parent: takes them.
        tag: "dot" or "beat-unit-dot".
        dots: how many [1].

    """
    for _ in range(dots):
        SubElement(parent, tag)


def in_divisions(length_quarter: Fraction, divisions: int) -> str:
    """Count a length in divisions; it comes out whole where the divisions were chosen for it.

    Args:
        length_quarter: may be negative for an offset [quarters].
        divisions: of a quarter [1].

    """
    return str(round(length_quarter * divisions))


def number(value: float) -> str:
    """Write a number with up to four decimals and no exponent.

    Args:
        value: what is to be written [1].

    """
    return f"{value:.4f}".rstrip("0").rstrip(".")
