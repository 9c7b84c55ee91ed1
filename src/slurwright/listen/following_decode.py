"""Which note of the part is each stretch of a take? The likeliest path through a semi-Markov model of the part.

At every cut of the take the player is either *free* (some note was the last one to sound) or *begins* a note. From
beginning a note a stretch of one or more segments leads to being free after it: the asked note, the asked note an
octave away, or another note in its place. Being free goes on over silence, noise, or sounds that nobody asked for,
and ends with the next note; with a later one, if some are missed; or with any, if the player goes back or jumps.

How long a note lasts is judged against a tempo that every path carries along and lets drift. All figures are logs of
chances [nats]; those of the player's faults are common practice, set on simulated takes.
"""

from dataclasses import dataclass
from enum import IntEnum

import numpy as np
from numpy.typing import NDArray

from slurwright.listen.following_evidence import PARTS, Evidence, mismatch
from slurwright.listen.following_segments import Segments

__all__ = ["SPANS", "Kind", "Line", "Path", "Stretch", "decode"]

SPANS = 14
"""The most segments that make one note."""

_Array = NDArray[np.float64]
_Kept = tuple[_Array, _Array, _Array, NDArray[np.int32]]
"""Beginning each note at one cut: score, tempo, count, and after which note (0: none, else its index and one)."""

_OFF = 6.0
"""What it costs a note that its pitch, as a whole, is another."""
_OFF_PART = 0.15
_WRONG = 4.5
_WRONG_SEMITONE = 0.12
_WRONG_FAR = 2.0
_SAME_AS_ASKED = 3.0
_OCTAVE = 4.5
_EXTRA = 5.5
_SKIPS = (4.5, 8.5, 12.0)
_JUMP, _JUMP_UNQUIET = 4.5, 3.0
_START_INSIDE = 6.5
_UNENDED = 2.0
_QUIET_S = 0.2
_SHORTEST_S = 0.025
_TEMPO_SD, _FIRST_TEMPO_SD = 0.22, 0.6
_TEMPO_GAIN = 0.2
_PAUSE, _RUSH = 3.5, 6.0
"""The most that coming late or early costs."""
_LONG_SD, _SHORT_SD = 0.45, 0.6
_LONG, _SHORT = 4.0, 6.0
_UNTIMED = 0.7
"""What it costs that a missed note takes no time."""
_FADING = 4.0
"""What it costs that a note begins where the sound fades away."""
_NEVER = -1e9


class Kind(IntEnum):
    """What a stretch is taken for."""

    GAP = 0
    NOISE = 1
    EXTRA = 2
    ASKED = 3
    OCTAVE = 4
    WRONG = 5
    HELD = 6
    """The note before goes on: it has more segments than one stretch."""


@dataclass(frozen=True, slots=True, eq=False)
class Line:
    """The part as the follower needs it; arrays shape=(notes,)."""

    onset_s: _Array
    """At the marked tempo [s]."""
    length_s: _Array
    semitones: _Array
    """Asked pitch, the tuning of the take counted in [semitones]."""
    pitch: NDArray[np.intp]
    """Index into ``Evidence.pitches``."""


@dataclass(frozen=True, slots=True)
class Stretch:
    """A stretch of a take that is one sound."""

    kind: Kind
    asked: int | None
    first_cut: int
    last_cut: int
    after: int | None = None
    """The note of the part that was the last before it, None at the start."""


@dataclass(frozen=True, slots=True)
class Path:
    """The likeliest path."""

    stretches: tuple[Stretch, ...]
    nats: float
    """Log of its chance."""


@dataclass(slots=True, eq=False)
class _Free:
    """Being free at a cut, after each note; index 0: before any; shape=(notes + 1,)."""

    score: _Array
    onset_s: _Array
    tempo: _Array
    count: _Array


