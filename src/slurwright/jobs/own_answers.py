"""Answers of the jobs around a player's own horn as JSON values."""

from collections.abc import Sequence
from typing import Any

from slurwright.formats.own_horn_json import horn_fields, tone_fields
from slurwright.horn.owned import OwnedHorn
from slurwright.horn.slides import Summary
from slurwright.jobs.air import AirAnswer
from slurwright.jobs.own_horn import HornOverview
from slurwright.jobs.pulls import PulledNote, PullsAnswer
from slurwright.jobs.tone_list import ToldTone
from slurwright.pitch import Reading

__all__ = ["air_answer", "horns_answer", "pulls_answer", "tones_answer"]


def horns_answer(found: Sequence[HornOverview]) -> dict[str, Any]:
    """Write the list of horns."""
    return {
        "horns": [
            {
                **horn_fields(one.owned),
                "player": one.player.name,
                "tones": one.readings,
                "tones_withdrawn": one.withdrawn,
            }
            for one in found
        ]
    }


def tones_answer(owned: OwnedHorn, told: Sequence[ToldTone]) -> dict[str, Any]:
    """Write the tones of a horn with what became of each."""
    return {
        "horn": horn_fields(owned),
        "tones": [
            {"number": one.number, **tone_fields(one.kept), "used": one.used, "reason": one.reason} for one in told
        ],
        "units": {
            "cents": "cents against equal temperament at A4 = 440 Hz, sharp above 0",
            "sd_cents": "cents, standard error of the measurement",
            "dynamic": "steps from mf",
            "temperature_c": "degrees Celsius",
        },
    }


def air_answer(answer: AirAnswer) -> dict[str, Any]:
    """Write what other air does to a horn."""
    fields: dict[str, Any] = {
        "temperature_c": answer.celsius,
        "tuned_at_c": answer.tuned_at_c,
        "drift_cents": round(answer.drift_cents, 2) + 0.0,
        "cents_each_degree": round(answer.cents_each_degree, 3),
    }
    if answer.horn is not None and answer.pull_mm is not None:
        fields |= {
            "horn": answer.horn.id,
            "main_slide_mm": round(answer.pull_mm, 1) + 0.0,
            "left_cents": round(answer.left_cents, 2) + 0.0,
        }
    fields["units"] = {
        "drift_cents": "cents, sharp above 0",
        "main_slide_mm": "millimetres out, in below 0",
        "left_cents": "cents that the slide cannot take back, sharp above 0",
    }
    return fields


def pulls_answer(answer: PullsAnswer, reading: Reading) -> dict[str, Any]:
    """Write where to set the slides of a horn.

    Args:
        answer: the pulls.
        reading: how the player reads.
    """
    slides = {slide.name: slide for slide in answer.horn.slides}
    return {
        "horn": answer.horn.id,
        "measured_tones": answer.horn.measured_tones,
        "reading": reading.id,
        "aim": answer.slides.aim.value,
        "within_cents": answer.within_cents,
        "slides": [
            {
                "name": pull.name,
                "drawn_mm": round(pull.drawn_mm, 2) + 0.0,
                "in_mm": round(1000 * slides[pull.name].in_m, 2),
                "out_mm": round(1000 * slides[pull.name].out_m, 2),
                "step_mm": round(1000 * slides[pull.name].step_m, 2),
            }
            for pull in answer.slides.pulls
        ],
        "before": _summary_fields(answer.slides.before),
        "after": _summary_fields(answer.slides.after),
        "notes": [_pulled_fields(one, reading) for one in answer.notes],
        "units": {
            "drawn_mm": "millimetres from where the slide is, out above 0",
            "rms_cents": "cents, root of the weighted mean square",
            "worst_cents": "cents, without sign",
            "within": "share from 0 to 1",
            "before_cents": "cents against equal temperament at A4 = 440 Hz, sharp above 0",
            "after_cents": "the same with the slides set",
            "left_cents": "cents that the travel leaves, sharp above 0",
            "drawn_cm": "centimetres from the usual place of the position, out above 0",
        },
    }


def _summary_fields(summary: Summary) -> dict[str, float]:
    return {
        "rms_cents": round(summary.rms_cents, 2),
        "worst_cents": round(summary.worst_cents, 2),
        "within": round(summary.within, 4),
    }


def _pulled_fields(one: PulledNote, reading: Reading) -> dict[str, Any]:
    note = one.change.note
    fields: dict[str, Any] = {
        "sounding": str(note.sounding),
        "written": str(reading.transposition.to_written(note.sounding)),
        "fingering": note.fingering,
        "partial": note.partial,
        "before_cents": round(one.change.before_cents, 2) + 0.0,
        "after_cents": round(one.change.after_cents, 2) + 0.0,
        "kicks": [
            {
                "name": kick.name,
                "drawn_mm": round(kick.drawn_mm, 1) + 0.0,
                "left_cents": round(kick.left_cents, 2) + 0.0,
            }
            for kick in one.kicks
        ],
    }
    if one.move is not None:
        fields["hand_slide"] = {
            "drawn_cm": round(one.move.drawn_cm, 2) + 0.0,
            "left_cents": round(one.move.left_cents, 2) + 0.0,
        }
    return fields
