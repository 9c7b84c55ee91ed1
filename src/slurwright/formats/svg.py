"""SVG out of plain shapes: one file, no outside font or style, readable by people who do not see it.

Ink is ``currentColor``: black by itself, and the page's own ink where the drawing stands inside a page.
Elements and attributes follow Scalable Vector Graphics 1.1 and 2 (W3C recommendations).
"""

import re
from collections.abc import Callable
from typing import Any

from slurwright.picture.shapes import Circle, Face, Group, Picture, Polyline, Rect, Segment, Shape, Stroke, Text

__all__ = ["write_svg"]

# All but the characters of XML 1.0 (W3C recommendation, production 2); the carriage return too, which readers change.
_UNWRITABLE = re.compile("[^\t\n\u0020-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")
# Many types lack these; a reader that looks for another type then looks for the signs alone, not the whole line.
_ACCIDENTALS = re.compile("([♭♮♯]+)")
_HEAVIER = 0.028
"""Line around letters that makes regular type look bold, over its size (ours) [1]."""
_SIGN_TYPE = r"""<tspan font-family="'New Computer Modern Math', 'DejaVu Sans', serif">\1</tspan>"""
# Our own escaping: the standard library's helper loads its network client on the way.
_IN_TEXT = str.maketrans({"&": "&amp;", "<": "&lt;", ">": "&gt;"})
_IN_ATTRIBUTE = _IN_TEXT | str.maketrans({'"': "&quot;", "\n": "&#10;", "\t": "&#9;"})


def write_svg(picture: Picture) -> str:
    """Write a picture as a complete SVG document; the same picture always gives the same text."""
    width, height = _number(picture.width_mm), _number(picture.height_mm)
    lines = [
        f'<svg xmlns="http://www.w3.org/2000/svg" role="img" width="{width}mm" height="{height}mm" '
        f'viewBox="0 0 {width} {height}" fill="currentColor" stroke="none" font-family="{Face.SANS}" '
        'stroke-linecap="round" stroke-linejoin="round">',
        f"<title>{_words(picture.title)}</title>",
    ]
    if picture.description:
        lines.append(f"<desc>{_words(picture.description)}</desc>")
    lines.extend(_shape(shape) for shape in picture.shapes)
    lines.append("</svg>")
    return "\n".join(lines) + "\n"


def _number(value: float) -> str:
    """Hundredths of a millimetre are finer than any printer; no trailing zeros, no negative zero."""
    text = f"{value:.2f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def _words(words: str) -> str:
    """Escape, and drop characters that no XML document may hold."""
    return _UNWRITABLE.sub("", words).translate(_IN_TEXT)


def _attributes(pairs: dict[str, str]) -> str:
    return "".join(f' {name}="{value.translate(_IN_ATTRIBUTE)}"' for name, value in pairs.items())


def _stroke(stroke: Stroke | None) -> dict[str, str]:
    if stroke is None:
        return {}
    pairs = {"stroke": "currentColor", "stroke-width": _number(stroke.width)}
    if stroke.dash:
        pairs["stroke-dasharray"] = " ".join(_number(length) for length in stroke.dash)
    if stroke.opacity < 1.0:
        pairs["stroke-opacity"] = _number(stroke.opacity)
    return pairs


def _fill(darkness: float) -> dict[str, str]:
    if darkness <= 0.0:
        return {"fill": "none"}
    return {} if darkness >= 1.0 else {"fill-opacity": _number(darkness)}


def _segment(shape: Segment) -> str:
    ends = {name: _number(getattr(shape, name)) for name in ("x1", "y1", "x2", "y2")}
    return f"<line{_attributes(ends | _stroke(shape.stroke))}/>"


def _polyline(shape: Polyline) -> str:
    points = " ".join(f"{_number(x)},{_number(y)}" for x, y in shape.points)
    pairs = {"points": points} | _fill(shape.fill if shape.filled else 0.0) | _stroke(shape.stroke)
    return f"<{'polygon' if shape.closed else 'polyline'}{_attributes(pairs)}/>"


def _rect(shape: Rect) -> str:
    place = {name: _number(getattr(shape, name)) for name in ("x", "y", "width", "height")}
    return f"<rect{_attributes(place | _fill(shape.fill) | _stroke(shape.stroke))}/>"


def _circle(shape: Circle) -> str:
    place = {"cx": _number(shape.x), "cy": _number(shape.y), "r": _number(shape.radius)}
    return f"<circle{_attributes(place | _fill(shape.fill) | _stroke(shape.stroke))}/>"


def _text(shape: Text) -> str:
    pairs = {"x": _number(shape.x), "y": _number(shape.y), "font-size": _number(shape.size)}
    if shape.face is not Face.SANS:
        pairs["font-family"] = shape.face.value
    if shape.anchor != "start":
        pairs["text-anchor"] = shape.anchor.value
    if shape.bold and _ACCIDENTALS.search(shape.words):
        # Readers that lack a bold sign set the whole line in regular type: there the ink is made heavier instead.
        pairs |= {"stroke": "currentColor", "stroke-width": _number(_HEAVIER * shape.size)}
    elif shape.bold:
        pairs["font-weight"] = "bold"
    if shape.italic:
        pairs["font-style"] = "italic"
    if shape.turn_degrees:
        pairs["transform"] = f"rotate({_number(shape.turn_degrees)} {pairs['x']} {pairs['y']})"
    return f"<text{_attributes(pairs)}>{_ACCIDENTALS.sub(_SIGN_TYPE, _words(shape.words))}</text>"


def _group(shape: Group) -> str:
    name = f"<title>{_words(shape.title)}</title>" if shape.title else ""
    pairs = {"class": shape.css_class} if shape.css_class else {}
    return f"<g{_attributes(pairs)}>{name}{''.join(_shape(inner) for inner in shape.shapes)}</g>"


_WRITERS: dict[type, Callable[[Any], str]] = {
    Segment: _segment,
    Polyline: _polyline,
    Rect: _rect,
    Circle: _circle,
    Text: _text,
    Group: _group,
}


def _shape(shape: Shape) -> str:
    return _WRITERS[type(shape)](shape)
