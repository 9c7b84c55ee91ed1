"""How beams and tuplets lie inside each other: runs of events as a tree without crossing branches."""

from collections.abc import Sequence
from dataclasses import dataclass

__all__ = ["Branch", "Run", "nested"]


@dataclass(frozen=True, slots=True)
class Run:
    """A beam or a tuplet over neighbouring events, both ends included."""

    kind: str
    """"beam" or "tuplet"."""
    first: int
    last: int


@dataclass(frozen=True, slots=True)
class Branch:
    """A run with what stands in it: other branches and plain events (their places)."""

    run: Run
    children: "tuple[Branch | int, ...]"


def nested(count: int, tuplets: Sequence[Run], beams: Sequence[Run]) -> "tuple[Branch | int, ...]":
    """Lay runs over events so that each lies wholly inside or wholly outside every other.

    A beam that crosses the edge of a tuplet is cut there; what is left of it with fewer than two events is no beam.

    Args:
        count: how many events there are [1].
        tuplets: runs that never overlap each other.
        beams: runs that never overlap each other.

    """
    edges = {run.first for run in tuplets} | {run.last + 1 for run in tuplets}
    cut: list[Run] = []
    for beam in beams:
        if all(_apart_or_within(beam, run) for run in tuplets):
            cut.append(beam)
            continue
        starts = [beam.first, *sorted(edge for edge in edges if beam.first < edge <= beam.last)]
        ends = [*(start - 1 for start in starts[1:]), beam.last]
        cut += [Run("beam", first, last) for first, last in zip(starts, ends, strict=True) if last > first]
    runs = sorted([*tuplets, *cut], key=lambda run: (run.first, -run.last, run.kind != "tuplet"))
    return _grow(runs, 0, count - 1)


def _apart_or_within(one: Run, other: Run) -> bool:
    apart = one.last < other.first or other.last < one.first
    inside = one.first >= other.first and one.last <= other.last
    around = one.first <= other.first and one.last >= other.last
    return apart or inside or around


def _grow(runs: list[Run], first: int, last: int) -> "tuple[Branch | int, ...]":
    """Place the runs between two events, the outer ones first, and fill up with plain events."""
    children: list[Branch | int] = []
    place = first
    while runs and runs[0].first <= last:
        run = runs.pop(0)
        children += range(place, run.first)
        children.append(Branch(run, _grow(runs, run.first, run.last)))
        place = run.last + 1
    children += range(place, last + 1)
    return tuple(children)
