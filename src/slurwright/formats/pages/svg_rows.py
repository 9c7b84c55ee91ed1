"""Keeping the fingering row the lowest line of its system, under dynamics and hairpins.

The engraver puts a hairpin that goes on from the system before under the row, or across it. Here the two change
places: the signs move up to where the row was, and the row moves down past them.
"""

from lxml import etree

from slurwright.formats.pages.svg_bounds import rows_of, shift_down
from slurwright.formats.pages.svg_text import SVG

__all__ = ["settle_row"]

_AIR = 60.0
"""Between the row and the signs over it [units: hundredths of a millimetre]. Derived."""
_SIGNS = frozenset({"dynam", "hairpin", "dir"})


def settle_row(system: etree._Element) -> None:
    """Bring the row of a system under every sign that it stands over or touches."""
    labels = [group for group in system.iter(f"{SVG}g") if _kind(group) == "harm"]
    if not labels:
        return
    top = min(rows_of(label)[0] for label in labels)
    low: list[tuple[etree._Element, float, float]] = []
    for group in system.iter(f"{SVG}g"):
        if _kind(group) in _SIGNS:
            over, under = rows_of(group)
            if over <= under and under > top:
                low.append((group, over, under))
    if not low:
        return
    highest, lowest = min(over for _, over, _ in low), max(under for _, _, under in low)
    lift = max(0.0, highest - top)
    for group, _, _ in low:
        if lift:
            shift_down(group, -lift)
    drop = lowest - lift + _AIR - top
    if drop > 0:
        for label in labels:
            shift_down(label, drop)


def _kind(group: etree._Element) -> str:
    return (group.get("class") or "").split(" ")[0]
