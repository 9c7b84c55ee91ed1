"""A player's own horn as JSON values: the list, the chart, the tones, what to measure next, the air.

The shapes are published as JSON Schemas in ``docs/schemas``; fields may be added, never renamed.
"""

from collections.abc import Sequence
from typing import Any

from slurwright.horn import Horn
from slurwright.horn.learnt.advise import Advice
from slurwright.horn.owned import KeptReading, OwnedHorn
from slurwright.pitch import Reading
from slurwright.plan.charted import ChartedNote, ChartedWay

__all__ = ["advice_answer", "chart_answer", "horn_fields", "tone_fields"]

Json = dict[str, Any]

_CENTS = "cents against equal temperament at A4 = 440 Hz, sharp above 0"


def _rounded(value: float, digits: int = 2) -> float:
    return round(value, digits) + 0.0


def horn_fields(owned: OwnedHorn) -> Json:
    """Write which horn it is."""
    return {"name": owned.name, "model": owned.model, "tuning": owned.tuning}


def tone_fields(kept: KeptReading) -> Json:
    """Write one tone."""
    tone = kept.played.tone
    return {
        "sounding": str(tone.sounding),
        "fingering": tone.fingering,
        "partial": tone.partial,
        "cents": tone.cents,
        "sd_cents": tone.sd_cents,
        "sitting": tone.session,
        "played_on": kept.played.played_on.isoformat(),
        "dynamic": tone.dynamic,
        "temperature_c": tone.temperature_c,
        "withdrawn": kept.withdrawn,
    }


def chart_answer(owned: OwnedHorn, horn: Horn, notes: Sequence[ChartedNote], *, reading: Reading) -> Json:
    """Write where every way of a horn sits.

    Args:
        owned: the horn.
        horn: the same with what was learnt.
        notes: its notes, lowest first.
        reading: how the player reads.
    """
    return {
        "horn": horn_fields(owned),
        "reading": reading.id,
        "measured_tones": horn.measured_tones,
        "notes": [
            {
                "sounding": str(note.sounding),
                "written": str(reading.transposition.to_written(note.sounding)),
                "ways": [_way_fields(way) for way in note.ways],
            }
            for note in notes
        ],
        "units": {
            "cents": f"{_CENTS}, the main slide set to the normal notes of the comfortable range",
            "sd_cents": "cents, standard deviation",
            "low_cents": "cents, lower end of the interval that holds it in nine cases of ten",
            "high_cents": "cents, upper end of the same interval",
            "shares": "parts of what was unknown, together 1: told by tones of this way, of other ways, by none",
        },
    }


def _way_fields(charted: ChartedWay) -> Json:
    tendency = charted.tendency
    return {
        "fingering": charted.way.fingering,
        "partial": charted.way.partial,
        "normal": charted.way.normal,
        "cents": _rounded(tendency.mean_cents),
        "sd_cents": _rounded(tendency.sd_cents),
        "low_cents": _rounded(tendency.low_cents),
        "high_cents": _rounded(tendency.high_cents),
        "known_from": charted.knowledge.value,
        "tones": tendency.readings,
        "shares": {
            "measured": _rounded(tendency.shares.measured, 3),
            "inferred": _rounded(tendency.shares.inferred, 3),
            "prior": _rounded(tendency.shares.prior, 3),
        },
    }


def advice_answer(owned: OwnedHorn, advice: Advice, *, reading: Reading) -> Json:
    """Write which notes to measure next.

    Args:
        owned: the horn.
        advice: the notes.
        reading: how the player reads.
    """
    return {
        "horn": horn_fields(owned),
        "reading": reading.id,
        "width_now_cents": _rounded(advice.width_now_cents),
        "notes": [
            {
                "sounding": str(note.sounding),
                "written": str(reading.transposition.to_written(note.sounding)),
                "fingering": note.fingering,
                "partial": note.partial,
                "width_before_cents": _rounded(note.width_before_cents),
                "width_after_cents": _rounded(note.width_after_cents),
            }
            for note in advice.notes
        ],
        "units": {
            "width_now_cents": "cents, mean width of the intervals that hold a way in nine cases of ten",
            "width_after_cents": "cents, the same when this note and those before it have been measured",
        },
    }
