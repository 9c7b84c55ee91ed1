"""Tables of figures as TOML, each figure beside where it is from and why: read whole, or every fault is said.

An entry reads ``name = { value = 1.0, from = "derived", why = "..." }``. ``from`` is one of `ORIGINS`, ``why`` names
the source of a published figure and the reason for any other. A value is a number, or a list of numbers where the
table says so. What range a figure has is the business of its own table.
"""

import math
import tomllib
from collections.abc import Callable, Collection, Iterator, Mapping
from typing import Any

from slurwright.errors import Fault, RequestError

__all__ = ["ORIGINS", "Figures", "read_blocks", "read_entries"]

ORIGINS = ("published", "derived", "common practice", "from memory", "ours, provisional")
Figures = dict[str, Any]
"""Name -> float, or tuple of floats where the table holds a list."""
Problem = Callable[[str, float], str]
"""(name, number) -> what would be allowed instead; empty where the number is."""


def read_blocks(
    text: str,
    wanted: Mapping[str, Collection[str]],
    *,
    called: str,
    problem: Problem,
    lists: Collection[str] = (),
) -> dict[str, Figures]:
    """Read a table whose blocks have names of their own.

    Args:
        text: TOML.
        wanted: block -> the names of its entries, all of which must be there and no others.
        called: what the table is called in messages.
        problem: says what would be allowed in place of a number.
        lists: names of entries that hold a list of numbers, one or more.

    Raises:
        RequestError: not TOML, or an entry that is missing, unknown, out of range or without its origin.
    """
    table = _parsed(text, called)
    faults = [Fault("no such block", got=block, allowed=", ".join(wanted)) for block in table if block not in wanted]
    for block, names in wanted.items():
        entries = table.get(block, {})
        if isinstance(entries, dict):
            faults += _faults(entries, names, where=block, problem=problem, lists=lists)
        else:
            faults.append(Fault("not a block", got=repr(entries), where=block))
    if faults:
        raise RequestError(faults=tuple(faults))
    return {block: _figures(table[block]) for block in wanted}


def read_entries(text: str, wanted: Collection[str], *, called: str, problem: Problem) -> Figures:
    """Read a table whose blocks only group its entries.

    Args:
        text: TOML.
        wanted: the names of all entries; all must be there, and no others.
        called: what the table is called in messages.
        problem: says what would be allowed in place of a number.

    Raises:
        RequestError: not TOML, or an entry that is missing, unknown, out of range or without its origin.
    """
    blocks = _parsed(text, called).values()
    entries = {name: entry for block in blocks if isinstance(block, dict) for name, entry in block.items()}
    faults = tuple(_faults(entries, wanted, where=called, problem=problem, lists=()))
    if faults:
        raise RequestError(faults=faults)
    return _figures(entries)


def _parsed(text: str, called: str) -> dict[str, Any]:
    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise RequestError("not TOML", got=str(error), where=called) from error


def _figures(entries: Mapping[str, Any]) -> Figures:
    """Take the values of entries that have no faults."""
    values = {name: entry["value"] for name, entry in entries.items()}
    return {
        name: tuple(map(float, value)) if isinstance(value, list) else float(value) for name, value in values.items()
    }


def _faults(
    entries: Mapping[str, Any], wanted: Collection[str], *, where: str, problem: Problem, lists: Collection[str]
) -> Iterator[Fault]:
    """Check entries against the names that must be there."""
    for name in wanted:
        if name not in entries:
            yield Fault("missing entry", allowed=name, where=where)
    for name, entry in entries.items():
        if name not in wanted:
            yield Fault("no such entry", got=name, allowed=", ".join(wanted), where=where)
        elif not isinstance(entry, dict) or set(entry) != {"value", "from", "why"}:
            yield Fault("an entry has value, from and why", got=repr(entry), where=f"{where}, {name}")
        else:
            yield from _faults_of_value(name, entry["value"], f"{where}, {name}", problem, several=name in lists)
            yield from _faults_of_origin(entry, f"{where}, {name}")


def _faults_of_value(name: str, value: object, where: str, problem: Problem, *, several: bool) -> Iterator[Fault]:
    if several != isinstance(value, list) or value == []:
        yield Fault("not a list of numbers" if several else "not a number", got=repr(value), where=where)
        return
    for one in value if isinstance(value, list) else [value]:
        if isinstance(one, bool) or not isinstance(one, int | float) or not math.isfinite(one):
            yield Fault("not a number", got=repr(one), where=where)
        elif allowed := problem(name, one):
            yield Fault("out of range", got=repr(one), allowed=allowed, where=where)


def _faults_of_origin(entry: Mapping[str, Any], where: str) -> Iterator[Fault]:
    if entry["from"] not in ORIGINS:
        yield Fault("no origin", got=repr(entry["from"]), allowed=", ".join(ORIGINS), where=where)
    if not isinstance(entry["why"], str) or not entry["why"].strip():
        yield Fault("no source or reason", got=repr(entry["why"]), where=where)
