"""Attempts laid out as columns, horn by horn, their ways found on it and their ages counted."""

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date

import numpy as np

from slurwright.evidence.attempts import Attempt, Became
from slurwright.evidence.learning.effects import TECHNIQUES
from slurwright.horn import Horn, HornKind, Reach
from slurwright.listen.kept import TakenWay
from slurwright.plan import Way, ways_of
from slurwright.plan.pricing import LEAST_S
from slurwright.plan.transition import Bools, Floats, Ints, WayTable, table_of_ways

__all__ = ["LaidOut", "WayName", "lay_out", "way_on", "weeks_before"]

WayName = tuple[int, str, int]
"""A way as it is told apart: note at concert pitch, fingering, partial."""
_ANYWHERE_CENTS = 200.0
"""What was tried is believed, however far out it lies."""
_HIGHEST = 32


@dataclass(frozen=True, slots=True, eq=False)
class LaidOut:
    """Attempts on one horn as columns; all arrays have one entry an attempt."""

    horn_id: str
    horn: Horn
    names: tuple[WayName, ...]
    """Ways that were tried, sorted; one a row of ``table``."""
    table: WayTable
    source: Ints
    target: Ints
    technique: Ints
    """Index into ``effects.TECHNIQUES``."""
    dynamic: Floats
    """[steps from mf]"""
    time_s: Floats
    hold_s: Floats
    age_weeks: Floats
    spoke: Floats
    """How sure it is that the slur spoke cleanly, 0..1."""
    wrong: Bools
    """Whether another note came than was asked."""


def lay_out(
    attempts: Sequence[Attempt], horns: Mapping[str, Horn], *, today: date
) -> tuple[tuple[LaidOut, ...], tuple[str, ...]]:
    """Lay attempts out horn by horn; say in words which are left out and what was assumed.

    Args:
        attempts: in any order.
        horns: the player's horns by id.
        today: ages are counted from here.

    Returns:
        (one for each horn that has attempts, sorted by its id; notices).
    """
    by_horn: dict[str, list[Attempt]] = {}
    for attempt in attempts:
        by_horn.setdefault(attempt.horn, []).append(attempt)
    notices = []
    laid = []
    for horn_id in sorted(by_horn):
        mine = by_horn[horn_id]
        if horn_id not in horns:
            notices.append(f"{_count(len(mine), 'attempt')} left out: played on a horn that is not known here")
            continue
        one, missing = _on_horn(horn_id, horns[horn_id], mine, today)
        notices += missing
        if len(one.source):
            laid.append(one)
    ahead = sum(attempt.played_on > today for attempt in attempts)
    if ahead:
        notices.append(f"{_count(ahead, 'attempt')} dated after {today.isoformat()} counted as of that day")
    return tuple(laid), tuple(notices)


def weeks_before(day: date, today: date) -> float:
    """How long before today a day was; 0 for a day to come [weeks].

    Args:
        day: of an attempt.
        today: counted from.
    """
    return max(0, (today - day).days) / 7.0


def way_on(horn: Horn, taken: TakenWay) -> Way | None:
    """Find a way that was tried among a horn's; None where it has no such way.

    On a hand slide the place is that of the note on this partial, whatever the nearest whole position was called.

    Args:
        horn: as it is known now.
        taken: the way that was tried.
    """
    reach = Reach(max(_HIGHEST, taken.partial), _ANYWHERE_CENTS, _ANYWHERE_CENTS)
    found = [way for way in ways_of(taken.sounding, horn, reach=reach) if way.partial == taken.partial]
    same = [way for way in found if way.fingering == taken.fingering]
    if not same and horn.kind is HornKind.SLIDE:
        same = [way for way in found if _rotors(way.fingering) == _rotors(taken.fingering)]
    return same[0] if same else None


def _rotors(fingering: str) -> str:
    """Letters of a slide's label, without the position."""
    return "".join(letter for letter in fingering if letter.isalpha())


def _on_horn(horn_id: str, horn: Horn, attempts: Sequence[Attempt], today: date) -> tuple[LaidOut, tuple[str, ...]]:
    """Lay out the attempts on one horn; those whose ways it does not have are counted and left out."""
    found: dict[tuple[int, str, int], Way | None] = {}
    lost: Counter[str] = Counter()
    kept: list[tuple[Attempt, WayName, WayName]] = []
    met: dict[int, WayName | None] = {}  # the very same few values come again and again, and are quickly told so
    for attempt in attempts:
        for taken in attempt.tried.ways:
            if id(taken) not in met:
                met[id(taken)] = _name(horn, taken, found)
        ends = [met[id(taken)] for taken in attempt.tried.ways]
        if ends[0] is None or ends[1] is None:
            taken = attempt.tried.ways[0 if ends[0] is None else 1]
            lost[f"{taken.fingering} on partial {taken.partial} for {taken.sounding}"] += 1
        else:
            kept.append((attempt, ends[0], ends[1]))
    named = {(way_midi, way.fingering, way.partial): way for (way_midi, *_), way in found.items() if way is not None}
    names = tuple(sorted({name for _, one, two in kept for name in (one, two)}))
    place = {name: row for row, name in enumerate(names)}
    tried = [attempt.tried for attempt, _, _ in kept]
    ages = {day: weeks_before(day, today) for day in {attempt.played_on for attempt, _, _ in kept}}
    laid = LaidOut(
        horn_id=horn_id,
        horn=horn,
        names=names,
        table=table_of_ways([(name[0], [named[name]]) for name in names], horn),
        source=np.array([place[one] for _, one, _ in kept], dtype=np.int64),
        target=np.array([place[two] for _, _, two in kept], dtype=np.int64),
        technique=np.array([TECHNIQUES.index(one.technique) for one in tried], dtype=np.int64),
        dynamic=np.array([one.dynamic for one in tried], dtype=np.float64),
        time_s=np.maximum(LEAST_S, np.array([one.time_s for one in tried], dtype=np.float64)),
        hold_s=np.maximum(LEAST_S, np.array([one.hold_s for one in tried], dtype=np.float64)),
        age_weeks=np.array([ages[attempt.played_on] for attempt, _, _ in kept], dtype=np.float64),
        spoke=np.array([attempt.spoke for attempt, _, _ in kept], dtype=np.float64),
        wrong=np.array([attempt.became is Became.WRONG_NOTE for attempt, _, _ in kept], dtype=np.bool_),
    )
    said = tuple(
        f"{_count(times, 'attempt')} left out: {horn.name} has no {words}" for words, times in sorted(lost.items())
    )
    return laid, said


def _name(horn: Horn, taken: TakenWay, found: dict[tuple[int, str, int], Way | None]) -> WayName | None:
    key = (taken.sounding.midi, taken.fingering, taken.partial)
    if key not in found:
        found[key] = way_on(horn, taken)
    way = found[key]
    return None if way is None else (key[0], way.fingering, way.partial)


def _count(times: int, word: str) -> str:
    return f"{times} {word}" if times == 1 else f"{times} {word}s"
