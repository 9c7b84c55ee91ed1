"""Did another note sound between the two of a slur, and which? Or the first one again? What speaks for it.

Candidates are the notes of the asked fingerings' air columns near the two; without a known fingering, those of a
common air column on which both notes lie. For each the sound is dealt out between the note before, the note after and
the candidate; it sounded where its share is the largest for some time and it explains what the other two cannot. The
second note a little off its pitch is a candidate too: where that explains most, the note was only bent.
"""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from slurwright.listen.passage import AskedNote
from slurwright.listen.slur_window import SlurWindow
from slurwright.listen.sound import Sound
from slurwright.listen.splits_comb import LineFrames, line_frames
from slurwright.listen.splits_parts import Lines, Parts, lines_of, parts_of

__all__ = ["Candidate", "Candidates", "FallTraits", "Split", "SplitTraits", "candidates_of", "split_of"]

Real = NDArray[np.float64]

_STEP_S = 0.005
_BACK_S, _AHEAD_S = 0.40, 0.32
_EDGE_S = 0.03
"""Next to a note's other end something else may still sound."""
_LEAST_S = 0.06
_NEAR_CENTS = 45.0
"""A candidate as near as this to one of the notes cannot be told from it."""
_BENDS_CENTS = (-120.0, -70.0, 60.0)
"""A scoop or an overshoot passes here; where one of these explains more than any other note, it was a bend."""
_BEND_APART_CENTS = 40.0
_REACH = 1.55
"""Candidates lie within this ratio below and above the two notes, or are their neighbours in the series."""
_OFF_CENTS = 150.0
_RATIO_CENTS = 30.0
_HIGHEST_PARTIAL = 12
_USUAL_PARTIAL = 8
"""Where the fingering is not known, notes are taken for partials up to this."""
_PERIODS = 1.7
_WINDOW_S = (0.024, 0.065)
_APART = 0.8
_LIMITS_HZ = (1500.0, 4500.0)
_FAINT = 0.01
"""Less than this of the notes' own energy is none."""


@dataclass(frozen=True, slots=True)
class Candidate:
    """A note that may have sounded."""

    hz: float
    partial: int | None
    """Of the asked fingering's series; None where that is not known."""
    bent: bool = False
    """Not a note of its own: the second one before it has settled."""


@dataclass(frozen=True, slots=True)
class Candidates:
    """All notes that may have sounded."""

    notes: tuple[Candidate, ...]
    column_hz: float
    """First partial of the air column, or of the longer one of two: so far apart are its notes [Hz]."""


@dataclass(frozen=True, slots=True)
class SplitTraits:
    """What speaks for a third note."""

    gain: float = math.log(0.05)
    """Log of the energy that it alone explains, in frames of the notes' energy [nats]."""
    explained: float = 0.0
    """How much of what the two leave over it explains, 0..1."""
    share: float = 0.0
    """Its share of the three while it sounds, 0..1."""
    length_ms: float = 0.0
    """How long its share is the largest [ms]."""


@dataclass(frozen=True, slots=True)
class FallTraits:
    """What speaks for a return of the first note."""

    turn_db: float = 0.0
    """By how much first the second note, then again the first is the stronger [dB]."""
    return_ms: float = 0.0
    """How long the first one then is the stronger [ms]."""


@dataclass(frozen=True, slots=True)
class Split:
    """What lies between the two notes of a slur."""

    third: Candidate | None
    """The likeliest third note, if any."""
    traits: SplitTraits
    fall: FallTraits


_WHOLE = Split(None, SplitTraits(), FallTraits())


def split_of(sound: Sound, window: SlurWindow, candidates: Candidates) -> Split:
    """Look for a third note between the two, and for the first one's return.

    Args:
        sound: the take.
        window: where the slur lies.
        candidates: notes that may have sounded; none lies near one of the two.
    """
    start = max(window.start_s + _EDGE_S, window.change_s - _BACK_S)
    stop = min(window.stop_s - _EDGE_S, window.change_s + _AHEAD_S)
    if stop - start < 2 * _LEAST_S or _apart_cents(window.before_hz, window.after_hz) < _NEAR_CENTS:
        return _WHOLE
    frames, lines = _laid(sound, window, candidates, np.arange(start, stop, _STEP_S))
    plain = parts_of(frames, lines, third=None)
    unit = 0.5 * float(np.median(frames.energy[:10]) + np.median(frames.energy[-10:])) + 1e-12
    best, traits, parts = None, SplitTraits(), plain
    for at, candidate in enumerate(candidates.notes):
        with_third = parts_of(frames, lines, third=at)
        found = _split_traits(plain, with_third, unit)
        if found.gain > traits.gain:
            best, traits, parts = candidate, found, with_third
    if best and best.bent:
        return Split(None, SplitTraits(), _fall_traits(parts, unit))
    return Split(best, traits, _fall_traits(parts, unit))


