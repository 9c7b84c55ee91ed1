"""Everything that can go wrong on purpose: one tree of errors that carry what came, what was allowed and where.

Every error of this tree is a fault of the input or of the request, is shown without a traceback, and ends a
command with exit status 2. Anything else that reaches the top is a fault of ours.
"""

from dataclasses import dataclass

__all__ = [
    "DamagedStoreError",
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
    "SoundError",
    "StoreError",
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


class SoundError(SlurwrightError):
    """A recording cannot be read or made: no sound file, damaged, silent, or no microphone."""


class StoreError(SlurwrightError):
    """What the player keeps cannot be read, written or joined with what comes; what was kept before still stands."""


class DamagedStoreError(StoreError):
    """The store is damaged or missing; carries where the damaged file was set aside and the last backup."""

    def __init__(
        self, problem: str, *, got: str = "", where: str = "", set_aside: str = "", backup: str | None = None
    ) -> None:
        self.set_aside = set_aside
        """Path of the file that was set aside; empty where there was none."""
        self.backup = backup or ""
        """Path of the newest sound backup; empty where there is none or it was not looked for."""
        faults = [Fault(problem, got=got, where=where)]
        if set_aside:
            faults.append(Fault("the damaged file was set aside, nothing of it is lost", where=set_aside))
        if backup:
            faults.append(Fault("the last backup can be restored, or a new store begun", where=backup))
        elif backup is not None:
            faults.append(Fault("there is no backup; a new store can be begun"))
        super().__init__(faults=tuple(faults))
