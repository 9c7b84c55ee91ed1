"""What is believed of players as TOML: each figure beside where it is from and why; all faults gathered.

An entry reads ``name = { value = 1.0, from = "ours, provisional", why = "..." }`` as in the table of priors; a value
may be a list of numbers.
"""

import math
import tomllib
from collections.abc import Iterator
from dataclasses import fields
from typing import Any, get_type_hints

from slurwright.errors import Fault, RequestError
from slurwright.evidence.beliefs import Beliefs
from slurwright.formats.chances_toml import ORIGINS

__all__ = ["parse_beliefs"]

_BLOCKS: dict[str, type[Any]] = get_type_hints(Beliefs)
_UNIT_INTERVAL = {"good", "rough", "missed", "trusted"}
_BELOW_HALF = {"doubt"}
_KNOTS = {"crossing_knots_weeks", "ways_knots_weeks"}


def parse_beliefs(text: str) -> Beliefs:
    """Read what is believed of players.

    Args:
        text: TOML with one block for each field of ``Beliefs``.

    Raises:
        RequestError: not TOML, or an entry that is missing, unknown, out of range or without its origin.
    """
    try:
        table = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise RequestError("not TOML", got=str(error), where="table of beliefs") from error
    faults = [
        Fault("no such block", got=block, allowed=", ".join(_BLOCKS)) for block in table if block not in _BLOCKS
    ]
    for block, kind in _BLOCKS.items():
        faults += _faults_of(block, get_type_hints(kind), table.get(block, {}))
    if faults:
        raise RequestError(faults=tuple(faults))
    blocks = {
        block: kind(**{field.name: _figure(table[block][field.name]["value"]) for field in fields(kind)})
        for block, kind in _BLOCKS.items()
    }
    return Beliefs(**blocks)


def _figure(value: float | list[float]) -> float | tuple[float, ...]:
    return tuple(float(one) for one in value) if isinstance(value, list) else float(value)


def _faults_of(block: str, wanted: dict[str, Any], entries: object) -> Iterator[Fault]:
    """Check one block against the names that it must have."""
    if not isinstance(entries, dict):
        yield Fault("not a block", got=repr(entries), where=block)
        return
    for name in wanted:
        if name not in entries:
            yield Fault("missing entry", allowed=name, where=block)
    for name, entry in entries.items():
        where = f"{block}, {name}"
        if name not in wanted:
            yield Fault("no such entry", got=name, allowed=", ".join(wanted), where=block)
        elif not isinstance(entry, dict) or set(entry) != {"value", "from", "why"}:
            yield Fault("an entry has value, from and why", got=repr(entry), where=where)
        else:
            yield from _faults_of_entry(name, entry, where, several=wanted[name] is not float)


def _faults_of_entry(name: str, entry: dict[str, Any], where: str, *, several: bool) -> Iterator[Fault]:
    """Check one figure, or a list of them, and its origin."""
    value = entry["value"]
    if several != isinstance(value, list) or value == []:
        yield Fault("wrong kind of value", got=repr(value), allowed="numbers" if several else "a number", where=where)
        return
    for one in value if several else [value]:
        problem = _problem(name, one)
        if problem:
            yield Fault("out of range", got=repr(one), allowed=problem, where=where)
            return
    if name in _KNOTS and (value[0] != 0 or value != sorted(set(value))):
        yield Fault("not ages", got=repr(value), allowed="numbers that rise from 0", where=where)
    if entry["from"] not in ORIGINS:
        yield Fault("no origin", got=repr(entry["from"]), allowed=", ".join(ORIGINS), where=where)
    if not isinstance(entry["why"], str) or not entry["why"].strip():
        yield Fault("no source or reason", got=repr(entry["why"]), where=where)


def _problem(name: str, value: object) -> str:
    """Say what would be allowed instead; empty where the value is."""
    if isinstance(value, bool) or not isinstance(value, int | float) or not math.isfinite(value):
        return "a number"
    if name in _KNOTS:
        return "" if value >= 0 else "0 or above"
    if name in _UNIT_INTERVAL:
        return "" if 0 <= value <= 1 else "0 to 1"
    if name in _BELOW_HALF:
        return "" if 0 <= value < 0.5 else "0 or above, below 0.5"
    return "" if value > 0 else "above 0"
