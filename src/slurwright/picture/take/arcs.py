"""The signs of slurs: an arc whose shape tells what became of the slur, and how it would be heard."""

import math
from collections.abc import Callable, Mapping, Sequence

from slurwright.listen.figure import Hidden
from slurwright.listen.measures import Reason, SlurMeasure, SlurOutcome
from slurwright.listen.telling import telling
from slurwright.picture.shapes import Polyline, Segment, Shape, Stroke

__all__ = ["draw_arc", "peak_of"]

Place = tuple[float, float]
_THIN, _PLAIN, _HEAVY = 0.25, 0.35, 0.55
_DOTS, _DASHES = (0.3, 0.9), (1.2, 1.2)
_STEPS = 24
_LEAST_RISE_MM, _MOST_RISE_MM = 1.6, 3.4
_GAP = (0.36, 0.64)
"""From where to where along it an arc is broken by silence (ours, by eye) [1]."""
_STEP_MM = 1.7


def peak_of(start: Place, end: Place) -> float:
    """How high the arc between two places rises [mm]."""
    return max(_LEAST_RISE_MM, min(_MOST_RISE_MM, 0.16 * (end[0] - start[0])))


def draw_arc(slur: SlurMeasure, start: Place, end: Place) -> tuple[Shape, ...]:
    """Draw what became of a slur.

    A clean slur is a thin arc; one that spoke with a fault has the fault's sign; a broken one is heavy. Where the
    figures are hidden the arc is dotted.

    Args:
        slur: its measures.
        start: the arc's left end [mm].
        end: its right end [mm].
    """
    reasons = telling(slur)
    if isinstance(slur.quality, Hidden) and not reasons and slur.outcome is SlurOutcome.CLEAN:
        return (Polyline(_arc(start, end), Stroke(_PLAIN, _DOTS)),)
    if slur.outcome is SlurOutcome.CLEAN and not reasons:
        return (Polyline(_arc(start, end), Stroke(_THIN)),)
    stroke = Stroke(_HEAVY if slur.outcome in {SlurOutcome.BROKE, SlurOutcome.WRONG_NOTE} else _PLAIN)
    sign = reasons[0] if reasons else None
    if slur.outcome is SlurOutcome.TONGUED:
        sign = Reason.TONGUE
    elif slur.outcome is SlurOutcome.WRONG_NOTE:
        sign = Reason.WRONG_NOTE
    if sign is None:
        return (Polyline(_arc(start, end), Stroke(_HEAVY, _DASHES)),)
    return tuple(_SIGNS[sign](start, end, stroke))


def _along(start: Place, end: Place, share: float) -> Place:
    """A place along the arc; 0 is its start, 1 its end."""
    x = start[0] + share * (end[0] - start[0])
    base = start[1] + share * (end[1] - start[1])
    return x, base - 4.0 * share * (1.0 - share) * peak_of(start, end)


def _arc(start: Place, end: Place, first: float = 0.0, last: float = 1.0) -> tuple[Place, ...]:
    return tuple(_along(start, end, first + (last - first) * step / _STEPS) for step in range(_STEPS + 1))


def _broken(start: Place, end: Place, stroke: Stroke) -> Sequence[Shape]:
    """Silence: the arc has a hole between two posts."""
    left, right = (_along(start, end, share) for share in _GAP)
    return (
        Polyline(_arc(start, end, 0.0, _GAP[0]), stroke),
        Polyline(_arc(start, end, _GAP[1], 1.0), stroke),
        Segment(left[0], left[1] - 0.9, left[0], left[1] + 0.9, stroke),
        Segment(right[0], right[1] - 0.9, right[0], right[1] + 0.9, stroke),
    )


def _notched(start: Place, end: Place, stroke: Stroke) -> Sequence[Shape]:
    """A deep dip: the arc falls in and rises again."""
    left, right = (_along(start, end, share) for share in (0.4, 0.6))
    deep = ((left[0] + right[0]) / 2.0, left[1] + peak_of(start, end))
    return (Polyline((*_arc(start, end, 0.0, 0.4), deep, *_arc(start, end, 0.6, 1.0)), stroke),)


