"""Small words for walking MEI: local names, attributes as numbers, references, editorial choices.

Element and attribute names follow the MEI Guidelines, versions 3 to 5 (published: music-encoding.org).
"""

import re
from collections.abc import Iterator
from fractions import Fraction

from slurwright.formats.xmlsafe import Element

__all__ = ["XML_ID", "children", "descendants", "ident", "local", "numbers", "reference", "text_of", "tstamp"]

XML_ID = "{http://www.w3.org/XML/1998/namespace}id"

_TRANSPARENT = frozenset(
    {"supplied", "unclear", "add", "restore", "corr", "sic", "orig", "reg", "lem", "rdg", "subst"}
)
_CHOICES = {"choice": ("corr", "reg", "sic", "orig"), "app": ("lem", "rdg")}
_HIDDEN = frozenset({"del", "annot"})
_DECIMAL = re.compile(r"\d{1,6}(?:\.\d{1,6})?")


def local(element: Element) -> str:
    """Say an element's name without its namespace; empty for comments."""
    tag = element.tag
    return tag.rpartition("}")[2] if isinstance(tag, str) else ""


def ident(element: Element) -> str:
    """Say an element's xml:id; may be empty."""
    return element.get(XML_ID, "")


def children(element: Element) -> Iterator[Element]:
    """Give the children that count: one reading of each editorial choice, wrappers opened."""
    for child in element:
        name = local(child)
        if name in _HIDDEN or not name:
            continue
        if name in _CHOICES:
            chosen = next(
                (reading for wanted in _CHOICES[name] for reading in child if local(reading) == wanted), None
            )
            if chosen is not None:
                yield from children(chosen)
        elif name in _TRANSPARENT:
            yield from children(child)
        else:
            yield child


def descendants(element: Element, *names: str) -> Iterator[Element]:
    """Give all descendants of these names, in document order, along the same readings."""
    for child in children(element):
        if local(child) in names:
            yield child
        yield from descendants(child, *names)


def text_of(element: Element) -> str:
    """Gather an element's text, white space made single."""
    return " ".join("".join(str(piece) for piece in element.itertext()).split())


def reference(value: str | None) -> str:
    """Say which id a pointer such as "#n1" means; empty if it points to none here."""
    return value[1:] if value and value.startswith("#") else ""


def numbers(value: str | None) -> frozenset[str]:
    """Split a list of staff or layer numbers."""
    return frozenset((value or "").split())


def tstamp(value: str | None) -> tuple[int, Fraction] | None:
    """Read a place such as "2.5" or "1m+3": measures ahead, and the beat counted from 1; None if it is none."""
    if not value:
        return None
    ahead, plus, beat = value.strip().rpartition("m+")
    if not _DECIMAL.fullmatch(beat) or (plus and not (ahead.isdecimal() and len(ahead) < 5)):
        return None
    return int(ahead) if plus else 0, Fraction(beat)
