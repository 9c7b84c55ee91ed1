"""The key to the pictures of a take: the signs that occur in it, drawn and said."""

from dataclasses import replace

from slurwright.listen.figure import Figure, Hidden, Measured, Veil
from slurwright.listen.followed import PlayedAs
from slurwright.listen.measures import Reason, SlurMeasure, SlurOutcome, SlurPath
from slurwright.listen.telling import telling
from slurwright.picture.metrics import text_width
from slurwright.picture.shapes import Polyline, Rect, Segment, Shape, Stroke, Text, moved
from slurwright.picture.take.arcs import draw_arc
from slurwright.picture.take.blocks import Block
from slurwright.picture.take.scene import TakeScene

__all__ = ["key_block"]

_SIZE = 2.5
_LINE_MM = 6.4
_ARC_MM = 10.0
_SHORT_MM = 5.0
_Sign = tuple[tuple[Shape, ...], float, str]
"""Shapes around the line's middle, their width [mm] and what they mean."""
_ZERO, _ROUGH = Figure(0.0, 0.0, 0.0), Figure(0.5, 0.5, 0.5)
_SAMPLE = SlurMeasure(
    first=0,
    second=1,
    time_ms=_ZERO,
    dip_db=_ZERO,
    dip_ms=_ZERO,
    silence_ms=_ZERO,
    scoop_cents=_ZERO,
    overshoot_cents=_ZERO,
    path=SlurPath.DIRECT,
    foreign=None,
    outcome=SlurOutcome.CLEAN,
    outcome_chance=1.0,
    quality=Figure(1.0, 1.0, 1.0),
    reasons=(),
)
_MEANINGS = {
    Reason.SILENCE: "a gap of silence",
    Reason.ABRUPT: "a deep dip",
    Reason.FOREIGN: "split through another note",
    Reason.FELL_BACK: "fell back to the first note",
    Reason.SLOW: "slow, smeared",
    Reason.SCOOP: "came in low and crept up",
    Reason.OVERSHOOT: "went past and came back",
}


def key_block(scene: TakeScene, width_mm: float) -> Block:
    """Explain the signs that a take shows.

    Args:
        scene: the take.
        width_mm: of the page between its margins [mm].
    """
    shapes: list[Shape] = [Text(0.0, 3.4 * 1.4, "Signs", size=3.4, bold=True)]
    x, y = 0.0, 3.4 * 1.4 + _LINE_MM
    for drawing, width, words in (*_slur_signs(scene), *_lane_signs(), *_note_signs(scene)):
        wide = width + 1.4 + text_width(words, _SIZE) + 4.0
        if x and x + wide > width_mm:
            x, y = 0.0, y + _LINE_MM
        shapes += [moved(shape, x, y) for shape in drawing]
        shapes.append(Text(x + width + 1.4, y, words, size=_SIZE))
        x += wide
    return Block(tuple(shapes), y + 3.5)


def _arc(*, outcome: SlurOutcome, reasons: tuple[Reason, ...] = (), quality: Measured | None = None) -> _Sign:
    usual = _ROUGH if reasons else _SAMPLE.quality
    slur = replace(_SAMPLE, outcome=outcome, reasons=reasons, quality=quality or usual)
    return draw_arc(slur, (0.0, 0.4), (_ARC_MM, 0.4)), _ARC_MM + 1.2, ""


