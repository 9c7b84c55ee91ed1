"""A practice sheet as a JSON document that is kept with it, and back; every figure to its last digit."""

import json
from collections.abc import Callable, Mapping
from typing import Any

from slurwright.errors import Fault, StoreError
from slurwright.evidence.attempts import Tried
from slurwright.formats.json_fields import (
    Kind,
    a_date,
    a_number,
    a_text,
    a_whole_number,
    any_text,
    exactly,
    list_of,
    maybe,
    named,
    parse_json,
    read_fields,
    true_or_false,
)
from slurwright.listen.kept import TakenWay
from slurwright.pitch import Clef, Reading, SoundingPitch, Transposition, WrittenPitch
from slurwright.plan import Technique
from slurwright.practice.sheet.targets import Rescue, Target, TriedDay
from slurwright.practice.sheet.values import Coming, ItemKind, KeptPlan, Sheet, SheetItem, SheetPart

__all__ = ["SHEET_SCHEMA", "plan_from_json", "plan_to_json", "tried_fields"]

SHEET_SCHEMA = 1
"""Version of the document."""
_FORMAT = "slurwright practice sheet"

Json = dict[str, Any]


def plan_to_json(plan: KeptPlan) -> str:
    """Write a sheet with all that it was made from; the same sheet gives the same text.

    Args:
        plan: the sheet and its parts.
    """
    sheet = plan.sheet
    document = {
        "format": _FORMAT,
        "schema": SHEET_SCHEMA,
        **{name: getattr(plan, name) for name in _PLAN},
        "reading": {
            "id": plan.reading.id,
            "name": plan.reading.name,
            "clef": plan.reading.clef.value,
            "transposition": {name: getattr(plan.reading.transposition, name) for name in _TRANSPOSITION},
        },
        "parts": [{name: getattr(part, name) for name in _PART} for part in plan.parts],
        "sheet": {
            **{name: getattr(sheet, name) for name in _SHEET},
            "day": sheet.day.isoformat(),
            "concert": sheet.concert.isoformat() if sheet.concert else None,
            "items": [_item_fields(item) for item in sheet.items],
            "targets": [_target_fields(target) for target in sheet.targets],
            "coming": [
                {"names": list(one.names), "label": one.label, "due": one.due.isoformat()} for one in sheet.coming
            ],
            "notices": list(sheet.notices),
        },
    }
    return json.dumps(document, ensure_ascii=False, allow_nan=False, sort_keys=True)


def plan_from_json(text: str) -> KeptPlan:
    """Read a sheet.

    Args:
        text: the document.

    Raises:
        StoreError: it is no such document, or has faults; all faults at once.
    """
    faults: list[Fault] = []
    moved = _object(Transposition, _TRANSPOSITION, "sheet.reading", faults)
    part = _object(SheetPart, _PART, "sheet.parts", faults)
    kinds: Mapping[str, Kind] = {
        "format": exactly(_FORMAT),
        "schema": exactly(SHEET_SCHEMA),
        **_PLAN,
        "reading": _object(Reading, {**_READING, "transposition": moved}, "sheet.reading", faults),
        "parts": list_of(part),
        "sheet": _sheet_kind(faults),
    }
    found = read_fields(parse_json(text, where="sheet"), kinds, "sheet", faults)
    if not faults:
        sheet: Sheet = found["sheet"]
        reach = [item.target for item in sheet.items if item.target is not None]
        if any(not 0 <= one < len(sheet.targets) for one in reach):
            faults.append(Fault("an item is about a slur that is not on the sheet", where="sheet.items"))
    if faults:
        raise StoreError(faults=tuple(faults))
    del found["format"], found["schema"]
    return KeptPlan(**found)


def tried_fields(tried: Tried) -> Json:
    """Lay out how a slur is tried.

    Args:
        tried: ways, technique and circumstances.
    """
    return {
        "ways": [
            {
                "written": str(way.written),
                "sounding": str(way.sounding),
                "fingering": way.fingering,
                "partial": way.partial,
            }
            for way in tried.ways
        ],
        "technique": tried.technique.value,
        **{name: getattr(tried, name) for name in _TRIED},
    }


def _item_fields(item: SheetItem) -> Json:
    return {
        **{name: getattr(item, name) for name in _ITEM},
        "kind": item.kind.value,
        "tried": None if item.tried is None else tried_fields(item.tried),
    }


