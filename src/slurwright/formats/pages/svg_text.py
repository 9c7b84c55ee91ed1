"""Text in an engraved page: how wide it is, and the musical signs in it as outlines instead of letters.

The engraver writes dynamics inside words and the note of a metronome mark as letters of its music font, which no
reader of the page has. Here they become paths, and the letters around them keep the places that they had.
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace

from lxml import etree

from slurwright.formats.pages.music_font import Face, MusicFont, is_sign, sign_of, sign_scale

__all__ = ["SVG", "TEXT_FONTS", "TextRun", "draw_signs", "run_width", "text_runs", "text_span"]

SVG = "{http://www.w3.org/2000/svg}"
TEXT_FONTS = "'Liberation Serif', 'Times New Roman', Tinos, Times, serif"
"""The first has the widths that the engraver counts with, and so have those after it."""
_RAISED = 0.2
"""How far an accidental among letters is lifted, so that it stands on their line [font sizes]. Derived."""


@dataclass(frozen=True, slots=True)
class TextRun:
    """Letters in one style, and where their line starts if they start one."""

    text: str
    size: float
    face: Face
    anchor: str
    start: tuple[float, float] | None


@dataclass(frozen=True, slots=True)
class _Style:
    size: float
    face: Face
    anchor: str


def text_runs(text: etree._Element) -> tuple[TextRun, ...]:
    """Read a text element as runs in order."""
    return tuple(_walk(text, _Style(0.0, Face(), "start"), [None]))


def _walk(element: etree._Element, style: _Style, start: list[tuple[float, float] | None]) -> Iterator[TextRun]:
    """Yield the runs of an element; ``start`` holds the place of a line that has no letter yet."""
    size = element.get("font-size", "").removesuffix("px")
    weight, slant = element.get("font-weight"), element.get("font-style")
    face = Face(
        style.face.bold if weight is None else weight == "bold",
        style.face.italic if slant is None else slant == "italic",
    )
    style = _Style(float(size) if size else style.size, face, element.get("text-anchor", style.anchor))
    if element.get("x") is not None or element.get("y") is not None:
        before = start[0] or (0.0, 0.0)
        start[0] = (float(element.get("x", before[0])), float(element.get("y", before[1])))
    for letters, inner in ((element.text, None), *((child.tail, child) for child in element)):
        if inner is not None:
            yield from _walk(inner, style, start)
        if letters and letters.strip("\n\r\t") and style.size:
            yield TextRun(letters, style.size, style.face, style.anchor, start[0])
            start[0] = None


def run_width(run: TextRun, font: MusicFont) -> float:
    """Say how wide a run is.

    Returns:
        Width in the units of the page [units].

    """
    width = 0.0
    for letter in run.text:
        if is_sign(letter):
            width += font.sign_advance(sign_of(letter)) * sign_scale(letter)
        else:
            width += font.letter_advance(letter, run.face)
    return width * run.size


def text_span(text: etree._Element, font: MusicFont) -> tuple[float, float]:
    """Say from where to where the widest line of a text reaches.

    Returns:
        Left and right edge [units].

    """
    spans = [_line_span(line, font) for line in _lines(text_runs(text))]
    return min((left for left, _ in spans), default=0.0), max((right for _, right in spans), default=0.0)


def draw_signs(text: etree._Element, font: MusicFont) -> None:
    """Replace a text that holds musical signs by its letters, placed one run at a time, and outlines."""
    parent = text.getparent()
    if parent is None or not any(is_sign(letter) for letters in text.itertext() for letter in str(letters)):
        return
    runs = text_runs(text)
    group = etree.Element(f"{SVG}g")
    for name in ("id", "class"):
        if text.get(name) is not None:
            group.set(name, text.get(name, ""))
    for line in _lines(runs):
        place = line[0].start or (0.0, 0.0)
        x = _line_span(line, font)[0]
        pieces = [piece for run in line for piece in _pieces(run)]
        for piece, after in zip(pieces, [*pieces[1:], None], strict=True):
            if is_sign(piece.text[0]):
                _draw_outlines(group, piece, (x, place[1]), font)
            else:
                _draw_letters(group, piece, (x, place[1]), font, against_sign=after is not None)
            x += run_width(piece, font)
    group.tail = text.tail
    parent.replace(text, group)


def _lines(runs: tuple[TextRun, ...]) -> list[list[TextRun]]:
    lines: list[list[TextRun]] = []
    for run in runs:
        if run.start is not None or not lines:
            lines.append([])
        lines[-1].append(run)
    return lines


def _line_span(line: list[TextRun], font: MusicFont) -> tuple[float, float]:
    x = line[0].start[0] if line[0].start else 0.0
    width = sum(run_width(run, font) for run in line)
    left = x - {"start": 0.0, "middle": width / 2, "end": width}.get(line[0].anchor, 0.0)
    return left, left + width


def _pieces(run: TextRun) -> Iterator[TextRun]:
    """Part a run where letters and signs meet."""
    piece = ""
    for letter in run.text:
        if piece and is_sign(letter) != is_sign(piece[-1]):
            yield replace(run, text=piece)
            piece = ""
        piece += letter
    if piece:
        yield replace(run, text=piece)


def _draw_letters(
    group: etree._Element, piece: TextRun, place: tuple[float, float], font: MusicFont, *, against_sign: bool
) -> None:
    """Write letters; those before a sign are set from their end, so that no reader's own widths leave a gap there."""
    letters = piece.text.strip()
    if not letters:
        return
    kept = piece.text.rstrip() if against_sign else piece.text[: len(piece.text) - len(piece.text.lstrip())]
    x = place[0] + run_width(replace(piece, text=kept), font)
    made = etree.SubElement(group, f"{SVG}text", x=f"{x:.0f}", y=f"{place[1]:.0f}")
    made.set("font-size", f"{piece.size:.0f}px")
    made.set("font-family", TEXT_FONTS)
    if piece.face.bold:
        made.set("font-weight", "bold")
    if piece.face.italic:
        made.set("font-style", "italic")
    if against_sign:
        made.set("text-anchor", "end")
    made.text = letters


def _draw_outlines(group: etree._Element, piece: TextRun, place: tuple[float, float], font: MusicFont) -> None:
    x, y = place
    for letter in piece.text:
        scale = piece.size * sign_scale(letter) / 1000
        raised = y - _RAISED * piece.size if sign_scale(letter) > 1 else y
        path = etree.SubElement(group, f"{SVG}path", d=font.sign_outline(sign_of(letter)))
        path.set("transform", f"translate({x:.0f}, {raised:.0f}) scale({scale:.4f}, {-scale:.4f})")
        path.set("stroke", "none")
        x += run_width(replace(piece, text=letter), font)
