"""How trials are judged as TOML: each figure beside where it is from and why; all faults gathered.

An entry reads ``name = { value = 1.0, from = "ours, provisional", why = "..." }`` as in the table of priors. Blocks
only group the entries.
"""

import math
import tomllib
from collections.abc import Iterator
from dataclasses import fields
from typing import Any

from slurwright.errors import Fault, RequestError
from slurwright.evidence.trial import TrialRules
from slurwright.formats.chances_toml import ORIGINS

__all__ = ["parse_trial_rules"]

_WHERE = "trials.toml"
_CHANCES = {"clear_first", "clear_last", "gain_unlikely", "hardly", "otherwise", "worth_chance", "smooth_mean"}
_COUNTS = {"least_blocks", "most_blocks", "round_tries"}


def parse_trial_rules(text: str) -> TrialRules:
    """Read how trials are judged.

    Args:
        text: TOML with an entry for each field of ``TrialRules``.

    Raises:
        RequestError: not TOML, or an entry that is missing, unknown, out of range or without its origin.
    """
    try:
        blocks = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise RequestError("not TOML", got=str(error), where=_WHERE) from error
    entries = {name: entry for block in blocks.values() if isinstance(block, dict) for name, entry in block.items()}
    wanted = [field.name for field in fields(TrialRules)]
    faults = [Fault("missing entry", allowed=name, where=_WHERE) for name in wanted if name not in entries]
    faults += [Fault("no such entry", got=name, where=_WHERE) for name in entries if name not in wanted]
    faults += [fault for name, entry in entries.items() if name in wanted for fault in _faults_of(name, entry)]
    if faults:
        raise RequestError(faults=tuple(faults))
    rules = TrialRules(**{name: _figure(name, entries[name]["value"]) for name in wanted})
    if rules.hardly + rules.otherwise >= 1.0:
        got = f"{rules.hardly:g} and {rules.otherwise:g}"
        raise RequestError("nothing is left for what the plan believes", got=got, where=_WHERE)
    return rules


def _figure(name: str, value: float) -> Any:
    return int(value) if name in _COUNTS else float(value)


def _faults_of(name: str, entry: object) -> Iterator[Fault]:
    where = f"{_WHERE}, {name}"
    if not isinstance(entry, dict) or set(entry) != {"value", "from", "why"}:
        yield Fault("an entry has value, from and why", got=repr(entry), where=where)
        return
    problem = _problem(name, entry["value"])
    if problem:
        yield Fault("out of range", got=repr(entry["value"]), allowed=problem, where=where)
    if entry["from"] not in ORIGINS:
        yield Fault("no origin", got=repr(entry["from"]), allowed=", ".join(ORIGINS), where=where)
    if not isinstance(entry["why"], str) or not entry["why"].strip():
        yield Fault("no source or reason", got=repr(entry["why"]), where=where)


def _problem(name: str, value: object) -> str:
    """Say what would be allowed instead; empty where the value is."""
    if isinstance(value, bool) or not isinstance(value, int | float) or not math.isfinite(value):
        return "a number"
    if name in _COUNTS:
        return "" if isinstance(value, int) and value >= 1 else "a whole number from 1"
    if name in _CHANCES:
        return "" if 0 < value < 1 else "above 0, below 1"
    return "" if value > 0 else "above 0"
