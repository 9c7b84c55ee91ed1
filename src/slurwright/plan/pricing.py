"""What every way of every note, and every change between them, costs: the three logs of a whole line.

Each figure is the negative log of a chance [nat]; they are kept apart (in tune, slurs, fingers) so that any weights
can be laid on them without computing anything anew. Moves that are alike, with the same two notes under the same
circumstances, share one block of figures.

Blocks have the shape (ways of the source, ways of the target, branches). A branch is a technique where the plan may
choose one; else there is one branch, which is played as is usual on the instrument.
"""

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import partial
from itertools import pairwise

import numpy as np

from slurwright.errors import Fault, PlanError
from slurwright.horn import Horn, Reach
from slurwright.pitch import SoundingPitch
from slurwright.plan.chances import Chances
from slurwright.plan.familiar import Familiarity
from slurwright.plan.fingers import chances_at_hand, finger_chances
from slurwright.plan.intune import chances_in_tune
from slurwright.plan.known import Known
from slurwright.plan.speaking import known_break_risks, possible, tongued_as_usual
from slurwright.plan.transition import (
    Bools,
    Changes,
    Circumstances,
    Floats,
    Ints,
    WayTable,
    changes_between,
    table_of_ways,
)
from slurwright.plan.values import Technique
from slurwright.plan.ways import Way, ways_of
from slurwright.score import Line, Move

__all__ = ["BRANCHES", "LEAST_S", "Priced", "changes_at", "cut_up", "place_among", "price_line"]

BRANCHES = tuple(Technique)
"""Techniques in the order of their branches, the plain slur first."""
LEAST_S = 0.02
"""Shorter times are counted as this: nothing is played faster (ours) [s]."""
_UNPLAYED = (0.0, 1.0, 1.0)
"""Circumstances of a written pair that is never played in sequence, which counts no times."""
_Key = tuple[tuple[int, int], tuple[int, int], bool, tuple[float, float, float], int]


@dataclass(frozen=True, slots=True)
class Priced:
    """A line with every cost in nats; what is often repeated is counted as often."""

    line: Line
    ways: tuple[tuple[Way, ...], ...]
    """For each sound, in the order of `ways_of`; never empty."""
    rows: tuple[tuple[int, int], ...]
    """For each sound, where its ways stand in `table`."""
    table: WayTable
    in_tune: tuple[Floats, ...]
    """For each sound, cost of each way, over all its times [nat]."""
    starts: tuple[Floats, ...]
    """For each sound, cost of having each way at hand where it is played without a move before [nat]."""
    smooth: Floats
    """Cost of each change once, blocks end to end, shape=(changes, branches) [nat]; 0 where not slurred."""
    fingers: Floats
    """The same for the fingers; infinity where a branch cannot be played."""
    techniques: Ints
    """Index into `BRANCHES` of each entry of `smooth`."""
    times: Floats
    """How often each change is made, shape=(changes,)."""
    places: tuple[int, ...]
    """For each move, first row of its block."""
    steps: tuple[int, ...]
    """For each sound but the last, first row of the block to its written neighbour."""

    def shape(self, source: int, target: int) -> tuple[int, int]:
        """How many ways two sounds have."""
        return len(self.ways[source]), len(self.ways[target])

    def block(self, move: int) -> slice:
        """Which rows belong to a move."""
        here, there = self.shape(self.line.moves[move].source, self.line.moves[move].target)
        return slice(self.places[move], self.places[move] + here * there)


def price_line(
    line: Line,
    horn: Horn,
    *,
    chances: Chances,
    choose_techniques: bool,
    reach: Reach | None = None,
    familiarity: Familiarity | None = None,
    known: Known | None = None,
) -> Priced:
    """Compute all costs of a line on a horn.

    Args:
        line: the sounds and moves.
        horn: the instrument.
        chances: the priors of notes, slurs and fingers.
        choose_techniques: True gives each technique a branch.
        reach: how far out a way may lie; None for the usual limits.
        familiarity: priors of familiarity; None for the built-in ones.
        known: what is known of the player beyond the priors; None leaves these.

    """
    pitches = {sound.sounding.midi: sound.sounding for sound in line.sounds}
    found = {midi: ways_of(pitch, horn, reach=reach, familiarity=familiarity) for midi, pitch in pitches.items()}
    _refuse_unplayable(line, horn, found)
    table = table_of_ways(list(found.items()), horn)
    ends = np.cumsum([0, *(len(ways) for ways in found.values())]).tolist()
    span = {midi: (ends[place], ends[place + 1]) for place, midi in enumerate(found)}
    rows = tuple(span[sound.sounding.midi] for sound in line.sounds)
    blocks = _Blocks(rows)
    places, steps = _placed(line, blocks)
    smooth, fingers, techniques = _priced(table, blocks, chances, known, choose_techniques=choose_techniques)
    in_tune, starts = _in_tune(line, rows, table, chances, known)
    return Priced(
        line=line,
        ways=tuple(found[sound.sounding.midi] for sound in line.sounds),
        rows=rows,
        table=table,
        in_tune=in_tune,
        starts=starts,
        smooth=smooth,
        fingers=fingers,
        techniques=techniques,
        times=blocks.times(),
        places=places,
        steps=steps,
    )


