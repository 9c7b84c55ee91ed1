"""What was logged by ear as a player goes through it: numbered, alike ones together."""

import re
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from itertools import groupby
from typing import Any

from slurwright.errors import Fault, RequestError
from slurwright.evidence.attempts import Ear
from slurwright.evidence.kept import LoggedAttempt
from slurwright.pitch import WrittenPitch

__all__ = ["LoggedRow", "heard_text", "logged_rows", "numbered_attempts", "tried_answer"]

_RANGE = re.compile(r"(\d{1,7})(?:-(\d{1,7}))?", re.ASCII)
_FIELDS = ("player_id", "horn_id", "model", "part", "label", "tried", "played_on", "trial_id", "arm", "sheet_id")


@dataclass(frozen=True, slots=True)
class LoggedRow:
    """Attempts that came one after the other and are alike in everything but how they went."""

    first: int
    """Counts the player's attempts from 1, withdrawn ones too, so that withdrawing changes no number."""
    last: int
    attempts: tuple[LoggedAttempt, ...]

    @property
    def withdrawn(self) -> bool:
        """Whether they are left out of account."""
        return self.attempts[0].withdrawn_at is not None

    @property
    def notes(self) -> tuple[WrittenPitch, WrittenPitch]:
        """The slur as the player read it."""
        first, second = self.attempts[0].about.tried.ways
        return first.written, second.written


def logged_rows(every: Sequence[LoggedAttempt]) -> tuple[LoggedRow, ...]:
    """Number a player's attempts and put alike ones together.

    Args:
        every: all of them, in the order in which they were logged, withdrawn ones too.
    """
    found = []
    for _, alike in groupby(enumerate(every, start=1), key=_alike):
        numbered = list(alike)
        found.append(LoggedRow(numbered[0][0], numbered[-1][0], tuple(kept for _, kept in numbered)))
    return tuple(found)


def _alike(numbered: tuple[int, LoggedAttempt]) -> tuple[object, ...]:
    _, kept = numbered
    return (*(getattr(kept.about, name) for name in _FIELDS), kept.withdrawn_at is None)


def heard_text(attempts: Sequence[LoggedAttempt]) -> str:
    """Say what was heard: "5 good, 1 missed"."""
    counts = Counter(kept.about.heard for kept in attempts)
    return ", ".join(f"{counts[ear]} {ear.value}" for ear in Ear if counts[ear])


def numbered_attempts(every: Sequence[LoggedAttempt], numbers: Sequence[str]) -> tuple[str, ...]:
    """Say which attempts some numbers of the list mean.

    Args:
        every: all attempts of the player, in the order in which they were logged.
        numbers: as the player says them: "7" or "12-18".

    Returns:
        Their ids.

    Raises:
        RequestError: one or more are not in the list; all faults at once.
    """
    allowed = f"1 to {len(every)}, or several such as 2-5" if every else "none: nothing has been logged yet"
    faults: list[Fault] = []
    chosen: list[int] = []
    for words in numbers:
        match = _RANGE.fullmatch(words)
        first, last = (int(match[1]), int(match[2] or match[1])) if match else (0, 0)
        if not 1 <= first <= last <= len(every):
            faults.append(Fault("no attempt has that number", got=words, allowed=allowed))
        else:
            chosen += range(first, last + 1)
    if faults:
        raise RequestError(faults=tuple(faults))
    return tuple(every[number - 1].id for number in dict.fromkeys(chosen))


def tried_answer(
    every: Sequence[LoggedAttempt], horns: Mapping[str, str], *, first: int = 1, since: date | None = None
) -> dict[str, Any]:
    """List attempts (schema: docs/schemas/tried.schema.json).

    Args:
        every: one after the other, as they were logged.
        horns: names of the player's horns by their ids.
        first: number of the first of them in the player's list [1].
        since: only those that were played since then; None for all.
    """
    return {
        "attempts": [
            _fields(number, kept, horns)
            for number, kept in enumerate(every, start=first)
            if since is None or kept.about.played_on >= since
        ]
    }


def _fields(number: int, kept: LoggedAttempt, horns: Mapping[str, str]) -> dict[str, Any]:
    about = kept.about
    tried = about.tried
    return {
        "number": number,
        "id": kept.id,
        "played_on": about.played_on.isoformat(),
        "logged_at": kept.made_at.isoformat(),
        "withdrawn": kept.withdrawn_at is not None,
        "horn": horns.get(about.horn_id or ""),
        "model": about.model,
        "title": about.part.title if about.part else None,
        "file": about.part.file if about.part else None,
        "place": about.label or None,
        "notes": [
            {
                "written": str(way.written),
                "sounding": str(way.sounding),
                "fingering": way.fingering,
                "partial": way.partial,
            }
            for way in tried.ways
        ],
        "technique": tried.technique.value,
        "dynamic": tried.dynamic,
        "tempo_qpm": tried.tempo_qpm,
        "time_s": tried.time_s,
        "hold_s": tried.hold_s,
        "heard": about.heard.value,
        "trial": about.trial_id,
        "sheet": about.sheet_id,
    }
