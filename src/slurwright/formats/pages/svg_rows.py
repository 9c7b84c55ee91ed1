"""Keeping the lines under a staff apart: slurs, then dynamics and hairpins, then the fingering row as the lowest.

The engraver lets a dynamic touch a slur that comes from another measure, and puts a hairpin that goes on from the
system before under the row, or across it. Here the signs make way for the slurs, and the row for the signs.
"""

from dataclasses import dataclass
from itertools import pairwise

from lxml import etree

from slurwright.formats.pages.music_font import MusicFont
from slurwright.formats.pages.svg_bounds import Box, box_of, curve_arcs, kind_of, shift_down, staff_of_system
from slurwright.formats.pages.svg_text import SVG

__all__ = ["settle_signs"]

_AIR = 60.0
"""Between things that are stacked under a staff [units: hundredths of a millimetre]. Derived."""
_BESIDE = 900.0
"""Signs closer than this on one level stay on one level [units: hundredths of a millimetre]. Derived."""
_SHORTEST_HAIRPIN = 500.0
"""What is shorter than a notehead and a half is no hairpin [units: hundredths of a millimetre]. Derived."""


@dataclass(frozen=True, slots=True)
class _Sign:
    """Something drawn that can be moved, and where it is now."""

    group: etree._Element
    box: Box

    def moved(self, by: float) -> "_Sign":
        """Move it down and say where it is then."""
        shift_down(self.group, by)
        box = self.box
        return _Sign(self.group, Box(box.left, box.top + by, box.right, box.bottom + by))


@dataclass(frozen=True, slots=True)
class _Above:
    """What hangs down from the staff: notes, beams and slurs as small boxes."""

    boxes: tuple[Box, ...]
    staff: Box

    def floor(self, under: Box) -> float:
        """Say how high the top of something in these columns may be."""
        hanging = (box.bottom for box in self.boxes if box.left < under.right and under.left < box.right)
        return max(self.staff.bottom, *hanging, self.staff.bottom) + _AIR

    def touches(self, sign: Box) -> bool:
        """Say whether something hangs into a box."""
        return any(
            box.left < sign.right
            and sign.left < box.right
            and box.top < sign.bottom
            and sign.top < box.bottom + _AIR / 2
            for box in self.boxes
        )


def settle_signs(system: etree._Element, font: MusicFont) -> float:
    """Bring dynamics and hairpins clear of notes and slurs, and the row under all of them.

    Returns:
        How far the row had to move down [units].

    """
    _drop_stubs(system, font)
    staff = staff_of_system(system)
    if staff is None:
        return 0.0
    above = _Above((*_note_boxes(system, font), *_slur_boxes(system)), staff)
    row = _signs(system, {"harm"}, font)
    signs = [sign for sign in _signs(system, {"dynam", "hairpin", "dir"}, font) if sign.box.top > staff.bottom]
    if row:
        signs = _lifted(signs, above, min(label.box.top for label in row))
    signs = _cleared(signs, above)
    return _settle_row(row, signs, above)


def _signs(system: etree._Element, kinds: set[str], font: MusicFont) -> list[_Sign]:
    found = [(group, box_of(group, font)) for group in system.iter(f"{SVG}g") if kind_of(group) in kinds]
    return [_Sign(group, box) for group, box in found if box is not None]


def _note_boxes(system: etree._Element, font: MusicFont) -> list[Box]:
    """Box notes with their signs and lyrics, and beams."""
    beams = (box_of(beam, font) for beam in system.iter(f"{SVG}polygon"))
    return [
        *(sign.box for sign in _signs(system, {"note", "rest"}, font)),
        *(box for box in beams if box is not None),
    ]


def _slur_boxes(system: etree._Element) -> list[Box]:
    """Cut slurs and ties into short pieces."""
    pieces: list[Box] = []
    for slur in [group for group in system.iter(f"{SVG}g") if kind_of(group) in {"slur", "tie"}]:
        for arc in curve_arcs(slur):
            for (x1, y1), (x2, y2) in pairwise(arc):
                pieces.append(Box(min(x1, x2), min(y1, y2), max(x1, x2), max(y1, y2)))
    return pieces


def _drop_stubs(system: etree._Element, font: MusicFont) -> None:
    """Take out what is left of a hairpin that ends where the system begins: a stub that says nothing."""
    for sign in _signs(system, {"hairpin"}, font):
        parent, width = sign.group.getparent(), sign.box.right - sign.box.left
        if "spanning" in (sign.group.get("class") or "") and parent is not None and width < _SHORTEST_HAIRPIN:
            parent.remove(sign.group)


def _lifted(signs: list[_Sign], above: _Above, row_top: float) -> list[_Sign]:
    """Move signs that stand under the row up to where it was, as far as the notes let them."""
    low = [sign for sign in signs if sign.box.bottom > row_top]
    if not low:
        return signs
    free = min(sign.box.top - above.floor(sign.box) for sign in low)
    lift = max(0.0, min(free, min(sign.box.top for sign in low) - row_top))
    return [sign.moved(-lift) if lift and sign in low else sign for sign in signs]


def _cleared(signs: list[_Sign], above: _Above) -> list[_Sign]:
    """Move levels of signs down that touch a note or a slur."""
    cleared: list[_Sign] = []
    for level in _levels(signs):
        touching = [sign.box for sign in level if above.touches(sign.box)]
        need = max((above.floor(box) - box.top for box in touching), default=0.0)
        cleared += [sign.moved(need) for sign in level] if need > 0 else level
    return cleared


def _levels(signs: list[_Sign]) -> list[list[_Sign]]:
    """Gather signs that stand beside each other."""
    levels: list[list[_Sign]] = []
    for sign in sorted(signs, key=lambda sign: (sign.box.left, sign.box.top)):
        touching = [level for level in levels if any(sign.box.beside(other.box, _BESIDE) for other in level)]
        levels = [level for level in levels if level not in touching]
        levels.append([*(other for level in touching for other in level), sign])
    return levels


def _settle_row(row: list[_Sign], signs: list[_Sign], above: _Above) -> float:
    """Bring the row, kept straight, under notes, slurs and signs."""
    if not row:
        return 0.0
    top = min(label.box.top for label in row)
    need = max(above.floor(label.box) - label.box.top for label in row)
    low = [sign.box.bottom for sign in signs if sign.box.bottom + _AIR / 2 > top]
    drop = max(0.0, need, max(low, default=top - _AIR) + _AIR - top)
    for label in row if drop else ():
        label.moved(drop)
    return drop