@dataclass(frozen=True, slots=True, eq=False)
class _Past:
    """What was possible at each of the last cuts, by turns in one of ``SPANS`` places."""

    free: _Array
    """Being free; shape=(SPANS, notes + 1)."""
    carried: _Array
    """Onset, tempo and count of the same; shape=(SPANS, 3, notes + 1)."""
    begun: _Array
    """Beginning each note; shape=(SPANS, notes)."""
    tempo: _Array
    count: _Array
    cost: _Array
    """What it costs that anything begins there; shape=(SPANS,)."""

    @classmethod
    def of_nothing(cls, notes: int) -> "_Past":
        free, begun = (SPANS, notes + 1), (SPANS, notes)
        carried = np.zeros((SPANS, 3, notes + 1))
        return cls(
            np.full(free, _NEVER), carried, np.full(begun, _NEVER), np.zeros(begun), np.zeros(begun), np.zeros(SPANS)
        )


def decode(line: Line, segments: Segments, evidence: Evidence) -> Path:
    """Find the likeliest path through the part.

    Args:
        line: the part.
        segments: the take, cut.
        evidence: how well its stretches fit the pitches.
    """
    notes, cuts = len(line.onset_s), len(segments.cut_s)
    how = np.zeros((cuts, notes + 1), np.uint8)
    origin = np.zeros((cuts, notes), np.int32)
    past = _Past.of_nothing(notes)
    free = _Free(np.full(notes + 1, _NEVER), np.zeros(notes + 1), np.zeros(notes + 1), np.zeros(notes + 1))
    free.score[0] = 0.0
    quiet = _quiet_before(segments)
    begin_cost = _begin_costs(segments)
    for cut in range(cuts):
        if cut:
            free, how[cut] = _freed(line, segments, evidence, past, how[cut - 1], cut=cut)
        past.free[cut % SPANS] = free.score
        past.carried[cut % SPANS] = free.onset_s, free.tempo, free.count
        odds = min(0.0, float(segments.again[cut]))
        jump = _JUMP + 0.5 * np.log(notes) + (0.0 if quiet[cut] >= _QUIET_S else _JUMP_UNQUIET)
        kept = past.begun[cut % SPANS], past.tempo[cut % SPANS], past.count[cut % SPANS], origin[cut]
        _begin(line, free, kept, time_s=float(segments.cut_s[cut]), odds=odds, jump=jump)
        past.begun[cut % SPANS] -= begin_cost[cut]
        past.cost[cut % SPANS] = begin_cost[cut] + evidence.repeat[cut]
    free.score[:-1] -= _UNENDED
    last = int(np.argmax(free.score))
    return Path(_traced(how, origin, last), float(free.score[last]))


def _freed(
    line: Line, segments: Segments, evidence: Evidence, past: _Past, how_before: NDArray[np.uint8], *, cut: int
) -> tuple[_Free, NDArray[np.uint8]]:
    """Be free at a cut: after a note that ended there, or as before, over silence, noise or an extra sound."""
    spans = min(SPANS, cut)
    starts = cut - 1 - np.arange(spans)
    slots = starts % SPANS
    kinds, fit = _sounded(line, evidence, cut, starts)
    heard = evidence.heard_s[cut, :spans]
    length_s = segments.cut_s[cut] - segments.cut_s[starts]
    fit = fit + (past.begun[slots] - evidence.passed[cut, :spans, None]) + _lasting(line, length_s, past.tempo[slots])
    fit[heard < _SHORTEST_S] = _NEVER
    span = np.argmax(fit, axis=0)
    each = np.arange(len(span))
    note = fit[span, each]

    extra_fit = np.where(heard < _SHORTEST_S, _NEVER, evidence.own_fit[cut, :spans] - _EXTRA - past.cost[slots])
    extras = past.free[slots] + (extra_fit - evidence.passed[cut, :spans])[:, None]
    extra_span = np.argmax(extras, axis=0)
    every = np.arange(extras.shape[1])
    extra = extras[extra_span, every]
    held = _held(line, segments, evidence, how_before, cut)
    gap, noise = evidence.gap[cut - 1], evidence.noise[cut - 1]
    idle = past.free[(cut - 1) % SPANS] + max(gap, noise)

    how = np.full(len(idle), int(Kind.GAP if gap >= noise else Kind.NOISE) * 16, np.uint8)
    score, back = idle, np.zeros(len(idle), np.intp)
    more = extra > score
    score = np.where(more, extra, score)
    back[more] = extra_span[more]
    how[more] = int(Kind.EXTRA) * 16 + extra_span[more]
    longer = past.free[(cut - 1) % SPANS] + held > score
    score = np.where(longer, past.free[(cut - 1) % SPANS] + held, score)
    back[longer] = 0
    how[longer] = int(Kind.HELD) * 16
    onset_s, tempo, count = past.carried[(cut - 1 - back) % SPANS, :, every].T.copy()
    won = np.flatnonzero(note > score[1:])
    score[won + 1] = note[won]
    slot = slots[span[won]]
    onset_s[won + 1] = segments.cut_s[starts[span[won]]]
    tempo[won + 1] = past.tempo[slot, won]
    count[won + 1] = past.count[slot, won]
    how[won + 1] = kinds[span[won], won] * 16 + span[won]
    return _Free(score, onset_s, tempo, count), how


