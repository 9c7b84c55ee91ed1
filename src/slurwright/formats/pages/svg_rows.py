"""Keeping the fingering row the lowest line of its system, under dynamics and hairpins.

The engraver puts a hairpin that goes on from the system before under the row, or across it. Here the two change
places: the signs move up to where the row was, and the row moves down past them.
"""

from lxml import etree

from slurwright.formats.pages.svg_bounds import columns_of, rows_of, shift_down
from slurwright.formats.pages.svg_text import SVG

__all__ = ["drop_stubs", "settle_row"]

_AIR = 60.0
"""Between the row and the signs over it [units: hundredths of a millimetre]. Derived."""
_SHORTEST_HAIRPIN = 500.0
"""What is shorter than a notehead and a half is no hairpin [units: hundredths of a millimetre]. Derived."""
_SIGNS = frozenset({"dynam", "hairpin", "dir"})


def drop_stubs(system: etree._Element) -> None:
    """Take out what is left of a hairpin that ends where the system begins: a stub that says nothing."""
    for group in [group for group in system.iter(f"{SVG}g") if (group.get("class") or "").startswith("hairpin ")]:
        spans = [columns_of(line) for line in group.iter(f"{SVG}polyline")]
        parent = group.getparent()
        if spans and parent is not None and max(right - left for left, right in spans) < _SHORTEST_HAIRPIN:
            parent.remove(group)


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
