"""Plain shapes: what every drawing of this house is made of, in millimetres, with no file format in it.

The origin is the top left corner, x runs to the right and y down. There is one ink: meaning is told by
shape, weight, dash and words, never by colour, so that a drawing survives a black-and-white printer.
"""

from dataclasses import dataclass, field, replace
from enum import StrEnum

__all__ = [
    "Anchor",
    "Circle",
    "Face",
    "Group",
    "Picture",
    "Polyline",
    "Rect",
    "Segment",
    "Shape",
    "Stroke",
    "Text",
    "moved",
]


class Anchor(StrEnum):
    """Which point of a text its x names."""

    START = "start"
    MIDDLE = "middle"
    END = "end"


class Face(StrEnum):
    """Generic families of type."""

    SANS = "sans-serif"
    SERIF = "serif"


@dataclass(frozen=True, slots=True)
class Stroke:
    """How a line is drawn: width and dashes [mm], and how dark the ink is, 0..1."""

    width: float = 0.25
    dash: tuple[float, ...] = ()
    opacity: float = 1.0


@dataclass(frozen=True, slots=True)
class Segment:
    """A straight line between two points [mm]."""

    x1: float
    y1: float
    x2: float
    y2: float
    stroke: Stroke = field(default_factory=Stroke)


@dataclass(frozen=True, slots=True)
class Polyline:
    """A line through points [mm]; closed and filled it is a figure, as dark inside as ``fill`` says, 0..1."""

    points: tuple[tuple[float, float], ...]
    stroke: Stroke | None = field(default_factory=Stroke)
    closed: bool = False
    filled: bool = False
    fill: float = 1.0


@dataclass(frozen=True, slots=True)
class Rect:
    """A rectangle by its top left corner and size [mm]; ``fill`` is how dark its inside is, 0..1."""

    x: float
    y: float
    width: float
    height: float
    fill: float = 0.0
    stroke: Stroke | None = None


@dataclass(frozen=True, slots=True)
class Circle:
    """A circle by centre and radius [mm]; ``fill`` is how dark its inside is, 0..1."""

    x: float
    y: float
    radius: float
    fill: float = 0.0
    stroke: Stroke | None = None


@dataclass(frozen=True, slots=True)
class Text:
    """One line of words; x and y are the anchor on the base line, ``size`` is the height of the type [mm]."""

    x: float
    y: float
    words: str
    size: float = 2.5
    anchor: Anchor = Anchor.START
    bold: bool = False
    italic: bool = False
    face: Face = Face.SANS
    turn_degrees: float = 0.0
    """Turned about its anchor, clockwise as seen [degrees]."""


@dataclass(frozen=True, slots=True)
class Group:
    """Shapes that belong together, with a name for people who point at them or do not see them."""

    shapes: tuple["Shape", ...]
    title: str = ""
    css_class: str = ""


Shape = Segment | Polyline | Rect | Circle | Text | Group


@dataclass(frozen=True, slots=True)
class Picture:
    """A whole drawing: size [mm], shapes from back to front, and what it shows in words."""

    width_mm: float
    height_mm: float
    shapes: tuple[Shape, ...]
    title: str
    description: str = ""


def moved(shape: Shape, x: float, y: float) -> Shape:
    """The same shape somewhere else.

    Args:
        shape: the shape.
        x: to the right [mm].
        y: down [mm].

    """
    if isinstance(shape, Segment):
        return replace(shape, x1=shape.x1 + x, y1=shape.y1 + y, x2=shape.x2 + x, y2=shape.y2 + y)
    if isinstance(shape, Polyline):
        return replace(shape, points=tuple((px + x, py + y) for px, py in shape.points))
    if isinstance(shape, Group):
        return replace(shape, shapes=tuple(moved(inner, x, y) for inner in shape.shapes))
    return replace(shape, x=shape.x + x, y=shape.y + y)
