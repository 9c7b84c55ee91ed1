"""Limits of listening, from their table."""

import math
import tomllib
from collections.abc import Iterator
from dataclasses import fields
from typing import Any, get_type_hints

from slurwright.errors import Fault, SoundError
from slurwright.formats.figures_toml import ORIGINS
from slurwright.listen.limits import Limits

__all__ = ["limits_from_toml"]

_WHERE = "listening.toml"
_SAYING = ("tag", "source")
_BLOCKS: dict[str, type[Any]] = get_type_hints(Limits)
_PAIR = tuple[float, float]


def limits_from_toml(text: str) -> Limits:
    """Read the limits; every block must say where its figures are from.

    Args:
        text: the table; one block for each field of ``Limits``.

    Raises:
        SoundError: a block or figure is missing, unknown or of the wrong kind, or a block has no tag or source.
    """
    try:
        blocks = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise SoundError("the table of limits is not TOML", got=str(error), where=_WHERE) from error
    faults = [Fault("no such block", got=name, where=_WHERE) for name in blocks if name not in _BLOCKS]
    for name, kind in _BLOCKS.items():
        faults += _block_faults(name, blocks.get(name), kind)
    if faults:
        raise SoundError(faults=tuple(faults))
    return Limits(**{name: _built(blocks[name], kind) for name, kind in _BLOCKS.items()})


def _block_faults(name: str, block: object, kind: type[Any]) -> Iterator[Fault]:
    where = f"{_WHERE} [{name}]"
    if not isinstance(block, dict):
        yield Fault("a block is missing", got=repr(block), allowed="figures with tag and source", where=where)
        return
    if block.get("tag") not in ORIGINS:
        yield Fault("no tag of provenance", got=repr(block.get("tag")), allowed=", ".join(ORIGINS), where=where)
    if not str(block.get("source", "")).strip():
        yield Fault("no source", allowed="where the figures are from", where=where)
    wanted = get_type_hints(kind)
    for key in block.keys() - wanted.keys() - set(_SAYING):
        yield Fault("no such limit", got=key, allowed=", ".join(wanted), where=where)
    for field in fields(kind):
        value, pair = block.get(field.name), wanted[field.name] == _PAIR
        if value is None:
            yield Fault("a limit is missing", got=field.name, where=where)
        elif not (_is_pair(value) if pair else _is_number(value)):
            allowed = "two rising numbers, from 0 up" if pair else "a number"
            yield Fault("not a limit", got=f"{field.name} = {value!r}", allowed=allowed, where=where)


def _is_number(value: object) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool) and math.isfinite(value)


def _is_pair(value: object) -> bool:
    return isinstance(value, list) and len(value) == 2 and all(map(_is_number, value)) and 0 <= value[0] < value[1]


def _built(block: dict[str, Any], kind: type[Any]) -> Any:
    figures = {key: value for key, value in block.items() if key not in _SAYING}
    return kind(**{key: tuple(value) if isinstance(value, list) else value for key, value in figures.items()})
