"""The table of practice as TOML: each figure beside where it is from and why; all faults gathered.

An entry reads as in the table of priors: ``name = { value = 1.0, from = "derived", why = "..." }``.
"""

import math
import tomllib
from collections.abc import Iterator
from dataclasses import fields
from typing import Any

from slurwright.errors import Fault, RequestError
from slurwright.formats.chances_toml import ORIGINS
from slurwright.practice.table import GainTable, PracticeTable, ReturnTable, ShapeTable, TimeTable

__all__ = ["practice_from_toml"]

_BLOCKS: dict[str, type[Any]] = {"gain": GainTable, "returns": ReturnTable, "time": TimeTable, "shape": ShapeTable}
_SHARES = {
    "again",
    "kept",
    "share",
    "good_from",
    "rough_counts",
    "warm_up_share",
    "lip_slurs_share",
    "least_risk",
    "high_from",
    "ease_above",
    "ease_tempo",
    "passage_share",
    "passage_below",
    "rescue_above",
}
_ANY_SIGN = {"soft_to"}
_AT_LEAST_ONE = {"rest_each", "soft_high_rest_each", "set_tries", "most_tries", "most_slurs", "longest_days"}


def practice_from_toml(text: str) -> PracticeTable:
    """Read the table of practice.

    Args:
        text: TOML with the blocks gain, returns, time and shape.

    Raises:
        RequestError: not TOML, or an entry that is missing, unknown, out of range or without its origin.

    """
    try:
        table = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise RequestError("not TOML", got=str(error), where="table of practice") from error
    faults = [
        Fault("no such block", got=block, allowed=", ".join(_BLOCKS)) for block in table if block not in _BLOCKS
    ]
    for block, kind in _BLOCKS.items():
        faults += _faults_of(block, tuple(field.name for field in fields(kind)), table.get(block, {}))
    if faults:
        raise RequestError(faults=tuple(faults))
    figures = {block: {name: float(entry["value"]) for name, entry in table[block].items()} for block in _BLOCKS}
    return PracticeTable(**{block: kind(**figures[block]) for block, kind in _BLOCKS.items()})


def _faults_of(block: str, names: tuple[str, ...], entries: object) -> Iterator[Fault]:
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
    value = entry["value"]
    if isinstance(value, bool) or not isinstance(value, int | float) or not math.isfinite(value):
        yield Fault("not a number", got=repr(value), where=where)
    elif name in _SHARES and not 0 < value <= 1:
        yield Fault("out of range", got=repr(value), allowed="above 0, up to 1", where=where)
    elif name in _AT_LEAST_ONE and value < 1:
        yield Fault("out of range", got=repr(value), allowed="1 or above", where=where)
    elif name not in _ANY_SIGN and value <= 0:
        yield Fault("out of range", got=repr(value), allowed="above 0", where=where)
    if entry["from"] not in ORIGINS:
        yield Fault("no origin", got=repr(entry["from"]), allowed=", ".join(ORIGINS), where=where)
    if not isinstance(entry["why"], str) or not entry["why"].strip():
        yield Fault("no source or reason", got=repr(entry["why"]), where=where)
