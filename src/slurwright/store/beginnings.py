"""Which one is meant by the beginning of its id."""

from collections.abc import Sequence
from typing import Protocol, TypeVar

from slurwright.errors import StoreError

__all__ = ["BEGINS", "the_one"]

BEGINS = "substr(id, 1, ?) = ? AND (deleted_at IS NOT NULL) = ? ORDER BY id"
"""Condition on rows: length of the beginning, the beginning, whether deleted ones are meant."""
_ALIKE_SHOWN = 4


class HasId(Protocol):
    """What is known by an id."""

    @property
    def id(self) -> str:
        """Names it in every store."""
        ...


_Found = TypeVar("_Found", bound=HasId)


def the_one(found: Sequence[_Found], beginning: str, *, what: str) -> _Found:
    """Give the one of those whose ids begin so; a whole id is always enough.

    Args:
        found: all whose ids begin so.
        beginning: as it was typed; an empty one begins nothing.
        what: how to call one of them in messages.

    Raises:
        StoreError: there is none, or there are several.
    """
    whole = [one for one in found if one.id == beginning]
    if beginning and (len(found) == 1 or whole):
        return (whole or found)[0]
    if not beginning or not found:
        raise StoreError(f"there is no {what} whose id begins so", got=repr(beginning))
    alike = ", ".join(one.id for one in found[:_ALIKE_SHOWN]) + (", …" if len(found) > _ALIKE_SHOWN else "")
    raise StoreError(f"more than one {what} begins so", got=repr(beginning), allowed=f"one of {alike}")
