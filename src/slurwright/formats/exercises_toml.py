"""The table of figures by which exercises are made: TOML text to a value, all faults gathered."""

import tomllib
from dataclasses import fields

from slurwright.errors import Fault, RequestError
from slurwright.practice.exercise_rules import ExerciseRules

__all__ = ["parse_exercise_rules"]

_WHERE = "exercises.toml"
_TAGS = ("published", "derived", "common practice", "from memory", "ours, provisional")


def parse_exercise_rules(text: str) -> ExerciseRules:
    """Read the figures; every entry says where it is from and why.

    Args:
        text: TOML, blocks of ``name = { value = 1.0, from = "…", why = "…" }``.

    Raises:
        RequestError: not TOML, an entry missing, unknown, without provenance, or with no number.

    """
    try:
        blocks = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise RequestError("not TOML", got=str(error), where=_WHERE) from error
    entries = {name: entry for block in blocks.values() if isinstance(block, dict) for name, entry in block.items()}
    names = [field.name for field in fields(ExerciseRules)]
    faults = [Fault("missing entry", allowed=name, where=_WHERE) for name in names if name not in entries]
    for name, entry in entries.items():
        faults += _faults(name, entry, names)
    if faults:
        raise RequestError(faults=tuple(faults))
    return ExerciseRules(**{name: float(entry["value"]) for name, entry in entries.items()})


def _faults(name: str, entry: object, names: list[str]) -> list[Fault]:
    where = f"{_WHERE}, {name}"
    if name not in names:
        return [Fault("no such entry", got=name, allowed=", ".join(names), where=_WHERE)]
    if not isinstance(entry, dict):
        return [Fault("an entry needs value, from and why", got=repr(entry), where=where)]
    found = []
    value = entry.get("value")
    if isinstance(value, bool) or not isinstance(value, int | float):
        found.append(Fault("not a number", got=repr(value), where=where))
    elif name != "soft_steps" and value <= 0:
        found.append(Fault("not above zero", got=repr(value), where=where))
    if entry.get("from") not in _TAGS:
        found.append(
            Fault("no tag of provenance", got=repr(entry.get("from")), allowed=", ".join(_TAGS), where=where)
        )
    if not str(entry.get("why", "")).strip():
        found.append(Fault("no reason", allowed="why", where=where))
    return found
