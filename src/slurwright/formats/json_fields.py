"""Fields of a JSON object, each checked by its kind, with every fault gathered and its place named."""

import json
import math
from collections.abc import Callable, Mapping
from datetime import date, datetime
from typing import Any, NoReturn, TypeVar

from slurwright.errors import Fault, SlurwrightError, StoreError
from slurwright.formats.times import from_text

__all__ = [
    "Kind",
    "a_date",
    "a_number",
    "a_text",
    "a_time",
    "a_whole_number",
    "any_text",
    "exactly",
    "list_of",
    "maybe",
    "named",
    "parse_json",
    "read_fields",
    "true_or_false",
]

Value = TypeVar("Value")
Kind = Callable[[Any], Any]
"""Turns a JSON value into one of ours, or raises ValueError with what would have been allowed."""


def _no_constant(name: str) -> NoReturn:
    raise ValueError(f"{name} is not a number of JSON")


def parse_json(text: str | bytes, *, where: str) -> Any:
    """Parse JSON text.

    Args:
        text: the text; bytes are UTF-8, a byte order mark is passed over.
        where: how to call it in messages.

    Raises:
        StoreError: it is not JSON.
    """
    try:
        decoded = text.decode("utf-8-sig") if isinstance(text, bytes) else text
        return json.loads(decoded, parse_constant=_no_constant)
    except (ValueError, RecursionError) as error:
        raise StoreError("this is not JSON", got=str(error), where=where) from error


def read_fields(value: object, kinds: Mapping[str, Kind], where: str, faults: list[Fault]) -> dict[str, Any]:
    """Read the fields of one object: all that are named and no others.

    Args:
        value: the JSON value.
        kinds: what each field is.
        where: how to call the object in messages.
        faults: what is wrong is added here.

    Returns:
        The fields that could be read.
    """
    if not isinstance(value, dict):
        faults.append(Fault("not an object", got=_short(value), where=where))
        return {}
    faults.extend(Fault("a field that is not known", got=name, where=where) for name in value if name not in kinds)
    fields = {}
    for name, kind in kinds.items():
        if name not in value:
            faults.append(Fault("a field is missing", got=name, where=where))
            continue
        try:
            fields[name] = kind(value[name])
        except (ValueError, OverflowError, SlurwrightError) as error:
            allowed = "" if isinstance(error, SlurwrightError | OverflowError) else str(error)
            faults.append(
                Fault("not what it should be", got=_short(value[name]), allowed=allowed, where=f"{where}.{name}")
            )
    return fields


def _short(value: object) -> str:
    text = json.dumps(value, ensure_ascii=False)
    return text if len(text) <= 60 else f"{text[:60]}…"


def any_text(value: object) -> str:
    """Take a text, which may be empty."""
    if not isinstance(value, str):
        raise ValueError("a text")  # noqa: TRY004 - gathered as a fault
    # Half a surrogate pair can stand in JSON, and nowhere else.
    value.encode()
    return value


def a_text(value: object) -> str:
    """Take a text that says something."""
    text = any_text(value)
    if not text.strip():
        raise ValueError("a text that is not empty")
    return text


def a_number(value: object) -> float:
    """Take a number [as the field says]."""
    if isinstance(value, bool) or not isinstance(value, int | float) or not math.isfinite(value):
        raise ValueError("a number")
    return float(value)


def a_whole_number(value: object) -> int:
    """Take a whole number."""
    if isinstance(value, bool) or not isinstance(value, int) or abs(value) >= 2**53:
        raise ValueError("a whole number")
    return value


def true_or_false(value: object) -> bool:
    """Take true or false."""
    if not isinstance(value, bool):
        raise ValueError("true or false")  # noqa: TRY004 - gathered as a fault
    return value


def a_time(value: object) -> datetime:
    """Take a moment, with its zone."""
    moment = datetime.fromisoformat(any_text(value))
    if moment.tzinfo is None:
        raise ValueError("a time with its zone")
    return from_text(any_text(value))


def a_date(value: object) -> date:
    """Take a day."""
    return date.fromisoformat(any_text(value))


def maybe(kind: Callable[[Any], Value]) -> Callable[[Any], Value | None]:
    """Make a kind that may also be null."""
    return lambda value: None if value is None else kind(value)


def named(kind: Callable[[str], Value]) -> Callable[[Any], Value]:
    """Make a kind of what can be made from a text."""
    return lambda value: kind(a_text(value))


def exactly(wanted: object) -> Kind:
    """Make a kind that takes one value only."""

    def kind(value: object) -> object:
        if value != wanted:
            raise ValueError(json.dumps(wanted))
        return value

    return kind


def list_of(kind: Callable[[Any], Value]) -> Callable[[Any], tuple[Value, ...]]:
    """Make a kind of list."""

    def take(value: object) -> tuple[Value, ...]:
        if not isinstance(value, list):
            raise ValueError("a list")  # noqa: TRY004 - gathered as a fault
        return tuple(kind(item) for item in value)

    return take
