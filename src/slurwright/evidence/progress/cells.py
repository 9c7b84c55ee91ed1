"""What was measured of each note in each take, gathered out of kept takes and laid out in weeks."""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from itertools import pairwise

import numpy as np

from slurwright.evidence.progress.pitch import PlacedNote, TakenCells
from slurwright.listen.figure import Figure
from slurwright.listen.followed import PlayedAs
from slurwright.listen.kept import TakenNote, TakenWay
from slurwright.plan.transition import Ints

__all__ = ["MOST_TAKES", "GatheredNotes", "gathered"]

_MOST_KNOTS = 60
MOST_TAKES = 500
"""Of more takes the last ones are looked at; ours, so that nobody waits [1]."""
_LEAST_SD_CENTS = 0.5
"""No single note is known better than this, whatever its measurement claims; ours [cents]."""

_NoteKey = tuple[int, str, int]


@dataclass(frozen=True, slots=True, eq=False)
class GatheredNotes:
    """Notes of takes, one entry a pair of note and take."""

    cells: TakenCells
    times: Ints
    """How often the note was measured in the take, one entry a cell."""
    takes: tuple[tuple[str, date], ...]
    """Id and day of each."""
    ways: tuple[TakenWay, ...]
    """One a note, lowest first."""
    placed: tuple[PlacedNote, ...]
    """One a note."""

    def day(self, cell: int) -> date:
        """Day of a cell's take."""
        return self.takes[int(self.cells.take[cell])][1]


def gathered(taken: Sequence[TakenNote]) -> GatheredNotes | None:
    """Gather the measured notes by note and take; None where nothing was measured.

    Args:
        taken: notes of takes on one horn.
    """
    measured: dict[tuple[_NoteKey, str], list[Figure]] = defaultdict(list)
    ways: dict[_NoteKey, tuple[date, TakenWay]] = {}
    days: dict[str, date] = {}
    for one in taken:
        note, cents = one.note, one.note.measure.cents
        if note.played_as is not PlayedAs.ASKED or not isinstance(cents, Figure):
            continue
        key = (note.way.sounding.midi, note.way.fingering, note.way.partial)
        measured[key, one.take_id].append(cents)
        days[one.take_id] = one.played_on
        if key not in ways or one.played_on >= ways[key][0]:
            ways[key] = one.played_on, note.way
    every = sorted(days, key=lambda take: (days[take], take))
    takes = every[-MOST_TAKES:]
    chosen = set(takes)
    measured = {pair: figures for pair, figures in measured.items() if pair[1] in chosen}
    if not measured:
        return None
    keys = sorted({key for key, _ in measured})
    of_note, of_take = ({key: place for place, key in enumerate(each)} for each in (keys, takes))
    pairs = sorted(measured, key=lambda pair: (of_note[pair[0]], of_take[pair[1]]))
    within = _within_take(list(measured.values()))
    figures = [_joined(measured[pair], within) for pair in pairs]
    take = np.array([of_take[name] for _, name in pairs], dtype=np.int64)
    note_of = np.array([of_note[key] for key, _ in pairs], dtype=np.int64)
    return GatheredNotes(
        cells=TakenCells(
            take=take,
            cents=np.array([mean for mean, _ in figures]),
            variance=np.array([variance for _, variance in figures]),
            takes=len(takes),
        ),
        times=np.array([len(measured[pair]) for pair in pairs], dtype=np.int64),
        takes=tuple((name, days[name]) for name in takes),
        ways=tuple(ways[key][1] for key in keys),
        placed=tuple(
            _placed(np.flatnonzero(note_of == note), [days[name] for name in takes], take)
            for note in range(len(keys))
        ),
    )


def _within_take(measured: Sequence[Sequence[Figure]]) -> float:
    """Variance of a note inside a take beyond its measurement, from all notes together [cents^2]."""
    several = [figures for figures in measured if len(figures) > 1]
    if not several:
        return 0.0
    spread = sum(float(np.var([one.value for one in figures])) * len(figures) for figures in several)
    freedom = sum(len(figures) - 1 for figures in several)
    claimed = sum(_variance(one) for figures in several for one in figures) / sum(map(len, several))
    return max(0.0, spread / freedom - claimed)


def _variance(figure: Figure) -> float:
    return max(_LEAST_SD_CENTS, figure.sd) ** 2


def _joined(figures: Sequence[Figure], within: float) -> tuple[float, float]:
    """Mean of a note in a take, and its variance."""
    weights = np.array([1.0 / (_variance(one) + within) for one in figures])
    values = np.array([one.value for one in figures])
    return float(weights @ values / weights.sum()), float(1.0 / weights.sum())


def _placed(cells: Ints, days: Sequence[date], take: Ints) -> PlacedNote:
    """Lay one note's cells out in weeks, or in several weeks at a time where there are very many."""
    mondays = [days[place] - timedelta(days=days[place].weekday()) for place in take[cells]]
    weeks = [(monday - min(mondays)).days // 7 for monday in mondays]
    step = 1
    while len({week // step for week in weeks}) > _MOST_KNOTS:
        step += 1
    known = sorted({week // step for week in weeks})
    knot = {week: place for place, week in enumerate(known)}
    return PlacedNote(
        cells=cells,
        knots=np.array([knot[week // step] for week in weeks], dtype=np.int64),
        gaps_weeks=np.array([float((later - earlier) * step) for earlier, later in pairwise(known)]),
    )