def _slur_signs(scene: TakeScene) -> list[_Sign]:
    slurs = scene.measure.slurs
    if not slurs:
        return []
    found: list[_Sign] = [(*_arc(outcome=SlurOutcome.CLEAN)[:2], "a slur that spoke")]
    told = [(slur, telling(slur)) for slur in slurs]
    leading = {reasons[0] for _, reasons in told if reasons}
    outcomes = {slur.outcome for slur in slurs}
    for reason, words in _MEANINGS.items():
        if reason in leading:
            broke = any(slur.outcome is SlurOutcome.BROKE for slur, reasons in told if reasons[:1] == (reason,))
            outcome = SlurOutcome.BROKE if broke else SlurOutcome.CLEAN
            found.append((*_arc(outcome=outcome, reasons=(reason,))[:2], words))
    if SlurOutcome.TONGUED in outcomes:
        found.append((*_arc(outcome=SlurOutcome.TONGUED)[:2], "tongued"))
    if SlurOutcome.WRONG_NOTE in outcomes:
        found.append((*_arc(outcome=SlurOutcome.WRONG_NOTE)[:2], "landed on another note"))
    if SlurOutcome.BROKE in outcomes:
        found.append(((Segment(0.0, -0.8, _SHORT_MM, -0.8, Stroke(0.55)),), _SHORT_MM, "heavy: it broke"))
    if any(slur.outcome is SlurOutcome.BROKE and not reasons for slur, reasons in told):
        found.append((*_arc(outcome=SlurOutcome.BROKE)[:2], "broke, how cannot be told"))
    if any(isinstance(slur.quality, Hidden) for slur in slurs):
        hidden = _arc(outcome=SlurOutcome.CLEAN, quality=Hidden(Veil.ROOM))
        found.append((*hidden[:2], "its figures are hidden: ? room, the room is too live"))
    if any("?" in said.words for said in scene.slurs):
        found.append(((Text(0.0, 0.0, "?", size=_SIZE, bold=True),), 1.5, "not sure"))
    return found


def _lane_signs() -> list[_Sign]:
    band = Rect(0.0, -2.0, _SHORT_MM, 2.4, fill=0.16)
    bar = Segment(0.0, -0.8, _SHORT_MM, -0.8, Stroke(0.5))
    path = tuple((0.25 * step, -0.9 + 0.5 * (-1) ** (step // 3)) for step in range(21))
    return [
        ((band, bar), _SHORT_MM, "a note's pitch and where the truth lies nine times in ten"),
        ((Polyline(path, Stroke(0.2)),), _SHORT_MM, "the pitch from moment to moment"),
        ((Rect(0.0, -2.0, _SHORT_MM, 2.4, fill=0.05),), _SHORT_MM, "within 10 cents; dashes at 5"),
        (_boxed(fill=0.2), _SHORT_MM, "10 cents or more from the target: figure bold"),
        (_boxed(fill=0.42), _SHORT_MM, "20 or more: underlined too"),
    ]


def _boxed(*, fill: float) -> tuple[Shape, ...]:
    return Rect(0.0, -2.0, _SHORT_MM, 2.4, fill=fill), Segment(0.0, -2.0, _SHORT_MM, -2.0, Stroke(0.5))


def _note_signs(scene: TakeScene) -> list[_Sign]:
    kinds = {note.played_as for note in scene.measure.following.played}
    dashed = Stroke(0.3, (1.0, 0.8))
    corners = ((0.0, -2.2), (_SHORT_MM, -2.2), (_SHORT_MM, 0.4), (0.0, 0.4))
    found: list[_Sign] = []
    if PlayedAs.WRONG in kinds:
        box = Rect(0.0, -2.2, _SHORT_MM, 2.6, fill=0.12, stroke=Stroke(0.35))
        cross = [Segment(1.7, -0.9 - lean, 3.3, -0.9 + lean, Stroke(0.5)) for lean in (-0.8, 0.8)]
        found.append(((box, *cross), _SHORT_MM, "another note sounded"))
    if PlayedAs.OCTAVE in kinds:
        tip = Polyline(((1.7, -1.2), (3.3, -1.2), (2.5, 0.1)), None, closed=True, filled=True)
        found.append(((Polyline(corners, dashed, closed=True), tip), _SHORT_MM, "the note in another octave"))
    if PlayedAs.EXTRA in kinds:
        plus = Text(1.4, 0.0, "+", size=3.0, bold=True)
        found.append(((Polyline(corners, dashed, closed=True), plus), _SHORT_MM, "a sound that nobody asked for"))
    if scene.measure.following.missed:
        found.append(((Polyline(corners, dashed, closed=True),), _SHORT_MM, "missed: it did not sound"))
    return found
