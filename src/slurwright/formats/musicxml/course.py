"""What holds at a place: a state that changes now and then, kept by place."""

from bisect import bisect_right
from fractions import Fraction
from typing import Generic, TypeVar

__all__ = ["Course"]

T = TypeVar("T")


class Course(Generic[T]):
    """One state by place: the latest entry at or before a place holds."""

    def __init__(self, first: T) -> None:
        self._first = first
        self._places: list[Fraction] = []
        self._values: list[T] = []
        self._constant = False

    @property
    def is_constant(self) -> bool:
        """Say whether one value holds from the start of the part to its end: the usual case, kept fast."""
        return self._constant or not self._places

    def put(self, place: Fraction, value: T) -> None:
        """Let a value hold from a place on; the same place again replaces it."""
        found = bisect_right(self._places, place)
        if found and self._places[found - 1] == place:
            self._values[found - 1] = value
            return
        self._places.insert(found, place)
        self._values.insert(found, value)
        self._constant = len(self._places) == 1 and self._places[0] <= 0

    def at(self, place: Fraction) -> T:
        """Give the value that holds at a place."""
        if self._constant:
            return self._values[0]
        found = bisect_right(self._places, place)
        return self._values[found - 1] if found else self._first

    def changes_within(self, start: Fraction, end: Fraction) -> bool:
        """Say whether a new value begins strictly between two places."""
        found = bisect_right(self._places, start)
        return found < len(self._places) and self._places[found] < end
