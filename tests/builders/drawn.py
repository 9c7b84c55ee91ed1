"""What an engraved page shows, measured from outside: places of its labels, and ink that lies on other ink."""

import re
from collections.abc import Iterator
from dataclasses import dataclass
from io import BytesIO

import numpy as np
import resvg_py
from lxml import etree
from numpy.typing import NDArray
from PIL import Image

from slurwright.devices.engraver_fonts import EngraverFonts, text_font_folder
from slurwright.formats.pages.svg_bounds import box_of

SVG = "{http://www.w3.org/2000/svg}"
_WIDTH = 1240
"""Pixels across a page: about 150 dots an inch."""


@dataclass(frozen=True, slots=True)
class DrawnLabel:
    """A label of the fingering row as it stands on the page, in the page's units."""

    system: int
    name: str
    text: str
    left: float
    right: float
    baseline: float
    changed: bool


def drawn_labels(pages: tuple[str, ...]) -> list[DrawnLabel]:
    """Find every label of the row, system by system."""
    found: list[DrawnLabel] = []
    fonts = EngraverFonts()
    number = 0
    for page in pages:
        for system in _groups(etree.fromstring(page.encode()), "system"):
            number += 1
            for group in _groups(system, "harm"):
                box = box_of(group, fonts)
                assert box is not None, group.get("id")
                text = next(iter(group.iter(f"{SVG}text")))
                words = "".join(str(part) for part in text.itertext()).replace("\u00a0", " ").strip()
                baseline = float(text.get("y", "0")) + _shift(group)
                changed = "changed" in (group.get("class") or "")
                name = group.get("id", "")
                found.append(DrawnLabel(number, name, words, box.left, box.right, baseline, changed))
    return found


def signs_under_row(pages: tuple[str, ...]) -> list[str]:
    """Find dynamics and hairpins that reach lower than the row of their system."""
    fonts = EngraverFonts()
    found: list[str] = []
    for page in pages:
        for system in _groups(etree.fromstring(page.encode()), "system"):
            row = [box_of(group, fonts) for group in _groups(system, "harm")]
            tops = [box.top for box in row if box is not None]
            for kind in ("dynam", "hairpin"):
                for group in _groups(system, kind):
                    box = box_of(group, fonts)
                    if box is not None and tops and box.bottom > min(tops):
                        found.append(f"{kind} {group.get('id') or group.get('class')}")
    return found


def ink_on_labels(page: str) -> int:
    """Count the pixels on which both a label of the row and something else is drawn."""
    labels, rest = etree.fromstring(page.encode()), etree.fromstring(page.encode())
    for group in list(_groups(rest, "harm")):
        _remove(group)
    for shape in list(
        labels.iter(
            *(f"{SVG}{tag}" for tag in ("path", "use", "polyline", "polygon", "rect", "ellipse", "circle", "text"))
        )
    ):
        if not any(_is(group, "harm") or group.tag == f"{SVG}defs" for group in shape.iterancestors()):
            _remove(shape)
    return int(np.count_nonzero(_ink(labels) & _ink(rest)))


def _ink(root: etree._Element) -> NDArray[np.bool_]:
    """Draw a page black on white and say which pixels are dark."""
    png = bytes(
        resvg_py.svg_to_bytes(
            svg_string=etree.tostring(root, encoding="unicode"),
            width=_WIDTH,
            dpi=96.0,
            background="white",
            skip_system_fonts=True,
            font_dirs=[str(text_font_folder())],
            serif_family="Liberation Serif",
        )
    )
    return np.asarray(Image.open(BytesIO(png)).convert("L")) < 128


def _groups(root: etree._Element, kind: str) -> Iterator[etree._Element]:
    return (group for group in root.iter(f"{SVG}g") if _is(group, kind))


def _is(group: etree._Element, kind: str) -> bool:
    return (group.get("class") or "").split(" ")[0] == kind


def _remove(element: etree._Element) -> None:
    parent = element.getparent()
    assert parent is not None
    parent.remove(element)


def _shift(group: etree._Element) -> float:
    moved = re.search(r"translate\(-?[\d.]+,\s*(-?[\d.]+)\)", group.get("transform", ""))
    return float(moved.group(1)) if moved else 0.0
