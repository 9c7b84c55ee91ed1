"""When each note of the part is expected: after the note before it, at the tempo that a path carries along."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from slurwright.listen.following_path import Line

__all__ = ["Begun", "Free", "Pace", "begin", "lasting", "pace_of"]

_Array = NDArray[np.float64]

_MISSED = (0.0, 4.5, 8.5, 12.0)
"""What it costs to miss no note, one, two, three."""
_START_INSIDE = 6.5
_TEMPO_SD, _FIRST_TEMPO_SD = 0.22, 0.6
"""How far the time from note to note is off the tempo, and off the marked one at first [log of the ratio]."""
_TEMPO_GAIN, _TEMPO_STEP = 0.2, 0.7
_PAUSE, _RUSH = 3.5, 6.0
"""The most that coming late or early costs."""
_LONG_SD, _SHORT_SD = 0.45, 0.6
_LONG, _SHORT = 4.0, 6.0
"""The most that a note costs for sounding too long or too short."""
_UNTIMED = 0.7
"""What it costs that a missed note takes no time."""
_NEVER = -1e9


@dataclass(slots=True, eq=False)
class Free:
    """Being free at a cut, after each note; index 0: before any; shape=(notes + 1,)."""

    nats: _Array
    onset_s: _Array
    """Of the note that was the last [s]."""
    tempo: _Array
    """Log of the time a note takes against the marked time."""
    count: _Array
    """How many notes the tempo was learnt from."""


@dataclass(slots=True, eq=False)
class Begun:
    """Beginning each note at a cut; shape=(notes,)."""

    nats: _Array
    tempo: _Array
    count: _Array
    source: NDArray[np.int32]
    """After which note: 0 for none, else its index and one."""


@dataclass(frozen=True, slots=True, eq=False)
class Pace:
    """The ways on from note to note; shape=(ways, notes): row k leads on over k missed notes."""

    source: NDArray[np.int32]
    """State of being free that each comes from."""
    marked: _Array
    """Log of the marked time between the two onsets."""
    marked_next: _Array
    """The same if the missed notes take no time."""
    cost: _Array
    same: NDArray[np.bool_]
    """Whether both notes have the same pitch."""


def pace_of(line: Line) -> Pace:
    """Lay out the ways on from note to note.

    Args:
        line: the part.
    """
    notes = len(line.onset_s)
    ways = min(len(_MISSED), max(1, notes - 1))
    at = np.arange(notes)
    before = np.maximum(0, at - 1 - np.arange(ways)[:, None])
    there = at > np.arange(ways)[:, None]
    after = np.minimum(before + 1, notes - 1)
    marked = np.log(np.where(there, np.maximum(1e-3, line.onset_s - line.onset_s[before]), 1.0))
    marked_next = np.log(np.where(there, np.maximum(1e-3, line.onset_s[after] - line.onset_s[before]), 1.0))
    cost = np.where(there, np.array(_MISSED[:ways])[:, None], -_NEVER)
    same = line.pitch == line.pitch[before]
    return Pace((before + 1).astype(np.int32), marked, marked_next, cost, same)


def begin(line: Line, pace: Pace, free: Free, *, time_s: float, odds: float, jump: float, quiet: bool) -> Begun:
    """Begin each note at a cut in the likeliest way.

    Args:
        line: the part.
        pace: its ways from note to note.
        free: what was possible up to here.
        time_s: of the cut [s].
        odds: what the cut says about a new start of the same pitch; 0 or less [nats].
        jump: what it costs to go on at any other note [nats].
        quiet: nothing sounds just before; the tempo may be a new one.
    """
    notes = len(line.onset_s)
    known = np.minimum(free.count, 1.0) if quiet else free.count
    from_tempo, count = free.tempo[pace.source], known[pace.source]
    passed = np.log(np.maximum(1e-3, time_s - free.onset_s))[pace.source]
    sd = np.sqrt(_TEMPO_SD**2 + _FIRST_TEMPO_SD**2 / (1.0 + 3.0 * count))
    late, late_next = passed - pace.marked - from_tempo, passed - pace.marked_next - from_tempo
    cost, cost_next = _untimely(late / sd), _untimely(late_next / sd) + _UNTIMED
    cost_next[0] = -_NEVER
    late = np.where(cost_next < cost, late_next, late)
    nats = free.nats[pace.source] - np.minimum(cost, cost_next) - pace.cost + np.where(pace.same, odds, 0.0)
    way = np.argmax(nats, axis=0)
    each = np.arange(notes)
    gain = np.maximum(_TEMPO_GAIN, 1.0 / (count[way, each] + 1.5))
    tempo = from_tempo[way, each] + gain * np.clip(late[way, each], -_TEMPO_STEP, _TEMPO_STEP)
    begun = Begun(nats[way, each], tempo, count[way, each] + 1.0, pace.source[way, each].copy())
    _leap(line, free, begun, odds=odds, jump=jump)
    return begun


def _leap(line: Line, free: Free, begun: Begun, *, odds: float, jump: float) -> None:
    """Begin notes by a jump from anywhere, or as the first of all, where that is likelier."""
    first = np.full(len(begun.nats), free.nats[0] - _START_INSIDE)
    first[0] += _START_INSIDE
    better = first > begun.nats
    begun.nats[better] = first[better]
    begun.tempo[better], begun.count[better], begun.source[better] = 0.0, 0.0, 0
    last = int(np.argmax(free.nats[1:])) + 1
    jumped = free.nats[last] - jump + np.where(line.pitch == line.pitch[last - 1], odds, 0.0)
    better = jumped > begun.nats
    begun.nats[better] = jumped[better]
    begun.tempo[better], begun.count[better], begun.source[better] = (
        free.tempo[last],
        min(free.count[last], 1.0),
        last,
    )


def lasting(line: Line, length_s: _Array, tempo: _Array) -> _Array:
    """Tell how likely it is that each note sounds so long.

    Args:
        line: the part.
        length_s: of each stretch, shape=(spans,) [s].
        tempo: at the start of each, shape=(spans, notes).

    Returns:
        Logs of chances against the likeliest length, shape=(spans, notes) [nats].
    """
    away = np.log(length_s)[:, None] - np.log(line.length_s) - tempo
    late = np.minimum(_LONG, np.square(away) * (0.5 / _LONG_SD**2))
    early = np.minimum(_SHORT, np.square(away) * (0.5 / _SHORT_SD**2))
    return -np.where(away > 0, late, early)


def _untimely(late: _Array) -> _Array:
    """What it costs to come late, or early, by so many standard deviations."""
    return np.minimum(np.where(late > 0, _PAUSE, _RUSH), 0.5 * np.square(late))
