"""Practice sheets made from slurs whose risks are simply stated."""

from dataclasses import replace
from datetime import date

import numpy as np

from builders.seasons import target
from slurwright.devices.packaged import load_horn, load_practice
from slurwright.plan import Technique
from slurwright.practice.sheet.plan import plan_sheet
from slurwright.practice.sheet.targets import Rescue, SheetRequest, TriedDay
from slurwright.practice.sheet.values import KeptPlan, SheetPart

__all__ = ["DAY", "made_sheet"]

DAY = date(2026, 3, 20)


def made_sheet(risks: list[float], *, minutes: float = 30.0, seed: int = 5, name: str = "Lanterns") -> KeptPlan:
    slurs = []
    for number, risk in enumerate(risks):
        one = target(
            f"slur {number}", risk=risk, low=risk / 3, high=min(1.0, 2 * risk), move=number, bars="bars 3 to 5"
        )
        rescue = Rescue("half-valve", replace(one.tried, technique=Technique.HALF_VALVE), risk / 2)
        days = (TriedDay(date(2026, 3, 18), 3, 1, 2),) if number % 2 else ()
        slurs.append(replace(one, rescue=rescue if number % 3 else None, days=days))
    request = SheetRequest(minutes, DAY, date(2026, 3, 27))
    sheet = plan_sheet(request, slurs, table=load_practice(), rng=np.random.default_rng(seed))
    part = SheetPart("parts/lanterns.musicxml", name, "f1", voice="top")
    return KeptPlan(sheet, (part,), "old silver", load_horn("euphonium-4c").readings[0], dynamic="pp")
