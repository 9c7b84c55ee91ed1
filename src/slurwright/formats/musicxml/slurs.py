"""Which slurs of the line start and stop where: ends matched by number, in order of time.

At one note what stops is matched before what starts. A number that starts again before it has stopped belongs to a
slur that never ended. Ends without their other end are passed over with a notice.
"""

from collections.abc import Sequence

from slurwright.formats.musicxml.details import SlurEnd
from slurwright.score import Slur

__all__ = ["SlurMatcher"]


class SlurMatcher:
    """Takes slur ends note by note and gives slurs."""

    def __init__(self) -> None:
        self.slurs: list[Slur] = []
        self.unclosed: list[int] = []
        """Notes whose slur never ends."""
        self.unopened: list[int] = []
        """Notes where a slur ends that never began."""
        self._open: dict[str, tuple[int, bool]] = {}

    def take(self, note: int, ends: Sequence[SlurEnd]) -> None:
        """Take in the ends at one note.

        Args:
            note: its index in the line [1].
            ends: in file order.

        """
        stops = [end for end in ends if end.type == "stop"]
        starts = [end for end in ends if end.type == "start"]
        unmatched: list[SlurEnd] = []
        for end in stops:
            if (opened := self._open.pop(end.number, None)) is not None:
                self.slurs.append(Slur(opened[0], note, dashed=opened[1]))
            else:
                unmatched.append(end)
        for end in starts:
            if (before := self._open.pop(end.number, None)) is not None:
                self.unclosed.append(before[0])
            self._open[end.number] = (note, end.dashed)
        for end in unmatched:
            # A slur that starts and stops at one note joins nothing.
            if end.number in self._open and self._open[end.number][0] == note:
                del self._open[end.number]
            self.unopened.append(note)

    def finish(self) -> None:
        """Say that the line is over."""
        self.unclosed += [note for note, _ in self._open.values()]
        self._open = {}
