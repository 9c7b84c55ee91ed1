"""What a player meets between two ways: the features of a change, computed for many changes at once.

Arrays run over changes; index ``e`` means the change from way ``source[e]`` to way ``target[e]`` of a `WayTable`
under the circumstances number ``e``. One change alone is an array of length 1, so there is one formula for both.

Conventions. A *lip* change keeps the setting; a *valve* change keeps the partial; any other is *both*. On a slide
places closer than `same_place_m` are one setting. The gap is the interval between the two partials on the first
note's air column: the step that the lips must make with no help from the horn. The round trip is that of sound in
the longer of the two tubes, 1 / f1 = 2 L / c (derived).
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from slurwright.horn import Horn, HornKind
from slurwright.pitch import cents_of_ratio, hz_of_midi
from slurwright.plan.ways import Way

__all__ = [
    "Bools",
    "Changes",
    "Circumstances",
    "Floats",
    "Ints",
    "WayTable",
    "changes_between",
    "some_changes",
    "table_of_ways",
]

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]

_BITS = np.array([bin(number).count("1") for number in range(1 << 12)], dtype=np.int64)


@dataclass(frozen=True, slots=True)
class WayTable:
    """Ways as columns; row ``r`` is one way of one note."""

    midi: Ints
    """Note at concert pitch. [semitones]"""
    partial: Ints
    height_cents: Floats
    """Of the partial above the first one."""
    neighbour_cents: Floats
    """Distance of the partial from the next one up."""
    rungs: Ints
    """Partials above the normal way's, below zero if lower; 0 where the note has no normal way."""
    cents: Floats
    spread_cents: Floats
    usual: Floats
    normal: Bools
    """True also where the note has no normal way: there is nothing to depart from."""
    trip_s: Floats
    """Sound's round trip in the tube. [s]"""
    pressed: Ints
    """One bit a finger."""
    slide_m: Floats
    slide: bool
    """True on a hand slide."""
    thumbs: int
    """Bits of `pressed` that are thumbs."""
    fingerings: tuple[str, ...]
    """Label of the setting, one a row."""


@dataclass(frozen=True, slots=True)
class Circumstances:
    """What surrounds each change."""

    dynamic: Floats
    """[steps from mf]"""
    time_s: Floats
    """From onset to onset. [s]"""
    hold_s: Floats
    """How long the second note lasts. [s]"""


@dataclass(frozen=True, slots=True)
class Changes:
    """Features of changes; all arrays have one entry a change."""

    same_setting: Bools
    crossings: Ints
    """Partials between the two ways, 0 on the same one."""
    gap_cents: Floats
    interval_cents: Floats
    """Between the two notes, + up."""
    neighbour_cents: Floats
    """Distance of the target's partial from the next one up."""
    trip_s: Floats
    moved: Ints
    """Fingers that move."""
    contrary: Ints
    """Fingers that come up while as many go down."""
    thumb: Bools
    distance_m: Floats
    """How far the slide moves."""
    still: Bools
    """True where note and setting both stay."""
    source: Ints
    """Row of the way that is left."""
    target: Ints
    """Row of the way that is reached."""
    around: Circumstances


def table_of_ways(notes: Sequence[tuple[int, Sequence[Way]]], horn: Horn) -> WayTable:
    """Lay out the ways of notes in one table, note after note.

    Args:
        notes: (note at concert pitch, its ways) each.
        horn: gives the length of the open tube and the kind of horn.

    """
    rows = [(midi, way, _normal_partial(horn, midi)) for midi, ways in notes for way in ways]
    fingers = sorted({name for _, way, _ in rows for name in way.setting.pressed})
    bit = {name: 1 << place for place, name in enumerate(fingers)}
    trip_s = 1.0 / hz_of_midi(horn.open_pitch.midi)
    return WayTable(
        midi=np.array([midi for midi, _, _ in rows], dtype=np.int64),
        partial=np.array([way.partial for _, way, _ in rows], dtype=np.int64),
        height_cents=np.array([cents_of_ratio(way.partial) for _, way, _ in rows]),
        neighbour_cents=np.array([cents_of_ratio((way.partial + 1) / way.partial) for _, way, _ in rows]),
        rungs=np.array([way.partial - (normal or way.partial) for _, way, normal in rows], dtype=np.int64),
        cents=np.array([way.cents for _, way, _ in rows]),
        spread_cents=np.array([way.spread_cents for _, way, _ in rows]),
        usual=np.array([way.usual for _, way, _ in rows]),
        normal=np.array([way.normal or normal is None for _, way, normal in rows], dtype=np.bool_),
        trip_s=np.array([trip_s * way.setting.ratio for _, way, _ in rows]),
        pressed=np.array([sum(bit[name] for name in way.setting.pressed) for _, way, _ in rows], dtype=np.int64),
        slide_m=np.array([way.setting.slide_m for _, way, _ in rows]),
        slide=horn.kind is HornKind.SLIDE,
        thumbs=sum(bit[name] for name in fingers if name.startswith("T")),
        fingerings=tuple(way.fingering for _, way, _ in rows),
    )


def _normal_partial(horn: Horn, midi: int) -> int | None:
    normal = horn.normal.get(midi)
    return None if normal is None else normal[1]


def changes_between(
    table: WayTable, source: Ints, target: Ints, *, around: Circumstances, same_place_m: float
) -> Changes:
    """Compute the features of changes from rows to rows.

    Args:
        table: the ways.
        source: rows left, shape=(changes,) [1].
        target: rows reached, shape=(changes,) [1].
        around: circumstances of each change.
        same_place_m: places of a slide closer than this are the same [m].

    """
    before, after = table.partial[source], table.partial[target]
    held, wanted = table.pressed[source], table.pressed[target]
    distance_m = np.abs(table.slide_m[target] - table.slide_m[source])
    same_setting = (held == wanted) & (distance_m < same_place_m)
    semitones = table.midi[target] - table.midi[source]
    return Changes(
        same_setting=same_setting,
        crossings=np.abs(after - before),
        gap_cents=np.abs(table.height_cents[target] - table.height_cents[source]),
        interval_cents=(100.0 * semitones).astype(np.float64),
        neighbour_cents=table.neighbour_cents[target],
        trip_s=np.maximum(table.trip_s[source], table.trip_s[target]),
        moved=_BITS[held ^ wanted],
        contrary=np.minimum(_BITS[held & ~wanted], _BITS[wanted & ~held]),
        thumb=((held ^ wanted) & table.thumbs) != 0,
        distance_m=distance_m,
        still=same_setting & (semitones == 0) & (before == after),
        source=source,
        target=target,
        around=around,
    )


def some_changes(changes: Changes, places: Ints) -> Changes:
    """Pick some of many changes.

    Args:
        changes: all of them.
        places: which ones, shape=(picked,) [1].

    """
    around = changes.around
    return Changes(
        same_setting=changes.same_setting[places],
        crossings=changes.crossings[places],
        gap_cents=changes.gap_cents[places],
        interval_cents=changes.interval_cents[places],
        neighbour_cents=changes.neighbour_cents[places],
        trip_s=changes.trip_s[places],
        moved=changes.moved[places],
        contrary=changes.contrary[places],
        thumb=changes.thumb[places],
        distance_m=changes.distance_m[places],
        still=changes.still[places],
        source=changes.source[places],
        target=changes.target[places],
        around=Circumstances(
            dynamic=around.dynamic[places], time_s=around.time_s[places], hold_s=around.hold_s[places]
        ),
    )
