"""The design of a trial as a JSON document that is kept with it, and back; every figure to its last digit."""

import json
from collections.abc import Mapping
from dataclasses import fields
from typing import Any

from slurwright.errors import Fault, StoreError
from slurwright.evidence.trial.values import MOST_ARMS, Arm, Aspect, TrialDesign, TrialRules
from slurwright.formats.json_fields import (
    Kind,
    a_number,
    a_text,
    a_whole_number,
    any_text,
    exactly,
    list_of,
    named,
    parse_json,
    read_fields,
    true_or_false,
)
from slurwright.listen.kept import TakenPart, TakenWay
from slurwright.pitch import Clef, SoundingPitch, Transposition, WrittenPitch
from slurwright.plan import Technique

__all__ = ["TRIAL_SCHEMA", "design_from_json", "design_to_json"]

TRIAL_SCHEMA = 1
"""Version of the document."""
_FORMAT = "slurwright trial"
_COUNTS = ("least_blocks", "most_blocks", "round_tries")
_LONGEST = 1000

Json = dict[str, Any]


def design_to_json(design: TrialDesign) -> str:
    """Write the design of a trial; the same design gives the same text.

    Args:
        design: the trial as it is laid down.
    """
    document = {
        "format": _FORMAT,
        "schema": TRIAL_SCHEMA,
        **{name: getattr(design, name) for name in _DESIGN},
        "aim": design.aim.value,
        "clef": design.clef.value,
        "transposition": {name: getattr(design.transposition, name) for name in _TRANSPOSITION},
        "part": {name: getattr(design.part, name) for name in _PART},
        "arms": [_arm_fields(arm) for arm in design.arms],
        "rules": {field.name: getattr(design.rules, field.name) for field in fields(TrialRules)},
    }
    return json.dumps(document, ensure_ascii=False, allow_nan=False, sort_keys=True)


def design_from_json(text: str) -> TrialDesign:
    """Read the design of a trial.

    Args:
        text: the document.

    Raises:
        StoreError: it is no such document, or has faults; all faults at once.
    """
    faults: list[Fault] = []
    document = parse_json(text, where="trial")
    kinds: Mapping[str, Kind] = {
        "format": exactly(_FORMAT),
        "schema": exactly(TRIAL_SCHEMA),
        **_DESIGN,
        "aim": named(Aspect),
        "clef": named(Clef),
        "transposition": lambda value: Transposition(**_inner(value, _TRANSPOSITION, "trial.transposition", faults)),
        "part": lambda value: TakenPart(**_inner(value, _PART, "trial.part", faults)),
        "arms": list_of(lambda value: _arm(value, faults)),
        "rules": lambda value: TrialRules(**_inner(value, _RULES, "trial.rules", faults)),
    }
    found = read_fields(document, kinds, "trial", faults)
    if not faults and not 2 <= len(found["arms"]) <= MOST_ARMS:
        faults.append(Fault("too few or too many arms", got=str(len(found["arms"])), allowed="2 to 4", where="trial"))
    if not faults and not 1 <= found["rules"].most_blocks <= _LONGEST:
        faults.append(Fault("not a length of a trial", got=str(found["rules"].most_blocks), where="trial.rules"))
    if faults:
        raise StoreError(faults=tuple(faults))
    del found["format"], found["schema"]
    return TrialDesign(**found)


def _inner(value: object, kinds: Mapping[str, Kind], where: str, faults: list[Fault]) -> dict[str, Any]:
    """Read an object inside; what is wrong with it is gathered, and it is then not made."""
    before = len(faults)
    found = read_fields(value, kinds, where, faults)
    if len(faults) > before:
        raise ValueError("without these faults")
    return found


def _arm_fields(arm: Arm) -> Json:
    return {
        "name": arm.name,
        "ways": [
            {
                "written": str(way.written),
                "sounding": str(way.sounding),
                "fingering": way.fingering,
                "partial": way.partial,
            }
            for way in arm.ways
        ],
        "technique": arm.technique.value,
        "chance": arm.chance,
        "learnt": arm.learnt,
        "cents": list(arm.cents),
    }


def _arm(value: object, faults: list[Fault]) -> Arm:
    return Arm(
        **_inner(
            value,
            {
                "name": a_text,
                "ways": _two(lambda way: TakenWay(**_inner(way, _WAY, "trial.arms.ways", faults))),
                "technique": named(Technique),
                "chance": a_number,
                "learnt": true_or_false,
                "cents": _two(a_number),
            },
            "trial.arms",
            faults,
        )
    )


def _two(kind: Kind) -> Kind:
    def take(value: object) -> tuple[Any, ...]:
        found = list_of(kind)(value)
        if len(found) != 2:
            raise ValueError("two of them")
        return found

    return take


_DESIGN: Mapping[str, Kind] = {
    "label": any_text,
    "key_fifths": a_whole_number,
    "mark": any_text,
    "dynamic": a_number,
    "tempo_qpm": a_number,
    "time_s": a_number,
    "hold_s": a_number,
    "seed": a_whole_number,
}
_PART: Mapping[str, Kind] = {"file": any_text, "fingerprint": any_text, "title": any_text, "name": any_text}
_TRANSPOSITION: Mapping[str, Kind] = {"diatonic": a_whole_number, "semitones": a_whole_number}
_WAY: Mapping[str, Kind] = {
    "written": named(WrittenPitch.named),
    "sounding": named(SoundingPitch.named),
    "fingering": a_text,
    "partial": a_whole_number,
}
_RULES: Mapping[str, Kind] = {
    field.name: a_whole_number if field.name in _COUNTS else a_number for field in fields(TrialRules)
}
