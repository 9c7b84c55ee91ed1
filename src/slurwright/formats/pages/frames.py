"""How the measures of a part are written on the page: one by one, with the empty ones gathered into long rests."""

from bisect import bisect_right
from dataclasses import dataclass
from fractions import Fraction

from slurwright.score import Measure, Part

__all__ = ["Frame", "frame_of_measure", "frames_of"]


@dataclass(frozen=True, slots=True)
class Frame:
    """One measure of the page: a measure of the part, or several empty ones counted in a single rest."""

    first: int
    """Index into ``Part.measures``."""
    count: int
    rests_only: bool

    @property
    def last(self) -> int:
        """Index of the last measure that it stands for [1]."""
        return self.first + self.count - 1


def frames_of(part: Part) -> tuple[Frame, ...]:
    """Say which measures are written alone and which are counted together.

    Empty measures are counted together up to the next thing that a player must see: a word or sign, a change of
    key, time or clef, a repeat, an ending, a jump, a double bar, or a fermata.
    """
    with_notes = {note.measure for note in part.notes}
    stopped = _measures_with_signs_inside(part)
    headed = {direction.measure for direction in part.directions if direction.printed}
    frames: list[Frame] = []
    for measure in part.measures:
        empty = measure.index not in with_notes
        countable = empty and measure.index not in stopped
        if countable and frames and frames[-1].rests_only and frames[-1].last not in stopped:
            before = part.measures[frames[-1].last]
            if measure.index not in headed and _runs_on(before, measure):
                frames[-1] = Frame(frames[-1].first, frames[-1].count + 1, rests_only=True)
                continue
        frames.append(Frame(measure.index, 1, rests_only=empty))
    return tuple(frames)


def frame_of_measure(frames: tuple[Frame, ...]) -> dict[int, int]:
    """Map each index into ``Part.measures`` to the index of the frame that it stands in."""
    return {measure: place for place, frame in enumerate(frames) for measure in range(frame.first, frame.last + 1)}


def _runs_on(before: Measure, after: Measure) -> bool:
    """Say whether nothing stands between two measures that a long rest would hide."""
    closed = before.repeat_ends or before.double_bar or before.final_bar or before.ending_stops or before.jumps
    opened = after.repeat_starts or after.ending_starts or after.jumps
    same = (before.time, before.key, before.clef) == (after.time, after.key, after.clef)
    full = before.duration_quarter == before.time.length_quarter == after.duration_quarter
    return same and full and not closed and not opened


def _measures_with_signs_inside(part: Part) -> set[int]:
    """Find the measures that hold a sign after their start, or one that a long rest cannot carry."""
    onsets = [measure.onset_quarter for measure in part.measures]

    def measure_at(place: Fraction) -> int:
        return max(0, bisect_right(onsets, place) - 1)

    inside = {rest.measure for rest in part.rests if rest.fermata}
    inside |= {
        direction.measure
        for direction in part.directions
        if direction.printed and direction.onset_quarter > part.measures[direction.measure].onset_quarter
    }
    for hairpin in part.hairpins:
        first, last = measure_at(hairpin.start_quarter), measure_at(hairpin.end_quarter)
        if hairpin.end_quarter == onsets[last] and last > first:
            last -= 1
        inside.update(range(first, last + 1))
    return inside
