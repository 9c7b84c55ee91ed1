"""Small verbs to build MEI elements; attributes that are empty are left out."""

from xml.etree.ElementTree import Element, SubElement

from slurwright.formats.pages.text import printable

__all__ = ["Element", "child", "note_id", "rest_id", "write"]


def child(parent: Element, tag: str, attributes: dict[str, str] | None = None, text: str = "") -> Element:
    """Append an element to another and hand it back."""
    made = SubElement(parent, tag, {key: value for key, value in (attributes or {}).items() if value})
    if text:
        made.text = text
    return made


def write(parent: Element, text: str, attributes: dict[str, str] | None = None) -> Element:
    """Append text in a style of its own."""
    return child(parent, "rend", attributes, printable(text))


def note_id(index: int) -> str:
    """Name the drawing of a note: the same name on every run, so that others can point at it.

    Args:
        index: place in ``Part.notes`` [1].

    """
    return f"n{index}"


def rest_id(index: int) -> str:
    """Name the drawing of a rest.

    Args:
        index: place in ``Part.rests`` [1].

    """
    return f"r{index}"
