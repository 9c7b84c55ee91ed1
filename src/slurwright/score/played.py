"""In which order are the measures of a part played: repeats, endings, and jumps by sign.

Conventions (common practice). A repeat without a start goes back to the start of the piece or to just after the
repeat before it. A jump is taken once, after the repeats at its measure. After a jump, a stretch that has been
repeated already is played once, with its last ending; Fine ends the piece and "to coda" leads to the next coda
sign only after a jump.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from slurwright.errors import PartError
from slurwright.score.part import Jump, Measure, Notice, Part

__all__ = ["jump_notices", "played_measures"]

_MOST_TIMES = 64
"""A measure played more often than this is taken for a fault of the file."""


def played_measures(part: Part) -> tuple[tuple[int, int], ...]:
    """Say which measures are played one after another: (index of the measure, how often reached, from 1).

    Raises:
        PartError: the repeats would play some measure more often than music does.

    """
    return tuple(_Walk(part.measures).run())


def jump_notices(part: Part) -> tuple[Notice, ...]:
    """Say which jumps lead nowhere, so that the order of play had to be assumed."""
    signs = {jump for measure in part.measures for jump in measure.jumps}
    notices = []
    for measure in part.measures:
        where = f"measure {measure.number}"
        if Jump.DAL_SEGNO in measure.jumps and Jump.SEGNO not in signs:
            notices.append(Notice("dal segno, but no segno stands in the part; not followed", where))
        if Jump.TO_CODA in measure.jumps and Jump.CODA not in signs:
            notices.append(Notice("to coda, but no coda stands in the part; not followed", where))
        if Jump.TO_CODA in measure.jumps and not signs & {Jump.DA_CAPO, Jump.DAL_SEGNO}:
            notices.append(Notice("to coda, but no jump leads back before it; not followed", where))
    return tuple(notices)


@dataclass(frozen=True, slots=True)
class _Group:
    """Ending brackets that belong together: first and second time."""

    first: int
    """Index of its first measure."""
    last_time: int
    """The highest ending in it."""


def _groups(measures: Sequence[Measure]) -> list[_Group | None]:
    """For each measure the group of brackets that it stands in."""
    groups: list[_Group | None] = [None] * len(measures)
    start = 0
    while start < len(measures):
        stop = start
        while stop < len(measures) and measures[stop].endings and not (stop > start and _restarts(measures, stop)):
            stop += 1
        if stop > start:
            last_time = max(max(m.endings) for m in measures[start:stop])
            groups[start:stop] = [_Group(start, last_time)] * (stop - start)
        start = max(stop, start + 1)
    return groups


def _restarts(measures: Sequence[Measure], index: int) -> bool:
    """True where a first ending begins a new group right behind another group."""
    return measures[index].ending_starts and min(measures[index].endings) <= min(measures[index - 1].endings)


class _Walk:
    """The player's finger on the page."""

    def __init__(self, measures: Sequence[Measure]) -> None:
        self.measures = measures
        self.groups = _groups(measures)
        self.start = 0
        """Where the open repeat goes back to."""
        self.turn = 1
        """Which time the open stretch is being played."""
        self.seen: set[int] = set()
        """What had been played before the latest jump."""
        self.taken: set[int] = set()
        """Measures whose jump back has been taken."""
        self.reached: dict[int, int] = {}

    def run(self) -> list[tuple[int, int]]:
        """Go through the part once, as it is played."""
        order: list[tuple[int, int]] = []
        here: int | None = 0
        while here is not None and here < len(self.measures):
            if self._opens(here) and self.start != here:
                self.start, self.turn = here, 1
            if not self._is_played(here):
                here += 1
                continue
            self.reached[here] = self.reached.get(here, 0) + 1
            if self.reached[here] > _MOST_TIMES:
                raise PartError(
                    "the repeats do not end",
                    got=f"more than {_MOST_TIMES} times",
                    allowed="repeats and jumps that lead to the end of the part",
                    where=f"measure {self.measures[here].number}",
                )
            order.append((here, self.reached[here]))
            here = self._next(here)
        return order

    def _opens(self, here: int) -> bool:
        """True where a stretch begins: at a repeat's start, behind a repeat's end, behind the last ending."""
        if here == 0 or self.measures[here].repeat_starts:
            return True
        before = self.groups[here - 1]
        if before is not None:
            return self.groups[here] != before
        return self.measures[here - 1].repeat_ends > 0

    def _is_played(self, here: int) -> bool:
        """True unless the measure stands under an ending for another time."""
        group = self.groups[here]
        if group is None:
            return True
        turn = group.last_time if group.first in self.seen else self.turn
        return turn in self.measures[here].endings

    def _next(self, here: int) -> int | None:
        measure, group = self.measures[here], self.groups[here]
        times = max(measure.repeat_ends, group.last_time) if group and measure.repeat_ends else measure.repeat_ends
        replayed = (group.first if group else here) in self.seen
        if self.turn < times and not replayed:
            self.turn += 1
            return self.start
        jumped = bool(self.taken)
        if Jump.FINE in measure.jumps and jumped:
            return None
        if Jump.TO_CODA in measure.jumps and jumped and (coda := self._after(Jump.CODA, here)) is not None:
            return self._land(coda)
        back = self._back(here) if here not in self.taken else None
        if back is None:
            return here + 1
        self.taken.add(here)
        self.seen = set(self.reached)
        return self._land(back)

    def _back(self, here: int) -> int | None:
        """Where a jump back at this measure leads, if one stands here."""
        jumps = self.measures[here].jumps
        if Jump.DA_CAPO in jumps:
            return 0
        if Jump.DAL_SEGNO not in jumps:
            return None
        places = self._places(Jump.SEGNO)
        return max((p for p in places if p <= here), default=places[0] if places else None)

    def _after(self, sign: Jump, here: int) -> int | None:
        """First measure with this sign behind a place, else the first anywhere."""
        places = self._places(sign)
        return next((p for p in places if p > here), places[0] if places else None)

    def _places(self, sign: Jump) -> list[int]:
        return [index for index, measure in enumerate(self.measures) if sign in measure.jumps]

    def _land(self, place: int) -> int:
        self.start, self.turn = place, 1
        return place
