"""Which note of the part each stretch of a take is: the likeliest path through a semi-Markov model of the part.

At every cut of the take the player is either *free* (some note was the last one to sound) or *begins* a note. From
beginning a note a stretch of one or more segments leads to being free after it: the asked note, the asked note an
octave away, or another note in its place. Being free goes on over silence, noise, or sounds that nobody asked for,
and ends with the next note; with a later one, if some are missed; or with any, if the player goes back or jumps.

How long a note lasts is judged against a tempo that every path carries along and lets drift. All figures are logs of
chances [nats]; those of the player's faults are common practice, set on simulated takes.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from slurwright.listen.following_evidence import Evidence
from slurwright.listen.following_pace import Begun, Free, begin, lasting, pace_of
from slurwright.listen.following_path import SPANS, Kind, Line, Path
from slurwright.listen.following_segments import Segments
from slurwright.listen.following_soundings import Soundings, soundings_of
from slurwright.listen.following_trail import Trail

__all__ = ["decode"]

_Array = NDArray[np.float64]

_JUMP, _JUMP_UNQUIET, _JUMP_NOTES = 4.5, 3.0, 0.5
"""What it costs to go back or leap, more if the sound does not stop, and by the log of how many notes there are."""
_UNENDED = 2.0
"""What it costs to stop before the last note."""
_QUIET_S = 0.2
_FADING = 4.0
"""What it costs that a note begins where the sound fades away."""
_OUTSIDE, _OUTSIDE_NOISE = 1.2, 0.4
"""How much less a sound that nobody asked for costs before the first note and after the last, and what part of its
cost noise has there: players talk and try their lips."""
_BLOCK = 256
_NEVER = -1e9


@dataclass(frozen=True, slots=True, eq=False)
class _Past:
    """What was possible at each of the last cuts, by turns in one of ``SPANS`` places."""

    free: _Array
    """Being free; shape=(SPANS, notes + 1)."""
    carried: _Array
    """Onset, tempo and count of the same; shape=(SPANS, 3, notes + 1)."""
    begun: _Array
    """Beginning each note; shape=(SPANS, notes)."""
    pace: _Array
    """Tempo and count of the same; shape=(SPANS, 2, notes)."""
    cost: _Array
    """What it costs that anything begins there; shape=(SPANS,)."""

    @classmethod
    def of_nothing(cls, notes: int) -> "_Past":
        free, begun = np.full((SPANS, notes + 1), _NEVER), np.full((SPANS, notes), _NEVER)
        return cls(free, np.zeros((SPANS, 3, notes + 1)), begun, np.zeros((SPANS, 2, notes)), np.zeros(SPANS))

    def keep(self, cut: int, free: Free, begun: Begun, cost: float) -> None:
        """Remember what is possible at a cut."""
        place = cut % SPANS
        self.free[place], self.carried[place] = free.nats, (free.onset_s, free.tempo, free.count)
        self.begun[place], self.pace[place] = begun.nats - cost, (begun.tempo, begun.count)
        self.cost[place] = cost


def decode(line: Line, segments: Segments, evidence: Evidence) -> Path:
    """Find the likeliest path through the part.

    Args:
        line: the part.
        segments: the take, cut.
        evidence: how well its stretches fit the pitches.
    """
    notes, cuts = len(line.onset_s), len(segments.cut_s)
    trail, past, pace = Trail(notes), _Past.of_nothing(notes), pace_of(line)
    free = Free(np.full(notes + 1, _NEVER), np.zeros(notes + 1), np.zeros(notes + 1), np.zeros(notes + 1))
    free.nats[0] = 0.0
    how = np.zeros(notes + 1, np.uint8)
    quiet, cost = _quiet_before(segments), _begin_costs(segments)
    soundings = soundings_of(evidence, 1, min(cuts, _BLOCK))
    for cut in range(cuts):
        if cut >= soundings.first_cut + len(soundings.kind):
            soundings = soundings_of(evidence, cut, min(cuts, cut + _BLOCK))
        if cut:
            idle = _idle(line, segments, evidence, how, cut)
            free, how = _freed(line, segments, soundings, past, idle=idle, cut=cut)
        rests = bool(quiet[cut] >= _QUIET_S)
        jump = _JUMP + _JUMP_NOTES * np.log(notes) + (0.0 if rests else _JUMP_UNQUIET)
        odds = min(0.0, float(segments.again[cut]))
        time_s = float(segments.cut_s[cut])
        begun = begin(line, pace, free, time_s=time_s, odds=odds, jump=float(jump), quiet=rests)
        past.keep(cut, free, begun, float(cost[cut]))
        trail.add(how, begun.source)
        if trail.is_full():
            trail.settle(int(np.argmax(free.nats)))
    free.nats[:-1] -= _UNENDED
    last = int(np.argmax(free.nats))
    return Path(tuple(trail.path(last)), float(free.nats[last]))


def _freed(
    line: Line,
    segments: Segments,
    soundings: Soundings,
    past: _Past,
    *,
    idle: tuple[_Array, NDArray[np.uint8]],
    cut: int,
) -> tuple[Free, NDArray[np.uint8]]:
    """Be free at a cut: after a note that ended there, or as before, over silence, noise or an extra sound."""
    spans = min(SPANS, cut)
    starts = cut - 1 - np.arange(spans)
    slots = starts % SPANS
    row = cut - soundings.first_cut
    nats, how = past.free[slots[0]] + idle[0], idle[1].copy()
    place = np.full(len(nats), slots[0])
    # Over a sound that nobody asked for.
    extras = past.free[slots] + (soundings.extra[row, :spans] - past.cost[slots])[:, None]
    extras[:, [0, -1]] += _OUTSIDE
    span = np.argmax(extras, axis=0)
    every = np.arange(len(nats))
    more = extras[span, every] > nats
    nats = np.where(more, extras[span, every], nats)
    how[more] = int(Kind.EXTRA) * 16 + span[more]
    place[more] = slots[span[more]]
    onset_s, tempo, count = past.carried[place, :, every].T.copy()
    # After a note.
    length_s = segments.cut_s[cut] - segments.cut_s[starts]
    fit = soundings.nats[row, :spans][:, line.pitch] + past.begun[slots]
    fit += lasting(line, length_s, past.pace[slots, 0])
    span = np.argmax(fit, axis=0)
    note = fit[span, every[:-1]]
    won = np.flatnonzero(note > nats[1:])
    span, state = span[won], won + 1
    nats[state] = note[won]
    onset_s[state] = segments.cut_s[starts[span]]
    tempo[state], count[state] = past.pace[slots[span], :, won].T
    how[state] = soundings.kind[row, span, line.pitch[won]] * 16 + span
    return Free(nats, onset_s, tempo, count), how


def _idle(
    line: Line, segments: Segments, evidence: Evidence, how_before: NDArray[np.uint8], cut: int
) -> tuple[_Array, NDArray[np.uint8]]:
    """Fit of the last segment to silence or noise, or to the note before it if that has filled a whole stretch."""
    gap, noise = evidence.gap[cut - 1], evidence.noise[cut - 1]
    noises = np.full(len(how_before), noise)
    noises[[0, -1]] *= _OUTSIDE_NOISE
    nats = np.maximum(gap, noises)
    how = np.where(gap >= noises, int(Kind.GAP) * 16, int(Kind.NOISE) * 16).astype(np.uint8)
    kind, back = how_before // 16, how_before % 16
    full = (kind == int(Kind.HELD)) | ((kind >= int(Kind.ASKED)) & (back == SPANS - 1))
    if full[1:].any():
        fit = np.maximum(*(table[cut] - table[cut - 1] for table in (evidence.fit, evidence.fit_octave)))
        held = np.append(_NEVER, fit[line.pitch] - max(0.0, float(segments.again[cut - 1])))
        full &= held > nats
        nats[full], how[full] = held[full], int(Kind.HELD) * 16
    return nats, how


def _begin_costs(segments: Segments) -> _Array:
    """What it costs to begin any note at each cut: where the sound fades away, and where it just goes on."""
    cost = np.zeros(len(segments.cut_s))
    cost[:-1] += np.where(segments.tail, _FADING, 0.0)
    cost[1:-1] += np.where(segments.stays, np.maximum(0.0, -segments.again[1:-1]), 0.0)
    return cost


def _quiet_before(segments: Segments) -> _Array:
    """How long nothing is heard just before each cut [s]."""
    quiet = np.zeros(len(segments.cut_s))
    for at, (heard, length) in enumerate(zip(segments.heard_s, segments.length_s, strict=True)):
        quiet[at + 1] = quiet[at] + length if heard < 0.3 * length else 0.0
    return quiet
