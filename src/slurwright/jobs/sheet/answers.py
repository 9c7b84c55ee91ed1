"""A practice sheet as a JSON answer."""

from typing import Any

from slurwright.evidence.kept import TickState
from slurwright.formats.sheet_json import tried_fields
from slurwright.jobs.sheet.words import item_how, item_title, rest_words, risk_words
from slurwright.jobs.words import CAUTIONS
from slurwright.practice.sheet.targets import Target
from slurwright.practice.sheet.values import ItemKind, KeptPlan, SheetItem

__all__ = ["sheet_answer"]

Json = dict[str, Any]


def sheet_answer(plan: KeptPlan, *, sheet_id: str | None = None, states: dict[int, TickState] | None = None) -> Json:
    """Lay a sheet out for programs.

    Args:
        plan: the sheet.
        sheet_id: under which it is kept; None where it is not.
        states: what was done of it, by index into its items.
    """
    sheet = plan.sheet
    numbers = {index: number for number, index in enumerate(sheet.work, start=1)}
    return {
        "sheet": sheet_id,
        "day": sheet.day.isoformat(),
        "minutes": sheet.minutes,
        "concert": sheet.concert.isoformat() if sheet.concert else None,
        "horn": plan.horn,
        "parts": [{"file": part.path, "name": part.name} for part in plan.parts],
        "play_s": round(sheet.play_s, 1),
        "rest_s": round(sheet.rest_s, 1),
        "settle_s": round(sheet.settle_s, 1),
        "chance": {
            "slurs": sheet.considered,
            "without": round(sheet.before, 6),
            "with": round(sheet.after, 6),
            "provenance": "model of practice, provisional",
        },
        "items": [
            _item(plan, item, numbers.get(index), (states or {}).get(index)) for index, item in enumerate(sheet.items)
        ],
        "slurs": [_slur(plan, target) for target in sheet.targets],
        "coming": [
            {"notes": list(one.names), "place": one.label, "due": one.due.isoformat()} for one in sheet.coming
        ],
        "notices": list(sheet.notices),
        "cautions": list(CAUTIONS),
    }


def _item(plan: KeptPlan, item: SheetItem, number: int | None, state: TickState | None) -> Json:
    return {
        "number": number,
        "kind": item.kind.value,
        "title": item_title(plan, item),
        "how": rest_words(item) if item.kind is ItemKind.REST else item_how(plan, item),
        "play_s": round(item.play_s, 1),
        "rest_s": round(item.rest_s, 1),
        "tries": item.tries,
        "slur": item.target,
        "tried": None if item.tried is None else tried_fields(item.tried),
        "seed": item.seed,
        "state": state.value if state else None,
    }


def _slur(plan: KeptPlan, target: Target) -> Json:
    part = plan.parts[target.part] if target.part < len(plan.parts) else None
    return {
        "notes": list(target.names),
        "place": target.label,
        "part": part.name if part else "",
        "times": target.times,
        "risk": {
            "value": round(target.risk, 4),
            "low": round(target.low, 4),
            "high": round(target.high, 4),
            "prior": round(target.prior, 4),
            "attempts": round(target.attempts, 1),
            "words": risk_words(target),
        },
        "rescue": target.rescue_named or None,
        "tried_before": sum(day.tries for day in target.days),
    }