def candidates_of(first: AskedNote, second: AskedNote, window: SlurWindow) -> Candidates:
    """List the notes that may sound between two, as the player and the air of the day tune them.

    Args:
        first: the note that is left, as asked.
        second: the note that is reached, as asked.
        window: with the pitches that were played.
    """
    played = ((first, window.before_hz), (second, window.after_hz))
    off = sum(_off_cents(asked.hz, hz) for asked, hz in played) / 2.0
    tuned = 2.0 ** (off / 1200.0) if abs(off) < _OFF_CENTS else 1.0
    listed = [
        (Candidate(hz * tuned, partial), abs(partial - (asked.partial or 0)) == 1)
        for asked in (second, first)
        for partial, hz in enumerate(asked.series_hz, start=1)
    ]
    columns = [asked.series_hz[0] * tuned for asked in (first, second) if asked.series_hz]
    low, high = sorted((window.before_hz, window.after_hz))
    if not listed:
        common = _common_series(low, high)
        listed = [(Candidate(hz, None), False) for hz in common]
        columns = common[:1]
    taken = [low, high]
    kept = []
    for candidate, neighbour in listed:
        inside = neighbour or low / _REACH < candidate.hz < high * _REACH
        if inside and all(_apart_cents(candidate.hz, other) > _NEAR_CENTS for other in taken):
            taken.append(candidate.hz)
            kept.append(candidate)
    for cents in _BENDS_CENTS:
        hz = window.after_hz * 2.0 ** (cents / 1200.0)
        if all(_apart_cents(hz, other) > _BEND_APART_CENTS for other in (window.before_hz, *taken[2:])):
            kept.append(Candidate(hz, None, bent=True))
    return Candidates(tuple(kept), min(columns, default=high - low))


def _laid(sound: Sound, window: SlurWindow, candidates: Candidates, times: Real) -> tuple[LineFrames, Lines]:
    """Lay the stretch against the lines of all notes."""
    notes = (window.before_hz, window.after_hz, *(candidate.hz for candidate in candidates.notes))
    length = min(max(_PERIODS / candidates.column_hz, _WINDOW_S[0]), _WINDOW_S[1])
    low, high = _LIMITS_HZ
    highest = min(max(5.5 * max(notes[:2]), low), high, 0.45 * sound.rate_hz)
    lines = lines_of(notes, highest_hz=highest, apart_hz=_APART / length)
    return line_frames(sound, lines.hz, times, window_s=length), lines


def _split_traits(plain: Parts, parts: Parts, unit: float) -> SplitTraits:
    """What speaks for a third note, over the stretch that speaks most for it."""
    others = np.maximum(parts.before, parts.after)
    leads = (parts.third > others) & (parts.third > _FAINT * unit)
    won = (plain.misfit - parts.misfit) / unit
    best = SplitTraits()
    for first, last in _runs(leads):
        here = slice(first, last)
        gain = math.log(max(0.0, float(np.sum(won[here]))) + 0.05)
        if gain > best.gain:
            whole = np.sum(parts.before[here] + parts.after[here] + parts.third[here])
            best = SplitTraits(
                gain=gain,
                explained=float(np.sum(won[here]) * unit / (np.sum(plain.misfit[here]) + 1e-12)),
                share=float(np.sum(parts.third[here]) / whole),
                length_ms=1000.0 * _STEP_S * _lead(np.log(parts.third + 1e-12) - np.log(others + 1e-12), first, last),
            )
    return best


def _fall_traits(parts: Parts, unit: float) -> FallTraits:
    """What speaks for the first note's return after the second."""
    least = 10.0 * _FAINT * unit
    lead = 10.0 * np.log10((parts.before + least) / (parts.after + least))
    turned = np.maximum.accumulate(-lead)
    turn = np.minimum(turned, lead)
    at = int(np.argmax(turn))
    if turn[at] <= 0.0:
        return FallTraits()
    first, last = next(run for run in _runs(lead > 0.0) if run[0] <= at < run[1])
    return FallTraits(float(turn[at]), 1000.0 * _STEP_S * _lead(lead, first, last))


def _runs(true: NDArray[np.bool_]) -> list[tuple[int, int]]:
    """First and one past the last of each stretch of true."""
    edges = np.flatnonzero(np.diff(np.concatenate(([False], true, [False])).astype(np.int8)))
    return [(int(first), int(last)) for first, last in edges.reshape(-1, 2)]


def _lead(lead: Real, first: int, last: int) -> float:
    """Length of a stretch between the crossings of 0 at its ends, in frames."""
    length = float(last - 1 - first)
    for inside, outside in ((first, first - 1), (last - 1, last)):
        if 0 <= outside < len(lead) and lead[outside] < 0.0:
            length += float(lead[inside] / (lead[inside] - lead[outside]))
    return length


def _apart_cents(hz: float, other_hz: float) -> float:
    return abs(1200.0 * math.log2(hz / other_hz))


def _off_cents(asked_hz: float, hz: float) -> float:
    """How far off the asked note, whole octaves apart."""
    cents = 1200.0 * math.log2(hz / asked_hz)
    return cents - 1200.0 * round(cents / 1200.0)


def _common_series(low: float, high: float) -> list[float]:
    """Partials of a likely air column on which both notes lie; none if there is none."""
    for partial in range(1, _HIGHEST_PARTIAL):
        upper = round(partial * high / low)
        fits = abs(1200.0 * math.log2(high / low * partial / upper)) < _RATIO_CENTS
        if fits and partial < upper <= _HIGHEST_PARTIAL:
            longer = max(1, _USUAL_PARTIAL // upper)
            fundamental = math.sqrt(low / partial * high / upper) / longer
            return [fundamental * number for number in range(1, _HIGHEST_PARTIAL + 4)]
    return []
