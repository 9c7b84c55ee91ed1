"""A player's progress as JSON values; chances from 0 to 1, days in ISO form."""

from typing import Any

from slurwright.evidence.progress.values import (
    Change,
    CurvePoint,
    NoteCurve,
    SlurCurve,
    SlurProgress,
    TakeOffset,
)
from slurwright.listen.figure import Figure
from slurwright.listen.kept import TakenWay

__all__ = ["note_fields", "offset_fields", "slur_fields"]


def slur_fields(slur: SlurProgress) -> dict[str, Any]:
    """Write one slur with every way in which it was tried.

    Args:
        slur: the slur.
    """
    first, second = slur.curves[0].ways
    return {
        "notes": [str(first.written), str(second.written)],
        "sounding": [str(first.sounding), str(second.sounding)],
        "place": slur.label or None,
        "tried": slur.tried,
        "ways": [_way_to_play(curve) for curve in slur.curves],
    }


def _way_to_play(curve: SlurCurve) -> dict[str, Any]:
    versus = curve.versus
    return {
        "fingerings": [way.fingering for way in curve.ways],
        "partials": [way.partial for way in curve.ways],
        "technique": curve.technique,
        "normal": curve.normal,
        "tried": curve.tried,
        "spoke": curve.spoke,
        "days": curve.days,
        "weeks": [
            {"monday": week.monday.isoformat(), "tried": week.tried, "spoke": week.spoke} for week in curve.weeks
        ],
        "at": {
            "dynamic": curve.at.dynamic,
            "tempo_qpm": _round(curve.at.tempo_qpm, 2),
            "time_s": _round(curve.at.time_s, 3),
            "hold_s": _round(curve.at.hold_s, 3),
        },
        "prior": _round(curve.prior, 4),
        "curve": [_point(point, 4) for point in curve.curve],
        "change": _change(curve.change, 4),
        "verdict": curve.verdict.value,
        "against_normal": None
        if versus is None
        else {"better": _round(versus.better, 4), "by": _figure(versus.size, 4), "drop": versus.drop},
    }


def note_fields(note: NoteCurve) -> dict[str, Any]:
    """Write one note on one fingering.

    Args:
        note: the note.
    """
    return {
        **_way(note.way),
        "days": note.days,
        "takes": [
            {
                "take": point.take_id,
                "day": point.day.isoformat(),
                "times": point.times,
                "cents": _figure(point.cents, 2),
            }
            for point in note.points
        ],
        "curve": [_point(point, 2) for point in note.curve],
        "change": _change(note.change, 2),
        "verdict": note.verdict.value,
    }


def offset_fields(offset: TakeOffset) -> dict[str, Any]:
    """Write what a whole take is off.

    Args:
        offset: of the take.
    """
    return {
        "take": offset.take_id,
        "day": offset.day.isoformat(),
        "notes": offset.notes,
        "cents": _figure(offset.cents, 2),
        "told": offset.told,
    }


def _way(way: TakenWay) -> dict[str, Any]:
    return {
        "written": str(way.written),
        "sounding": str(way.sounding),
        "fingering": way.fingering,
        "partial": way.partial,
    }


def _point(point: CurvePoint, digits: int) -> dict[str, Any]:
    return {"day": point.day.isoformat(), **_figure(point.value, digits)}


def _change(change: Change, digits: int) -> dict[str, Any]:
    return {
        "better": _round(change.better, 4),
        "by": _figure(change.size, digits),
        "start": _point(change.start, digits),
        "end": _point(change.end, digits),
    }


def _figure(figure: Figure, digits: int) -> dict[str, float]:
    return {name: _round(getattr(figure, name), digits) for name in ("value", "low", "high")}


def _round(value: float, digits: int) -> float:
    return round(value, digits) + 0.0
