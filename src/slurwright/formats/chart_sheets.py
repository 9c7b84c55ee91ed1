"""Drawings that are whole sheets, as a document for the typesetter: one drawing a page, from edge to edge.

The document's source never changes; titles and drawings reach it as data.
"""

import json
from collections.abc import Mapping, Sequence
from enum import StrEnum
from types import MappingProxyType

__all__ = ["SHEET_SIZES_MM", "Sheet", "drawn_inputs", "drawn_source"]


class Sheet(StrEnum):
    """Sheets on which a chart may be drawn; A5 fits into the lid of a case."""

    A4 = "a4"
    A5 = "a5"
    LETTER = "letter"


SHEET_SIZES_MM: Mapping[Sheet, tuple[float, float]] = MappingProxyType(
    {Sheet.A4: (210.0, 297.0), Sheet.A5: (148.0, 210.0), Sheet.LETTER: (215.9, 279.4)}
)
"""Width and height [mm]. A4 and A5 published: ISO 216; Letter published: ANSI/ASME Y14.1 size A."""

_SOURCE = """\
#let said = json(bytes(sys.inputs.said))
#set document(title: said.title, date: none)
#set text(lang: "en")
#for (number, key) in said.drawings.enumerate(start: 1) {
  page(width: said.width * 1mm, height: said.height * 1mm, margin: 0mm, image(
    bytes(sys.inputs.at(key)), format: "svg", width: 100%, alt: said.title + ", sheet " + str(number),
  ))
}
"""


def drawn_source() -> str:
    """Give the document's source, the same for every drawing."""
    return _SOURCE


def drawn_inputs(drawings: Sequence[str], *, title: str, sheet: Sheet) -> Mapping[str, str]:
    """Give the document its inputs.

    Args:
        drawings: SVG, one a page.
        title: of the document.
        sheet: what each is drawn for.
    """
    named = {f"drawing{number}": drawing for number, drawing in enumerate(drawings, start=1)}
    width, height = SHEET_SIZES_MM[sheet]
    said = {"title": title, "width": width, "height": height, "drawings": list(named)}
    return {**named, "said": json.dumps(said, ensure_ascii=False)}