class _Blocks:
    """Blocks of changes, one for each kind of move; equal moves share one."""

    def __init__(self, rows: Sequence[tuple[int, int]]) -> None:
        self._rows = rows
        self._places: dict[_Key, int] = {}
        self._sizes: list[int] = []
        self._end = 0

    def place(
        self, source: int, target: int, *, slurred: bool, around: tuple[float, float, float], times: int
    ) -> int:
        """Say where a block starts, and make room for it if it is new."""
        key = (self._rows[source], self._rows[target], slurred, around, times)
        if key not in self._places:
            self._places[key] = self._end
            self._sizes.append((key[0][1] - key[0][0]) * (key[1][1] - key[1][0]))
            self._end += self._sizes[-1]
        return self._places[key]

    def pairs(self) -> tuple[Ints, Ints]:
        """Rows of every change: (source, target)."""
        cached: dict[tuple[tuple[int, int], tuple[int, int]], tuple[Ints, Ints]] = {}
        found = []
        for here, there, *_ in self._places:
            if (here, there) not in cached:
                cached[here, there] = _pairs(here, there)
            found.append(cached[here, there])
        none = np.empty(0, dtype=np.int64)
        return np.concatenate([none, *(one for one, _ in found)]), np.concatenate([none, *(two for _, two in found)])

    def around(self) -> Circumstances:
        """Circumstances of every change."""
        each = np.array([key[3] for key in self._places], dtype=np.float64).reshape(-1, 3)
        dynamic, time_s, hold_s = np.repeat(each, self._sizes, axis=0).T
        return Circumstances(dynamic=dynamic, time_s=time_s, hold_s=hold_s)

    def slurred(self) -> Bools:
        """Which changes are slurred."""
        return np.repeat(np.array([key[2] for key in self._places], dtype=np.bool_), self._sizes)

    def times(self) -> Floats:
        """How often each change is made."""
        return np.repeat(np.array([key[4] for key in self._places], dtype=np.float64), self._sizes)


def _pairs(here: tuple[int, int], there: tuple[int, int]) -> tuple[Ints, Ints]:
    """Every pair of rows of two notes."""
    source, target = np.arange(*here), np.arange(*there)
    return np.repeat(source, len(target)), np.tile(target, len(source))


def _placed(line: Line, blocks: _Blocks) -> tuple[tuple[int, ...], tuple[int, ...]]:
    """Give each move its block, and each pair of written neighbours that of its move, or one that costs nothing."""
    places = []
    chained: dict[int, int] = {}
    for move in line.moves:
        around = _around(move, line)
        place = blocks.place(move.source, move.target, slurred=move.slurred, around=around, times=move.times)
        places.append(place)
        if move.target == move.source + 1:
            chained[move.source] = place
    steps = [
        chained[sound]
        if sound in chained
        else blocks.place(sound, sound + 1, slurred=False, around=_UNPLAYED, times=0)
        for sound in range(len(line.sounds) - 1)
    ]
    return tuple(places), tuple(steps)


def _priced(
    table: WayTable, blocks: _Blocks, chances: Chances, known: Known | None, *, choose_techniques: bool
) -> tuple[Floats, Floats, Ints]:
    """Cost every change: (slur, fingers, technique), shape=(changes, branches) each."""
    source, target = blocks.pairs()
    changes = changes_between(table, source, target, around=blocks.around(), same_place_m=chances.slide.same_place_m)
    slurred = blocks.slurred()
    costs = partial(_costs, table, changes, slurred=slurred, chances=chances, known=known)
    if choose_techniques:
        each = [costs(technique) for technique in BRANCHES]
        smooth, fingers = (np.stack(part, axis=1) for part in zip(*each, strict=True))
        return smooth, fingers, np.broadcast_to(np.arange(len(BRANCHES)), smooth.shape)
    smooth, fingers = costs(Technique.PLAIN)
    if not table.slide:
        return smooth[:, None], fingers[:, None], np.zeros((len(smooth), 1), dtype=np.int64)
    tongued = slurred & tongued_as_usual(changes, slide=table.slide)
    tongue = BRANCHES.index(Technique.LEGATO_TONGUE)
    smooth_tongued, fingers_tongued = costs(Technique.LEGATO_TONGUE)
    smooth = np.where(tongued, smooth_tongued, smooth)
    fingers = np.where(tongued, fingers_tongued, fingers)
    return smooth[:, None], fingers[:, None], np.where(tongued, tongue, 0)[:, None]


