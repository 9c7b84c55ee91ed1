"""The marks of a note's ways and the fingerings beside them."""

from dataclasses import dataclass

from slurwright.picture.metrics import CAP_HEIGHT, text_width
from slurwright.picture.path import RING_MM
from slurwright.picture.placing import Area, Placer, around
from slurwright.picture.shapes import Anchor, Circle, Polyline, Shape, Stroke, Text
from slurwright.picture.shown import Shown
from slurwright.picture.stage import Spot, Stage
from slurwright.plan import Way

__all__ = ["Mark", "draw_label", "draw_mark", "place_marks"]

_DOT_MM = 0.8
_HOLLOW = Stroke(0.3)
_RING = Stroke(0.35)
_APART_MM = 2.1
_ASIDE_MM = (0.0, 2.0, -2.0, 4.0)
_CROWDED_MM2 = 0.9


@dataclass(frozen=True, slots=True)
class Mark:
    """One way of one note on the paper."""

    way: Way
    spot: Spot
    chosen: bool

    @property
    def area(self) -> Area:
        """Rectangle that the mark covers."""
        half = RING_MM if self.chosen else _DOT_MM
        return around(self.spot.x, self.spot.y, half_width=half, half_height=half)

    @property
    def words(self) -> str:
        """Fingering, with the figure where the mark cannot show it."""
        return (
            f"{self.way.fingering} {self.way.cents:+.0f} c".replace(" -", " −")
            if self.spot.beyond
            else self.way.fingering
        )


def place_marks(stage: Stage, column: int, shown: Shown) -> tuple[tuple[Mark, ...], tuple[Mark, ...]]:
    """Marks that must be drawn, and those that may be left out, moved aside where they would touch.

    The chosen mark stays in the middle, so that the path is not bent by its neighbours.

    Args:
        stage: the row.
        column: index of the sound.
        shown: its ways.

    """
    placed = [Mark(shown.chosen, stage.spot(column, shown.chosen), chosen=True)]
    for way in shown.needed:
        placed.append(_beside(stage, column, way, placed))
    extra: list[Mark] = []
    for way in shown.extra:
        if way.partial in stage.y:
            extra.append(_beside(stage, column, way, [*placed, *extra]))
    return tuple(placed), tuple(extra)


def _beside(stage: Stage, column: int, way: Way, placed: list[Mark]) -> Mark:
    for aside in _ASIDE_MM:
        spot = stage.spot(column, way, aside=aside)
        if all(abs(spot.x - mark.spot.x) + abs(spot.y - mark.spot.y) >= _APART_MM for mark in placed):
            break
    return Mark(way, spot, chosen=False)


def draw_mark(mark: Mark) -> tuple[Shape, ...]:
    """Draw a way: filled when normal, hollow when not, ringed when chosen, with an arrowhead beyond the scale."""
    x, y = mark.spot.x, mark.spot.y
    shapes: list[Shape] = []
    if mark.chosen:
        shapes.append(Circle(x, y, RING_MM, stroke=_RING))
    shapes.append(Circle(x, y, _DOT_MM, fill=1.0) if mark.way.normal else Circle(x, y, _DOT_MM, stroke=_HOLLOW))
    if mark.spot.beyond:
        up = -mark.spot.beyond
        base = y + up * (RING_MM + 0.2 if mark.chosen else _DOT_MM + 0.25)
        shapes.append(
            Polyline(((x - 0.7, base), (x + 0.7, base), (x, base + up * 1.1)), None, closed=True, filled=True)
        )
    return tuple(shapes)


def draw_label(mark: Mark, placer: Placer, *, may_drop: bool) -> tuple[Shape, ...]:
    """Write the fingering where it covers least; an extra mark in a crowded place gets none and is dropped.

    Args:
        mark: the way.
        placer: knows what is drawn already.
        may_drop: True for a mark that may be left out.

    Returns:
        The label, or nothing at all if the mark is to be left out.

    """
    size = 2.6 if mark.chosen else 2.1
    width = text_width(mark.words, size, bold=mark.chosen)
    height = CAP_HEIGHT * size
    off = (RING_MM if mark.chosen else _DOT_MM) + 0.4
    x, y = mark.spot.x, mark.spot.y
    up = off + (1.2 if mark.spot.beyond > 0 else 0.0)
    down = off + (1.2 if mark.spot.beyond < 0 else 0.0)
    centres = [
        (x, y - up - height / 2),
        (x, y + down + height / 2),
        (x + off + width / 2, y),
        (x - off - width / 2, y),
        (x + off * 0.7 + width / 2, y - up * 0.7 - height / 2),
        (x - off * 0.7 - width / 2, y - up * 0.7 - height / 2),
        (x + off * 0.7 + width / 2, y + down * 0.7 + height / 2),
        (x - off * 0.7 - width / 2, y + down * 0.7 + height / 2),
    ]
    if not mark.chosen:
        centres = [centres[i] for i in (0, 1, 4, 5, 6, 7, 2, 3)]
    areas = [[around(cx, cy, half_width=width / 2 + 0.1, half_height=height / 2 + 0.15)] for cx, cy in centres]
    index, cover = placer.best(areas)
    if may_drop and cover > _CROWDED_MM2:
        return ()
    placer.take(areas[index])
    cx, cy = centres[index]
    return (Text(cx, cy + height / 2, mark.words, size=size, anchor=Anchor.MIDDLE, bold=mark.chosen),)
