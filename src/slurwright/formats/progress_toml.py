"""The table of progress as TOML: each figure beside where it is from and why; all faults gathered."""

import math
import tomllib
from collections.abc import Iterator, Mapping
from dataclasses import fields
from typing import Any

from slurwright.errors import Fault, RequestError
from slurwright.evidence.progress_table import NoteRules, ProgressTable, SlurRules
from slurwright.formats.chances_toml import ORIGINS

__all__ = ["parse_progress"]

_BLOCKS: Mapping[str, type[Any]] = {"slurs": SlurRules, "notes": NoteRules}
_SEVERAL = ("scatter_cents", "wander_cents")
_CHANCES = ("sure", "worth", "holds")


def parse_progress(text: str) -> ProgressTable:
    """Read the table of progress.

    Args:
        text: TOML with the blocks slurs and notes.

    Raises:
        RequestError: not TOML, or an entry that is missing, unknown, out of range or without its origin.
    """
    try:
        table = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise RequestError("not TOML", got=str(error), where="progress.toml") from error
    faults = [Fault("no such block", got=name, allowed=", ".join(_BLOCKS)) for name in table if name not in _BLOCKS]
    for name, kind in _BLOCKS.items():
        faults += _faults_of(name, {field.name for field in fields(kind)}, table.get(name, {}))
    if faults:
        raise RequestError(faults=tuple(faults))
    figures = {name: {key: _figure(entry["value"]) for key, entry in table[name].items()} for name in _BLOCKS}
    return ProgressTable(slurs=SlurRules(**figures["slurs"]), notes=NoteRules(**figures["notes"]))


def _figure(value: Any) -> Any:
    return tuple(map(float, value)) if isinstance(value, list) else float(value)


def _faults_of(block: str, names: set[str], entries: object) -> Iterator[Fault]:
    if not isinstance(entries, dict):
        yield Fault("not a block", got=repr(entries), where=block)
        return
    for name in sorted(names - set(entries)):
        yield Fault("missing entry", allowed=name, where=block)
    for name, entry in entries.items():
        where = f"{block}, {name}"
        if name not in names:
            yield Fault("no such entry", got=name, allowed=", ".join(sorted(names)), where=block)
        elif not isinstance(entry, dict) or set(entry) != {"value", "from", "why"}:
            yield Fault("an entry has value, from and why", got=repr(entry), where=where)
        else:
            yield from _faults_of_entry(name, entry, where)


def _faults_of_entry(name: str, entry: Mapping[str, Any], where: str) -> Iterator[Fault]:
    value = entry["value"]
    several = value if isinstance(value, list) else [value]
    if isinstance(value, list) != (name in _SEVERAL) or not several:
        allowed = "a list of numbers" if name in _SEVERAL else "one number"
        yield Fault("not of this form", got=repr(value), allowed=allowed, where=where)
    for one in several:
        if isinstance(one, bool) or not isinstance(one, int | float) or not math.isfinite(one) or one <= 0:
            yield Fault("out of range", got=repr(one), allowed="a number above 0", where=where)
        elif name in _CHANCES and one >= 1:
            yield Fault("out of range", got=repr(one), allowed="above 0, below 1", where=where)
    if entry["from"] not in ORIGINS:
        yield Fault("no origin", got=repr(entry["from"]), allowed=", ".join(ORIGINS), where=where)
    if not isinstance(entry["why"], str) or not entry["why"].strip():
        yield Fault("no source or reason", got=repr(entry["why"]), where=where)
