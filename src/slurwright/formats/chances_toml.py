"""The table of priors as TOML: each figure beside where it is from and why; all faults gathered.

An entry reads ``name = { value = 1.0, from = "derived", why = "..." }``. ``from`` is one of `ORIGINS`, ``why`` names
the source of a published figure and the reason for any other.
"""

import math
import tomllib
from collections.abc import Iterator
from dataclasses import fields
from typing import Any

from slurwright.errors import Fault, RequestError
from slurwright.plan.chances import (
    Chances,
    FingerChances,
    SlideChances,
    SlurChances,
    TechniqueChances,
    TuneChances,
)

__all__ = ["ORIGINS", "parse_chances"]

ORIGINS = ("published", "derived", "common practice", "from memory", "ours, provisional")
_BLOCKS: dict[str, type[Any]] = {
    "slur": SlurChances,
    "slide": SlideChances,
    "technique": TechniqueChances,
    "fingers": FingerChances,
    "tune": TuneChances,
}
_LIMITS = ("weak_above",)
_UNIT_INTERVAL = {
    "tongue_known",
    "half_valve_known",
    "normal",
    "departing",
    "even_each_semitone",
    "even_each_rung",
    "weak_above",
}
_ABOVE_ZERO = {
    "edge_cents",
    "usual_trip_s",
    "need_s",
    "slide_need_s",
    "short_s",
    "noticed_cents",
    "same_place_m",
    "smear_usual_m",
}
_NOT_BELOW_ZERO = {
    "each_gap",
    "each_interval",
    "each_skipped",
    "each_closer",
    "each_softer",
    "each_louder",
    "down",
    "each_doubling",
    "settle_trips",
    "hurry",
    "cover",
    "valve_each_softer",
    "each_dm",
    "tongued_each_softer",
    "crossing_each_dm",
    "half_valve_moves",
    "each_moved",
    "each_contrary",
    "thumb",
    "need_each_moved_s",
    "slide_each_dm",
    "slide_need_each_dm_s",
    "lipped_down_cents",
    "lipped_up_cents",
    "loudest",
    "close_below_cents",
}


def parse_chances(text: str) -> Chances:
    """Read the table of priors.

    Args:
        text: TOML with the blocks slur, slide, technique, fingers, tune and limits.

    Raises:
        RequestError: not TOML, or an entry that is missing, unknown, out of range or without its origin.

    """
    try:
        table = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise RequestError("not TOML", got=str(error), where="table of chances") from error
    wanted = {block: tuple(field.name for field in fields(kind)) for block, kind in _BLOCKS.items()}
    wanted["limits"] = _LIMITS
    faults = [Fault("no such block", got=block, allowed=", ".join(wanted)) for block in table if block not in wanted]
    for block, names in wanted.items():
        faults += _faults_of(block, names, table.get(block, {}))
    if faults:
        raise RequestError(faults=tuple(faults))
    figures = {block: {name: float(entry["value"]) for name, entry in table[block].items()} for block in wanted}
    return Chances(
        slur=SlurChances(**figures["slur"]),
        slide=SlideChances(**figures["slide"]),
        technique=TechniqueChances(**figures["technique"]),
        fingers=FingerChances(**figures["fingers"]),
        tune=TuneChances(**figures["tune"]),
        weak_above=figures["limits"]["weak_above"],
    )


def _faults_of(block: str, names: tuple[str, ...], entries: object) -> Iterator[Fault]:
    """Check one block against the names that it must have."""
    if not isinstance(entries, dict):
        yield Fault("not a block", got=repr(entries), where=block)
        return
    for name in names:
        if name not in entries:
            yield Fault("missing entry", allowed=name, where=block)
    for name, entry in entries.items():
        where = f"{block}, {name}"
        if name not in names:
            yield Fault("no such entry", got=name, allowed=", ".join(names), where=block)
        elif not isinstance(entry, dict) or set(entry) != {"value", "from", "why"}:
            yield Fault("an entry has value, from and why", got=repr(entry), where=where)
        else:
            yield from _faults_of_entry(name, entry, where)


def _faults_of_entry(name: str, entry: dict[str, Any], where: str) -> Iterator[Fault]:
    """Check one figure and its origin."""
    value = entry["value"]
    if isinstance(value, bool) or not isinstance(value, int | float) or not math.isfinite(value):
        yield Fault("not a number", got=repr(value), where=where)
    elif name in _UNIT_INTERVAL and not 0 < value <= 1:
        yield Fault("out of range", got=repr(value), allowed="above 0, up to 1", where=where)
    elif name in _ABOVE_ZERO and value <= 0:
        yield Fault("out of range", got=repr(value), allowed="above 0", where=where)
    elif name in _NOT_BELOW_ZERO and value < 0:
        yield Fault("out of range", got=repr(value), allowed="0 or above", where=where)
    if entry["from"] not in ORIGINS:
        yield Fault("no origin", got=repr(entry["from"]), allowed=", ".join(ORIGINS), where=where)
    if not isinstance(entry["why"], str) or not entry["why"].strip():
        yield Fault("no source or reason", got=repr(entry["why"]), where=where)
