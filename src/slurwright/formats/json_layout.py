"""A long JSON document as text, piece by piece: objects on lines of their own, rows of a table on one line each."""

import json
from collections.abc import Iterable, Iterator, Mapping
from typing import Any

__all__ = ["Row", "laid_out"]


class Row(dict[str, Any]):
    """An object that stands on one line, whatever is in it."""


def laid_out(value: object, *, depth: int = 0) -> Iterator[str]:
    """Write a value in pieces that together are JSON, the same always.

    Args:
        value: of mappings, rows, iterables, texts, figures; iterables are gone through once, as they are written, so
            that what they make need never be there all at once.
        depth: how far it is indented [spaces].

    Raises:
        ValueError: a figure is not a number.
    """
    if isinstance(value, Mapping) and not isinstance(value, Row):
        named = ((f"{_text(name)}: ", inner) for name, inner in value.items())
        yield from _enclosed("{}", named, depth)
    elif isinstance(value, Iterable) and not isinstance(value, str | Row):
        yield from _enclosed("[]", (("", inner) for inner in value), depth)
    else:
        yield _text(value)


def _enclosed(brackets: str, items: Iterable[tuple[str, object]], depth: int) -> Iterator[str]:
    opening, closing = brackets[0], brackets[1]
    before = opening
    for name, inner in items:
        yield f"{before}\n{' ' * (depth + 1)}{name}"
        yield from laid_out(inner, depth=depth + 1)
        before = ","
    yield brackets if before == opening else f"\n{' ' * depth}{closing}"


def _text(value: object) -> str:
    return json.dumps(value, ensure_ascii=False, allow_nan=False)
