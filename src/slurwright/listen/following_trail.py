"""The way back along a path, kept for the last minutes only: what lies further back is settled as it goes."""

import numpy as np
from numpy.typing import NDArray

from slurwright.listen.following_path import Kind, Stretch

__all__ = ["Trail"]

_KEPT_CUTS = 4096
"""So far back, some minutes of playing, the best paths have long run together."""
_SETTLED_CUTS = 2048
_SHORT_INDEX = 2**15 - 1


class Trail:
    """Remembers how each state at each cut was reached."""

    def __init__(self, notes: int) -> None:
        self._notes = notes
        self._size = 512
        self._how = np.zeros((self._size, notes + 1), np.uint8)
        self._origin = np.zeros((self._size, notes), np.int16 if notes < _SHORT_INDEX else np.int32)
        self._first = 0
        self._count = 0
        self._settled: list[Stretch] = []
        self._settled_to = 0

    def add(self, how: NDArray[np.uint8], origin: NDArray[np.int32]) -> None:
        """Remember one more cut.

        Args:
            how: kind times 16 and segments of the stretch that led to being free; shape=(notes + 1,).
            origin: state of being free from which each note is begun; shape=(notes,).
        """
        at = self._count - self._first
        if at == self._size:
            self._grow()
        self._how[at], self._origin[at] = how, origin
        self._count += 1

    def is_full(self) -> bool:
        """Say whether it is time to settle what lies far back."""
        return self._count - self._first >= _KEPT_CUTS

    def settle(self, state: int) -> None:
        """Take the path to this state for the right one, but for its last part.

        Args:
            state: the likeliest at the last cut.
        """
        found = self.path(state)
        limit = self._count - _SETTLED_CUTS
        keep = [stretch for stretch in found if stretch.last_cut <= limit]
        self._settled = keep
        self._settled_to = keep[-1].last_cut if keep else 0
        drop = self._settled_to - self._first
        self._how[: self._size - drop] = self._how[drop:].copy()
        self._origin[: self._size - drop] = self._origin[drop:].copy()
        self._first += drop

    def path(self, state: int) -> list[Stretch]:
        """Go the path to a state at the last cut, all of it, in order of time.

        Args:
            state: the last note and one, 0 for none.
        """
        found: list[Stretch] = []
        cut, held_to = self._count - 1, 0
        while cut > self._settled_to:
            kind, back = divmod(int(self._how[cut - self._first, state]), 16)
            if kind == Kind.HELD:
                held_to = held_to or cut
                cut -= 1
            elif kind >= Kind.ASKED:
                start = max(self._settled_to, cut - back - 1)
                before = int(self._origin[start - self._first, state - 1])
                after = before - 1 if before else None
                found.append(Stretch(Kind(kind), state - 1, start, held_to or cut, after))
                cut, state, held_to = start, before, 0
            else:
                start = max(self._settled_to, cut - (back if kind == Kind.EXTRA else 0) - 1)
                found.append(Stretch(Kind(kind), None, start, cut, state - 1 if state else None))
                cut, held_to = start, 0
        return [*self._settled, *reversed(found)]

    def _grow(self) -> None:
        self._size *= 2
        self._how = np.concatenate((self._how, np.zeros_like(self._how)))
        self._origin = np.concatenate((self._origin, np.zeros_like(self._origin)))