def _held(line: Line, segments: Segments, evidence: Evidence, how_before: NDArray[np.uint8], cut: int) -> _Array:
    """Fit of the last segment to the note before it, where that has filled a whole stretch; shape=(notes + 1,)."""
    full = (how_before // 16 == int(Kind.HELD)) | (
        (how_before // 16 >= int(Kind.ASKED)) & (how_before % 16 == SPANS - 1)
    )
    held = np.full(len(how_before), _NEVER)
    if full.any():
        fit = np.maximum(
            evidence.fit[cut] - evidence.fit[cut - 1], evidence.fit_octave[cut] - evidence.fit_octave[cut - 1]
        )
        held[1:][full[1:]] = fit[line.pitch][full[1:]] - max(0.0, float(segments.again[cut - 1]))
    return held


def _sounded(line: Line, evidence: Evidence, cut: int, starts: NDArray[np.intp]) -> tuple[NDArray[np.uint8], _Array]:
    """What each stretch that ends at a cut is best taken for in place of each note, and its fit."""
    spans = len(starts)
    repeat = evidence.repeat[starts, None]
    away = np.abs(evidence.own[cut, :spans, None] - line.semitones)
    asked = (evidence.fit[cut] - evidence.fit[starts])[:, line.pitch] - _OFF * np.where(
        _is_part(line.semitones - evidence.own[cut, :spans, None]), _OFF_PART, 1.0
    ) * mismatch(away)
    octave = (evidence.fit_octave[cut] - evidence.fit_octave[starts])[:, line.pitch] - _OCTAVE
    octave -= repeat + _OFF * mismatch(away - 12.0)
    wrong = evidence.own_fit[cut, :spans, None] - _WRONG - np.minimum(_WRONG_FAR, _WRONG_SEMITONE * away)
    wrong -= repeat + np.where(away < 0.5, _SAME_AS_ASKED, 0.0)
    kinds = np.full(asked.shape, int(Kind.ASKED), np.uint8)
    best = asked
    for kind, other in ((Kind.OCTAVE, octave), (Kind.WRONG, wrong)):
        better = other > best
        kinds[better] = int(kind)
        best = np.maximum(best, other)
    return kinds, best


def _lasting(line: Line, length_s: _Array, tempo: _Array) -> _Array:
    """How likely it is that a note sounds so long."""
    away = np.log(length_s)[:, None] - np.log(line.length_s) - tempo
    late = np.minimum(_LONG, 0.5 * np.square(away / _LONG_SD))
    early = np.minimum(_SHORT, 0.5 * np.square(away / _SHORT_SD))
    return -np.where(away > 0, late, early)


def _begin(line: Line, free: _Free, kept: _Kept, *, time_s: float, odds: float, jump: float) -> None:
    """Begin each note at a cut: put the best ways into ``kept``."""
    score, tempo, count, source = kept
    notes = len(score)
    # From before any note.
    score[:] = free.score[0] - _START_INSIDE
    score[0] += _START_INSIDE
    tempo[:], count[:], source[:] = 0.0, 0.0, 0
    # From anywhere: back to an earlier note, or far ahead.
    last = int(np.argmax(free.score[1:])) + 1
    jumped = free.score[last] - jump + np.where(line.pitch == line.pitch[last - 1], odds, 0.0)
    better = jumped > score
    score[better] = jumped[better]
    tempo[better], count[better], source[better] = free.tempo[last], np.minimum(free.count[last], 1.0), last
    # From the note before, or one of those before that with notes missed between.
    for ahead in range(1, 2 + len(_SKIPS)):
        if ahead >= notes:
            break
        _advance(line, free, kept, time_s=time_s, ahead=ahead, odds=odds)


def _advance(line: Line, free: _Free, kept: _Kept, *, time_s: float, ahead: int, odds: float) -> None:
    """Begin each note after the note ``ahead`` places before it, where that is better than what is kept."""
    score, tempo, count, source = (values[ahead:] for values in kept)
    before = slice(1, len(line.onset_s) + 1 - ahead)
    marked = np.log(line.onset_s[ahead:] - line.onset_s[:-ahead])
    passed = np.log(np.maximum(1e-3, time_s - free.onset_s[before]))
    late = passed - marked - free.tempo[before]
    sd = np.sqrt(_TEMPO_SD**2 + _FIRST_TEMPO_SD**2 / (1.0 + 3.0 * free.count[before]))
    cost = _untimely(late, sd)
    if ahead > 1:
        next_marked = np.log(line.onset_s[1 : len(line.onset_s) + 1 - ahead] - line.onset_s[:-ahead])
        late_untimed = passed - next_marked - free.tempo[before]
        untimed = _untimely(late_untimed, sd) + _UNTIMED
        late = np.where(untimed < cost, late_untimed, late)
        cost = np.minimum(cost, untimed) + _SKIPS[ahead - 2]
    same = line.pitch[ahead:] == line.pitch[:-ahead]
    new = free.score[before] - cost + np.where(same, odds, 0.0)
    better = new > score
    gain = np.maximum(_TEMPO_GAIN, 1.0 / (free.count[before] + 1.5))
    score[better] = new[better]
    tempo[better] = (free.tempo[before] + gain * np.clip(late, -0.7, 0.7))[better]
    count[better] = free.count[before][better] + 1.0
    source[better] = np.arange(1, len(line.onset_s) + 1 - ahead)[better]


def _untimely(late: _Array, sd: _Array) -> _Array:
    """What it costs to come so late (or early)."""
    away = 0.5 * np.square(late / sd)
    return np.where(late > 0, np.minimum(_PAUSE, away), np.minimum(_RUSH, away))


def _begin_costs(segments: Segments) -> _Array:
    """What it costs to begin any note at each cut: where the sound fades away, and where it just goes on."""
    cost = np.zeros(len(segments.cut_s))
    cost[:-1] += np.where(segments.tail, _FADING, 0.0)
    cost[1:-1] += np.where(segments.stays, np.maximum(0.0, -segments.again[1:-1]), 0.0)
    return cost


def _is_part(semitones: _Array) -> NDArray[np.bool_]:
    """Say whether a pitch so far below the asked one is a whole part of it."""
    return np.asarray((mismatch(semitones[..., None] - np.array(PARTS)) < 0.5).any(axis=-1))


def _quiet_before(segments: Segments) -> _Array:
    """How long nothing is heard just before each cut [s]."""
    quiet = np.zeros(len(segments.cut_s))
    for at, (heard, length) in enumerate(zip(segments.heard_s, segments.length_s, strict=True)):
        quiet[at + 1] = quiet[at] + length if heard < 0.3 * length else 0.0
    return quiet


def _traced(how: NDArray[np.uint8], origin: NDArray[np.int32], last: int) -> tuple[Stretch, ...]:
    """Go the path back from its end."""
    found: list[Stretch] = []
    cut, state = len(how) - 1, last
    held_to: int | None = None
    while cut > 0:
        kind, back = Kind(int(how[cut, state]) // 16), int(how[cut, state]) % 16 + 1
        if kind is Kind.HELD:
            held_to = held_to or cut
            cut -= 1
        elif kind >= Kind.ASKED:
            start = cut - back
            before = int(origin[start, state - 1])
            found.append(Stretch(kind, state - 1, start, held_to or cut, before - 1 if before else None))
            held_to = None
            cut, state = start, before
        else:
            back = back if kind is Kind.EXTRA else 1
            found.append(Stretch(kind, None, cut - back, cut, state - 1 if state else None))
            cut -= back
    return tuple(reversed(found))
