"""The tones of a horn as a player goes through them: numbered, with what became of each."""

from collections.abc import Sequence
from dataclasses import dataclass

from slurwright.errors import Fault, RequestError
from slurwright.horn.learnt import Verdict
from slurwright.horn.owned import KeptReading

__all__ = ["ToldTone", "numbered", "said_before", "told_tones"]


@dataclass(frozen=True, slots=True)
class ToldTone:
    """One tone of the list."""

    number: int
    """Counts all tones of the horn from 1, withdrawn ones too, so that it stays."""
    kept: KeptReading
    used: bool
    """True where the horn is learnt from it."""
    reason: str
    """Why it is not, in words; empty where it is."""


def told_tones(every: Sequence[KeptReading], verdicts: Sequence[Verdict]) -> tuple[ToldTone, ...]:
    """Number the tones of a horn and say what became of each.

    Args:
        every: all of them, in the order in which they came.
        verdicts: one for each that is not withdrawn, in the same order.
    """
    found = iter(verdicts)
    told = []
    for number, kept in enumerate(every, start=1):
        if kept.withdrawn:
            told.append(ToldTone(number, kept, used=False, reason="withdrawn"))
        else:
            verdict = next(found)
            told.append(ToldTone(number, kept, used=verdict.used, reason=verdict.reason))
    return tuple(told)


def numbered(every: Sequence[KeptReading], numbers: Sequence[int]) -> tuple[str, ...]:
    """Say which tones some numbers of the list mean.

    Args:
        every: all tones of the horn, in the order in which they came.
        numbers: as the player says them.

    Returns:
        Their ids.

    Raises:
        RequestError: one or more numbers are not in the list; all faults at once.
    """
    allowed = f"1 to {len(every)}" if every else "none: no tone has been added yet"
    faults = [
        Fault("no tone of this horn has that number", got=str(number), allowed=allowed)
        for number in numbers
        if not 1 <= number <= len(every)
    ]
    if faults:
        raise RequestError(faults=tuple(faults))
    return tuple(every[number - 1].id for number in dict.fromkeys(numbers))


def said_before(before: Sequence[KeptReading], added: Sequence[KeptReading]) -> int:
    """Count the new tones that stood there already, alike in every figure.

    Args:
        before: what was in force.
        added: what came.

    Returns:
        How many [1].
    """
    known = {kept.played.tone for kept in before}
    return sum(kept.played.tone in known for kept in added)
