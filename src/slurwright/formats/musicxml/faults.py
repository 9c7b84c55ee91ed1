"""What is wrong or passed over in a file: gathered while reading, raised once at the end."""

import re
from fractions import Fraction

from slurwright.errors import Fault, NotationError
from slurwright.score import Notice

__all__ = ["Log"]

_MOST_FAULTS = 20
_WHOLE = re.compile(r"\s*([+-]?[0-9]{1,9})\s*")
_DECIMAL = re.compile(r"\s*\+?([0-9]{1,9}(?:\.[0-9]{0,6})?)\s*")


class Log:
    """Gathers faults and notices with the place that is being read."""

    def __init__(self, part: str, source: str) -> None:
        self.part = part
        self.source = source
        self.measure = ""
        self.faults: list[Fault] = []
        self.notices: dict[Notice, None] = {}

    def where(self, measure: str | None = None) -> str:
        """Name the part and measure."""
        number = self.measure if measure is None else measure
        place = f"measure {number}" if number else ""
        return ", ".join(text for text in (self.source, self.part, place) if text)

    def fault(self, problem: str, *, got: str = "", allowed: str = "") -> None:
        """Remember something that makes the part unreadable."""
        self.faults.append(Fault(problem, got=got, allowed=allowed, where=self.where()))

    def notice(self, what: str, measure: str | None = None) -> None:
        """Remember something that was passed over or assumed; the same twice counts once."""
        number = self.measure if measure is None else measure
        self.notices[Notice(what, f"measure {number}" if number else "")] = None

    def settle(self) -> None:
        """Raise if there were faults.

        Raises:
            NotationError: with the first faults, and how many more there were.

        """
        if not self.faults:
            return
        shown = self.faults[:_MOST_FAULTS]
        if more := len(self.faults) - len(shown):
            shown.append(Fault(f"and {more} more faults", where=self.source))
        raise NotationError(faults=tuple(shown))

    def whole(self, text: str | None, what: str, *, low: int, high: int) -> int | None:
        """Read a whole number within bounds; None and a fault if it is none."""
        found = _WHOLE.fullmatch(text or "")
        value = int(found.group(1)) if found else None
        if value is None or not low <= value <= high:
            self.fault(f"{what} makes no sense", got=repr(text or ""), allowed=f"a whole number {low} to {high}")
            return None
        return value

    def length(self, text: str | None, what: str) -> Fraction | None:
        """Read a number above zero, decimals allowed; None and a fault if it is none."""
        found = _DECIMAL.fullmatch(text or "")
        value = Fraction(found.group(1)) if found else Fraction(0)
        if value == 0:
            self.fault(f"{what} makes no sense", got=repr(text or ""), allowed="a number above zero")
            return None
        return value
