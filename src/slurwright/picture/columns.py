"""What stands above and below each note of a ladder, and where a long part is broken into rows."""

import math
from bisect import bisect_right
from collections.abc import Collection, Sequence
from dataclasses import dataclass

from slurwright.errors import RequestError
from slurwright.horn import Horn
from slurwright.pitch import Reading, SoundingPitch, WrittenPitch
from slurwright.score import DirectionKind, Line, Part, Sound

__all__ = ["Column", "Rung", "columns_of", "columns_of_bars", "pitch_words", "rows_of", "rungs_of"]

_HIGHEST_PARTIAL = 32


@dataclass(frozen=True, slots=True)
class Column:
    """The words around one sound."""

    name: str
    """Pitch in the player's reading."""
    bar: str
    """Printed number of the bar in which it begins."""
    starts_bar: bool
    """True on the first sound of a bar."""
    width_mm: float
    """Room that it wants [mm]."""
    dynamic: str = ""
    """Dynamic marks between the sound before and this one."""
    ending: str = ""
    """Passes of the ending bracket that it stands under, as printed: "1."; empty without a bracket."""
    opens_ending: bool = False
    """True on the first sound under a bracket."""

    @property
    def bar_words(self) -> str:
        """Bar number as it is shown: an upbeat and the like have none."""
        return self.bar if self.bar.isdigit() and int(self.bar) > 0 else ""


@dataclass(frozen=True, slots=True)
class Rung:
    """One partial of the open horn."""

    partial: int
    written: str
    """Nearest pitch of the open horn in the player's reading."""
    sounding: str


def pitch_words(pitch: SoundingPitch | WrittenPitch) -> str:
    """How is a pitch written for people: with ♭ and ♯ signs."""
    return str(pitch).replace("b", "♭").replace("#", "♯")


def rungs_of(horn: Horn, reading: Reading) -> dict[int, Rung]:
    """Which pitch of the open horn names each partial, in the player's reading and sounding."""
    rungs = {}
    for partial in range(1, _HIGHEST_PARTIAL + 1):
        sounding = SoundingPitch.from_midi(horn.open_pitch.midi + round(12 * math.log2(partial)))
        written = reading.transposition.to_written(sounding)
        rungs[partial] = Rung(partial, pitch_words(written), pitch_words(sounding))
    return rungs


def columns_of(part: Part, line: Line) -> tuple[Column, ...]:
    """What stands around each sound of a part's line."""
    columns: list[Column] = []
    dynamics = _Dynamics(part)
    bar_before = -1
    after = None
    for sound in line.sounds:
        note = part.notes[sound.notes[0]]
        measure = part.measures[note.measure]
        ending = ", ".join(f"{number}." for number in measure.endings)
        before = columns[-1].ending if columns else ""
        starts_bar = note.measure != bar_before
        columns.append(
            Column(
                name=pitch_words(note.written),
                bar=measure.number,
                starts_bar=starts_bar,
                width_mm=_width(sound),
                dynamic=dynamics.before(sound, after=after),
                ending=ending,
                opens_ending=bool(ending) and (ending != before or (starts_bar and measure.ending_starts)),
            )
        )
        bar_before, after = note.measure, sound
    return tuple(columns)


def _width(sound: Sound) -> float:
    """Room for a sound: mostly the same for all, a little more for longer ones (ours, by eye) [mm].

    Args:
        sound: one of the line.

    """
    return 5.6 if sound.grace else 6.4 + 0.9 * math.sqrt(min(4.0, float(sound.duration_quarter)))


class _Dynamics:
    """The printed dynamics of a part, ready to be asked for those before each sound."""

    def __init__(self, part: Part) -> None:
        printed = [mark for mark in part.directions if mark.kind is DirectionKind.DYNAMIC and mark.printed]
        printed.sort(key=lambda mark: mark.onset_quarter)
        self._places = [float(mark.onset_quarter) for mark in printed]
        self._texts = [mark.text for mark in printed]

    def before(self, sound: Sound, *, after: Sound | None) -> str:
        """Give the last mark behind one sound and up to another; empty if none stands there."""
        end = bisect_right(self._places, float(sound.onset_quarter))
        start = bisect_right(self._places, float(after.onset_quarter)) if after else 0
        return self._texts[end - 1] if end > start else ""


def columns_of_bars(columns: Sequence[Column], bars: tuple[int, int] | None) -> range:
    """Which columns lie in a stretch of bars, both ends included.

    Args:
        columns: of the whole part.
        bars: first and last printed bar number; None for all.

    Raises:
        RequestError: no note begins in those bars.

    """
    if bars is None:
        return range(len(columns))
    first, last = bars
    inside = [i for i, column in enumerate(columns) if _in_bars(column.bar, first, last)]
    if not inside:
        shown = [column.bar for column in columns]
        raise RequestError(
            "no note begins in these bars", got=f"{first} to {last}", allowed=f"{shown[0]} to {shown[-1]}"
        )
    return range(inside[0], inside[-1] + 1)


def _in_bars(number: str, first: int, last: int) -> bool:
    digits = "".join(letter for letter in number if letter.isdigit())
    return bool(digits) and first <= int(digits) <= last


def rows_of(
    columns: Sequence[Column], wanted: range, room_mm: float, *, joined: Collection[int] = ()
) -> tuple[range, ...]:
    """Break columns into few even rows that fit the width, at bar lines and between slurs where that can be.

    Args:
        columns: of the whole part.
        wanted: the stretch to be drawn.
        room_mm: width for columns in one row [mm].
        joined: columns that a slur reaches from the column before.

    """
    rows = _broken(columns, wanted, room_mm, joined)
    even = 1.08 * sum(columns[index].width_mm for index in wanted) / len(rows)
    balanced = _broken(columns, wanted, min(room_mm, even), joined)
    return balanced if len(balanced) == len(rows) else rows


def _broken(columns: Sequence[Column], wanted: range, room_mm: float, joined: Collection[int]) -> tuple[range, ...]:
    rows = []
    start = wanted.start
    while start < wanted.stop:
        end, used = start, 0.0
        while end < wanted.stop and (end == start or used + columns[end].width_mm <= room_mm):
            used += columns[end].width_mm
            end += 1
        if end < wanted.stop:
            end = _good_break(columns, range(start + 1, end + 1), joined)
        rows.append(range(start, end))
        start = end
    return tuple(rows)


def _good_break(columns: Sequence[Column], offered: range, joined: Collection[int]) -> int:
    """Break late in the row, best at a bar line that no slur crosses, else between slurs, else at a bar line."""
    late = [index for index in offered if index >= offered.start + 0.6 * len(offered)]
    free = [index for index in late if index not in joined]
    at_bars = [index for index in late if columns[index].starts_bar]
    both = [index for index in at_bars if index in free]
    return (both or free or at_bars or [offered.stop - 1])[-1]
