"""Everything that can go wrong on purpose: one tree of errors that carry what came, what was allowed and where.

Every error of this tree is a fault of the input or of the request, is shown without a traceback, and ends a
command with exit status 2. Anything else that reaches the top is a fault of ours.
"""

from dataclasses import dataclass

__all__ = [
    "EngravingError",
    "Fault",
    "FingeringError",
    "HornError",
    "NotationError",
    "PartError",
    "PitchError",
    "PlanError",
    "RequestError",
    "SlurwrightError",
]


@dataclass(frozen=True, slots=True)
class Fault:
    """One thing that is wrong: the problem in words, what came, what would have been allowed, and where."""

    problem: str
    got: str = ""
    allowed: str = ""
    where: str = ""

    def __str__(self) -> str:
        """Read as one sentence with its parts in a fixed order."""
        parts = [f"{self.where}: {self.problem}" if self.where else self.problem]
        if self.got:
            parts.append(f"got {self.got}")
        if self.allowed:
            parts.append(f"allowed: {self.allowed}")
        return "; ".join(parts)


class SlurwrightError(Exception):
    """Base of every error that the user can mend; carries one or more faults."""

    def __init__(
        self,
        problem: str = "",
        *,
        got: str = "",
        allowed: str = "",
        where: str = "",
        faults: tuple[Fault, ...] = (),
    ) -> None:
        self.faults = faults or (Fault(problem, got=got, allowed=allowed, where=where),)
        super().__init__("\n".join(str(fault) for fault in self.faults))


class PitchError(SlurwrightError):
    """A pitch name or a transposition makes no sense."""


class NotationError(SlurwrightError):
    """A notation file cannot be read: broken, hostile, or in a form that is not supported."""


class PartError(SlurwrightError):
    """The file can be read but gives no playable line: no such part, empty, or chords in a solo line."""


class HornError(SlurwrightError):
    """No such instrument, or its description contradicts itself."""


class FingeringError(SlurwrightError):
    """A fingering that this horn does not have, or that does not sound the wanted note."""


class PlanError(SlurwrightError):
    """No plan exists: a note that no fingering plays, or pins and bans that leave nothing."""


class RequestError(SlurwrightError):
    """An option's value is off, or two options contradict each other."""


class EngravingError(SlurwrightError):
    """Pages could not be drawn, or drawing took more time or memory than it may."""
