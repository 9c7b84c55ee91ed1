"""What several parts of a store's document have in common: parts, ways, histories, and how one object is read."""

from collections.abc import Callable, Mapping
from typing import Any, TypeVar

from slurwright.errors import Fault
from slurwright.formats.json_fields import (
    Kind,
    a_text,
    a_time,
    a_whole_number,
    any_text,
    list_of,
    named,
    read_fields,
    true_or_false,
)
from slurwright.formats.times import to_text
from slurwright.horn.owned import Withdrawal
from slurwright.listen.kept import TakenPart, TakenWay
from slurwright.pitch import SoundingPitch, WrittenPitch

__all__ = [
    "LATER",
    "PART",
    "WAY",
    "Json",
    "as_it_is",
    "history_from_fields",
    "maybe_one",
    "one",
    "pair_of",
    "part_fields",
    "way_fields",
    "withdrawal_fields",
    "without",
]

Json = dict[str, Any]
_Made = TypeVar("_Made")


def as_it_is(value: object) -> object:
    """Take a value that is read in its turn."""
    return value


LATER = list_of(as_it_is)
"""A list whose objects are read in their turn, so that each is named by its place."""
PART = {"file": any_text, "fingerprint": a_text, "title": any_text, "name": any_text}
WAY = {
    "written": named(WrittenPitch.named),
    "sounding": named(SoundingPitch.named),
    "fingering": a_text,
    "partial": a_whole_number,
}
_WITHDRAWAL = {"at": a_time, "withdrawn": true_or_false}


def part_fields(part: TakenPart) -> Json:
    """Write what is known of a part."""
    return {name: getattr(part, name) for name in PART}


def way_fields(way: TakenWay) -> Json:
    """Write how a note was asked for."""
    return {
        "written": str(way.written),
        "sounding": str(way.sounding),
        "fingering": way.fingering,
        "partial": way.partial,
    }


def withdrawal_fields(line: Withdrawal) -> Json:
    """Write a line of a history."""
    return {"at": to_text(line.at), "withdrawn": line.withdrawn}


def history_from_fields(values: object, where: str, faults: list[Fault]) -> tuple[Withdrawal, ...]:
    """Read a history.

    Args:
        values: JSON values, in order of time.
        where: how to call them in messages.
        faults: what is wrong is added here.
    """
    lines = list(values) if isinstance(values, tuple | list) else []
    read = [one(Withdrawal, line, _WITHDRAWAL, f"{where}[{at}]", faults) for at, line in enumerate(lines)]
    return tuple(line for line in read if line is not None)


def pair_of(kind: Callable[[Any], _Made]) -> Callable[[Any], tuple[_Made, _Made]]:
    """Make a kind of list that has two."""

    def take(value: object) -> tuple[_Made, _Made]:
        first, second = list_of(kind)(value)
        return first, second

    return take


def one(
    make: Callable[..., _Made], value: object, kinds: Mapping[str, Kind], where: str, faults: list[Fault]
) -> _Made | None:
    """Read one object; None where there are faults.

    Args:
        make: makes the value of its fields.
        value: the JSON value.
        kinds: of its fields.
        where: how to call it in messages.
        faults: what is wrong is added here.
    """
    fields = read_fields(value, kinds, where, faults)
    return None if faults else make(**fields)


def maybe_one(
    make: Callable[..., _Made], value: object, kinds: Mapping[str, Kind], where: str, faults: list[Fault]
) -> _Made | None:
    """Read one object that may be null; None where it is, or where there are faults.

    Args:
        make: makes the value of its fields.
        value: the JSON value.
        kinds: of its fields.
        where: how to call it in messages.
        faults: what is wrong is added here.
    """
    return None if value is None else one(make, value, kinds, where, faults)


def without(kinds: Mapping[str, Kind], *names: str) -> dict[str, Kind]:
    """Give kinds of an older version, which did not have some of the fields."""
    return {name: kind for name, kind in kinds.items() if name not in names}