def _tongued(start: Place, end: Place, stroke: Stroke) -> Sequence[Shape]:
    """The tongue: a stroke down through the whole arc, as a wedge."""
    x, y = _along(start, end, 0.5)
    wedge = ((x - 0.75, y - 1.1), (x + 0.75, y - 1.1), (x, y + 1.9))
    return Polyline(_arc(start, end), stroke), Polyline(wedge, None, closed=True, filled=True)


def _stepped(start: Place, end: Place, stroke: Stroke) -> Sequence[Shape]:
    """A split: the arc stands on another step on its way."""
    left, right = _along(start, end, 0.38), _along(start, end, 0.62)
    y = min(left[1], right[1]) - _STEP_MM
    step = ((left[0], y), (right[0], y))
    return (Polyline((*_arc(start, end, 0.0, 0.38), *step, *_arc(start, end, 0.62, 1.0)), stroke),)


def _fallen_back(start: Place, end: Place, stroke: Stroke) -> Sequence[Shape]:
    """Fell back: most of the way, back down, and again."""
    left = start[0] + 0.3 * (end[0] - start[0])
    back = (left, start[1] - 0.3)
    there = _along(start, end, 0.78)
    low = (there[0] - 0.35 * (there[0] - left), start[1] - 0.5)
    return (
        Polyline((*_arc(start, end, 0.0, 0.78), low, back), stroke),
        _head(low, (back[0] - 0.4, back[1])),
        Polyline(_arc((low[0], low[1]), end), Stroke(_THIN)),
    )


def _head(start: Place, tip: Place) -> Shape:
    """An arrow's head at the end of a line."""
    angle = math.atan2(tip[1] - start[1], tip[0] - start[0])
    sides = [(tip[0] - 1.2 * math.cos(angle + turn), tip[1] - 1.2 * math.sin(angle + turn)) for turn in (0.45, -0.45)]
    return Polyline((tip, *sides), None, closed=True, filled=True)


def _waved(start: Place, end: Place, stroke: Stroke) -> Sequence[Shape]:
    """Slow: the arc is smeared into waves."""
    points = []
    waves = max(3, round((end[0] - start[0]) / 1.8))
    for step in range(8 * waves + 1):
        share = step / (8 * waves)
        x, y = _along(start, end, share)
        points.append((x, y + 0.45 * math.sin(2.0 * math.pi * waves * share)))
    return (Polyline(tuple(points), stroke),)


def _scooped(start: Place, end: Place, stroke: Stroke) -> Sequence[Shape]:
    """A scoop: the arc lands low and creeps up to the note."""
    low = (end[0] - 2.4, end[1] + 1.3)
    hook = tuple((low[0] + 2.6 * t, low[1] - 1.7 * t**3) for t in (step / 8 for step in range(9)))
    return Polyline((*_arc(start, low), *hook), stroke), _head(hook[-2], (hook[-1][0], hook[-1][1] - 0.5))


def _overshot(start: Place, end: Place, stroke: Stroke) -> Sequence[Shape]:
    """An overshoot: the arc goes past the note's height and comes down on it."""
    peak = start[1] - peak_of(start, end) - 1.6
    high = (end[0] - 1.2, peak)
    middle = _arc(start, end, 0.0, 0.45)
    hook = (high, (end[0] - 0.4, peak + 0.5), (end[0], end[1]))
    return Polyline((*middle, *hook), stroke), _head(hook[-2], hook[-1])


def _strayed(start: Place, end: Place, stroke: Stroke) -> Sequence[Shape]:
    """Another note: the arc ends in a cross."""
    x, y = end
    dashed = Stroke(stroke.width, (1.3, 0.9))
    return (
        Polyline(_arc(start, (x - 1.2, y - 0.4)), dashed),
        Segment(x - 1.1, y - 1.5, x + 1.1, y + 0.7, stroke),
        Segment(x - 1.1, y + 0.7, x + 1.1, y - 1.5, stroke),
    )


_SIGNS: Mapping[Reason, Callable[[Place, Place, Stroke], Sequence[Shape]]] = {
    Reason.SILENCE: _broken,
    Reason.ABRUPT: _notched,
    Reason.TONGUE: _tongued,
    Reason.FOREIGN: _stepped,
    Reason.FELL_BACK: _fallen_back,
    Reason.SLOW: _waved,
    Reason.SCOOP: _scooped,
    Reason.OVERSHOOT: _overshot,
    Reason.WRONG_NOTE: _strayed,
}