def _costs(
    table: WayTable,
    changes: Changes,
    technique: Technique,
    *,
    slurred: Bools,
    chances: Chances,
    known: Known | None,
) -> tuple[Floats, Floats]:
    """Cost every change in one technique: (slur, fingers), shape=(changes,) each."""
    risks = known_break_risks(table, changes, technique, slurred=slurred, chances=chances, known=known)
    smooth = np.where(slurred, -np.log1p(-risks), 0.0)
    fingers = -np.log(finger_chances(table, changes, technique, chances=chances, known=known))
    if technique is Technique.PLAIN:
        return smooth, fingers
    return smooth, np.where(slurred & possible(changes, technique, slide=table.slide), fingers, np.inf)


def _in_tune(
    line: Line, rows: Sequence[tuple[int, int]], table: WayTable, chances: Chances, known: Known | None
) -> tuple[tuple[Floats, ...], tuple[Floats, ...]]:
    """Cost each way of each sound: (in tune over all its times, at hand where nothing comes before)."""
    sizes = [stop - start for start, stop in rows]
    spans = {span: np.arange(*span) for span in set(rows)}
    every = np.concatenate([spans[span] for span in rows])
    duration_s = np.repeat([max(LEAST_S, sound.duration_s) for sound in line.sounds], sizes)
    times = np.repeat([float(sound.times) for sound in line.sounds], sizes)
    led_to = Counter[int]()
    for move in line.moves:
        led_to[move.target] += move.times
    bare = np.repeat([float(max(0, sound.times - led_to[sound.index])) for sound in line.sounds], sizes)
    tune = -times * np.log(chances_in_tune(table, every, duration_s, tune=chances.tune))
    start = -bare * np.log(chances_at_hand(table, every, fingers=chances.fingers, known=known))
    return cut_up(tune, sizes), cut_up(start, sizes)


def changes_at(priced: Priced, entries: Sequence[tuple[int, int, int]], *, chances: Chances) -> Changes:
    """Compute the features of single changes of a line anew.

    Args:
        priced: the line with its ways.
        entries: (move, place among the source's ways, place among the target's) each.
        chances: the priors.

    """
    moves = [priced.line.moves[index] for index, _, _ in entries]
    source = [priced.rows[move.source][0] + first for move, (_, first, _) in zip(moves, entries, strict=True)]
    target = [priced.rows[move.target][0] + second for move, (_, _, second) in zip(moves, entries, strict=True)]
    around = np.array([_around(move, priced.line) for move in moves], dtype=np.float64).reshape(-1, 3)
    return changes_between(
        priced.table,
        np.array(source, dtype=np.int64),
        np.array(target, dtype=np.int64),
        around=Circumstances(dynamic=around[:, 0], time_s=around[:, 1], hold_s=around[:, 2]),
        same_place_m=chances.slide.same_place_m,
    )


def _around(move: Move, line: Line) -> tuple[float, float, float]:
    """Circumstances of a move: (dynamic, time, hold)."""
    return move.dynamic, max(LEAST_S, move.time_s), max(LEAST_S, line.sounds[move.target].duration_s)


def cut_up(figures: Floats, sizes: Sequence[int]) -> tuple[Floats, ...]:
    """Cut an array into pieces of given sizes.

    Args:
        figures: end to end, shape=(sum of sizes,) [1].
        sizes: of the pieces.

    """
    ends = np.cumsum([0, *sizes]).tolist()
    return tuple(figures[start:stop] for start, stop in pairwise(ends))


def place_among(ways: Sequence[Way], way: Way) -> int:
    """Find a plan's way among those of its note: its place in the list [1].

    Raises:
        PlanError: it is not among them.

    """
    for place, one in enumerate(ways):
        if (one.fingering, one.partial) == (way.fingering, way.partial):
            return place
    raise PlanError(
        "the plan uses a way that this horn does not offer",
        got=f"{way.fingering} on partial {way.partial}",
        allowed=", ".join(f"{one.fingering} on {one.partial}" for one in ways),
    )


def _refuse_unplayable(line: Line, horn: Horn, found: Mapping[int, Sequence[Way]]) -> None:
    """Name every note that nothing on the horn sounds."""
    low, high = horn.possible
    faults = []
    for midi, ways in found.items():
        if not ways:
            places = [sound.index + 1 for sound in line.sounds if sound.sounding.midi == midi]
            more = f" and {len(places) - 1} more" if len(places) > 1 else ""
            faults.append(
                Fault(
                    f"no fingering of {horn.name} sounds this note",
                    got=f"sounding {SoundingPitch.from_midi(midi)}",
                    allowed=f"sounding {low} to {high}" + _gaps_said(horn),
                    where=f"sound {places[0]}{more}",
                )
            )
    if faults:
        raise PlanError(faults=tuple(faults))


def _gaps_said(horn: Horn) -> str:
    names = ", ".join(str(SoundingPitch.from_midi(midi)) for midi in horn.gaps)
    return f" without {names}" if names else ""