def _target_fields(target: Target) -> Json:
    rescue = target.rescue
    return {
        **{name: getattr(target, name) for name in _TARGET},
        "tried": tried_fields(target.tried),
        "names": list(target.names),
        "rescue": rescue and {"name": rescue.name, "tried": tried_fields(rescue.tried), "risk": rescue.risk},
        "days": [
            {"played_on": day.played_on.isoformat(), "good": day.good, "rough": day.rough, "missed": day.missed}
            for day in target.days
        ],
    }


def _sheet_kind(faults: list[Fault]) -> Kind:
    """What a sheet is in the document."""
    way = _object(TakenWay, _WAY, "sheet.ways", faults)
    tried = _object(Tried, {**_TRIED, "ways": _two(way), "technique": named(Technique)}, "sheet.tried", faults)
    rescue = _object(Rescue, {"name": a_text, "tried": tried, "risk": a_number}, "sheet.rescue", faults)
    day = _object(TriedDay, _DAY, "sheet.days", faults)
    target = {**_TARGET, "tried": tried, "names": _two(a_text), "rescue": maybe(rescue), "days": list_of(day)}
    item = {**_ITEM, "kind": named(ItemKind), "tried": maybe(tried)}
    coming = {"names": _two(a_text), "label": any_text, "due": a_date}
    kinds = {
        **_SHEET,
        "day": a_date,
        "concert": maybe(a_date),
        "items": list_of(_object(SheetItem, item, "sheet.items", faults)),
        "targets": list_of(_object(Target, target, "sheet.targets", faults)),
        "coming": list_of(_object(Coming, coming, "sheet.coming", faults)),
        "notices": list_of(any_text),
    }
    return _object(Sheet, kinds, "sheet", faults)


def _object(make: Callable[..., Any], kinds: Mapping[str, Kind], where: str, faults: list[Fault]) -> Kind:
    """Read an object inside; what is wrong with it is gathered, and it is then not made."""

    def take(value: object) -> Any:
        before = len(faults)
        found = read_fields(value, kinds, where, faults)
        if len(faults) > before:
            raise ValueError("without these faults")
        return make(**found)

    return take


def _two(kind: Kind) -> Kind:
    def take(value: object) -> tuple[Any, ...]:
        found = list_of(kind)(value)
        if len(found) != 2:
            raise ValueError("two of them")
        return found

    return take


def _count(value: object) -> int:
    found = a_whole_number(value)
    if found < 0:
        raise ValueError("0 or above")
    return found


_PLAN: Mapping[str, Kind] = {
    "horn": a_text,
    "asked_reading": true_or_false,
    "dynamic": maybe(a_text),
    "tempo_qpm": maybe(a_number),
    "tuning": maybe(a_text),
}
_READING: Mapping[str, Kind] = {"id": a_text, "name": a_text, "clef": named(Clef)}
_TRANSPOSITION: Mapping[str, Kind] = {"diatonic": a_whole_number, "semitones": a_whole_number}
_PART: Mapping[str, Kind] = {
    "path": a_text,
    "name": any_text,
    "fingerprint": any_text,
    "part": maybe(any_text),
    "voice": maybe(any_text),
    "written_for": maybe(any_text),
}
_SHEET: Mapping[str, Kind] = {
    "minutes": a_number,
    "considered": _count,
    "before": a_number,
    "after": a_number,
    "settle_s": a_number,
}
_ITEM: Mapping[str, Kind] = {
    "play_s": a_number,
    "rest_s": a_number,
    "tries": _count,
    "set_tries": _count,
    "target": maybe(_count),
    "seed": _count,
}
_TARGET: Mapping[str, Kind] = {
    "key": a_text,
    "risk": a_number,
    "low": a_number,
    "high": a_number,
    "prior": a_number,
    "attempts": a_number,
    "times": _count,
    "height": a_number,
    "passage_s": a_number,
    "dotted": true_or_false,
    "bars": any_text,
    "part": _count,
    "move": _count,
    "fingerprint": any_text,
    "label": any_text,
}
_TRIED: Mapping[str, Kind] = {"dynamic": a_number, "tempo_qpm": a_number, "time_s": a_number, "hold_s": a_number}
_WAY: Mapping[str, Kind] = {
    "written": lambda value: WrittenPitch.named(a_text(value)),
    "sounding": lambda value: SoundingPitch.named(a_text(value)),
    "fingering": a_text,
    "partial": _count,
}
_DAY: Mapping[str, Kind] = {"played_on": a_date, "good": _count, "rough": _count, "missed": _count}
