"""Answers of the jobs around a player's own horn as JSON values."""

from collections.abc import Sequence
from typing import Any

from slurwright.formats.own_horn_json import horn_fields, tone_fields
from slurwright.horn.owned import OwnedHorn
from slurwright.jobs.air import AirAnswer
from slurwright.jobs.own_horn import HornOverview
from slurwright.jobs.tone_list import ToldTone

__all__ = ["air_answer", "horns_answer", "tones_answer"]


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
