"""How well each stretch of a take fits each note that was asked.

All figures are logs of a likelihood ratio, in nats, against a stretch that holds one steady pitch and nothing else:
0 for a perfect fit, and the more negative the longer something else is heard.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from slurwright.listen.following_segments import Frames, Segments

__all__ = ["Evidence", "evidence_of", "mismatch"]

_NEAR, _FAR = 0.35, 0.85
"""Up to where a pitch is as good as the asked one, and from where it is another [semitones]."""
_OFF_S = 30.0
"""What a second of another pitch costs [nats a second]."""
_PART = 0.35
"""How far the pitch counts as another where a whole part of the asked one is heard: in a room, two notes that sound
together for a while are easily heard as the note of which both are harmonics."""
PARTS = tuple(12.0 * np.log2(part) for part in (2, 3, 4, 5, 6))
_HOLE_S = 10.0
"""What a second without a pitch costs inside a note [nats a second]."""
_GLIDE, _GLIDE_S = (0.5, 1.2), (0.0, 25.0)
"""What a second of a gliding pitch costs inside a note, by how far it moves within a segment [semitones]."""
_SOUND_IN_GAP_S = 40.0
"""What a second of pitch costs where nothing is played [nats a second]."""
_TAIL_IN_GAP_S = 1.5
_NOISE_STRAY, _NOISE_S = (0.08, 0.3), (35.0, 10.0)
"""What a second of sound costs that is taken for noise or talk [nats a second], by how far its pitch strays
[semitones]: what is steady is a note."""
_QUIET_NOISE_S = 1.0
_NOISE = 2.0
_REPEAT = 3.0
_BROKEN = 1.0
"""Part of a cut's odds that it costs to pass it over inside a note."""


@dataclass(frozen=True, slots=True, eq=False)
class Evidence:
    """Fits of stretches; ``cuts`` is the number of cuts, ``spans`` the most segments that make a stretch."""

    pitches: NDArray[np.float64]
    """Different asked pitches, the tuning of the take counted in; shape=(pitches,) [semitones]."""
    fit: NDArray[np.float64]
    """Fit of all before each cut to each pitch; a stretch's is the difference; shape=(cuts, pitches) [nats]."""
    fit_octave: NDArray[np.float64]
    """The same an octave away, the better of both; shape=(cuts, pitches) [nats]."""
    own: NDArray[np.float64]
    """Pitch of the stretch of k + 1 segments that ends at each cut; shape=(cuts, spans) [semitones]."""
    own_fit: NDArray[np.float64]
    """Its fit to that pitch; shape=(cuts, spans) [nats]."""
    heard_s: NDArray[np.float64]
    """How long a pitch is heard in it; shape=(cuts, spans) [s]."""
    passed: NDArray[np.float64]
    """Cost of the cuts passed over inside it; shape=(cuts, spans) [nats]."""
    repeat: NDArray[np.float64]
    """What it costs that a sound nobody asked for begins at each cut with the pitch that was there; shape=(cuts,)
    [nats]."""
    gap: NDArray[np.float64]
    """Fit of each segment to nothing played; shape=(segments,) [nats]."""
    noise: NDArray[np.float64]
    """Fit of each segment to noise or talk; shape=(segments,) [nats]."""


def mismatch(semitones: NDArray[np.float64]) -> NDArray[np.float64]:
    """Tell how far a difference of pitch counts as another note, 0..1.

    Args:
        semitones: difference [semitones].
    """
    return np.clip((np.abs(semitones) - _NEAR) / (_FAR - _NEAR), 0.0, 1.0)


def evidence_of(frames: Frames, segments: Segments, pitches: NDArray[np.float64], *, spans: int) -> Evidence:
    """Add up the fits.

    Args:
        frames: what is heard.
        segments: the take, cut.
        pitches: different asked pitches; shape=(pitches,) [semitones].
        spans: the most segments that make one note [1].
    """
    hole = _HOLE_S * np.maximum(0.0, segments.length_s - segments.heard_s)
    hole += np.interp(segments.glide, _GLIDE, _GLIDE_S) * segments.heard_s
    fit, octave = _fits(frames, segments, pitches)
    own, own_fit, heard_s = _own(segments, hole, spans)
    sound = np.where(segments.tail, _TAIL_IN_GAP_S, _SOUND_IN_GAP_S)
    quiet = segments.length_s - segments.heard_s
    return Evidence(
        pitches=pitches,
        fit=_summed(fit - hole[:, None]),
        fit_octave=_summed(octave - hole[:, None]),
        own=own,
        own_fit=own_fit,
        heard_s=heard_s,
        passed=_passed(segments, spans),
        repeat=_repeat(segments),
        gap=-sound * segments.heard_s,
        noise=-np.interp(segments.stray, _NOISE_STRAY, _NOISE_S) * segments.heard_s - _QUIET_NOISE_S * quiet - _NOISE,
    )


def _summed(values: NDArray[np.float64]) -> NDArray[np.float64]:
    return np.concatenate((np.zeros((1, values.shape[1])), np.cumsum(values, axis=0)))


def _fits(
    frames: Frames, segments: Segments, pitches: NDArray[np.float64]
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Fit of each segment to each pitch, and an octave away; shape=(segments, pitches)."""
    count = len(segments.heard_s)
    fit, octave = np.zeros((count, len(pitches))), np.zeros((count, len(pitches)))
    for first in range(0, count, 512):
        last = min(count, first + 512)
        piece = slice(segments.first_frame[first], segments.first_frame[last])
        away = frames.semitones[piece, None] - pitches
        weight = frames.heard[piece, None] * frames.step_s * _OFF_S
        bounds = segments.first_frame[first : last + 1] - segments.first_frame[first]
        off = mismatch(away)
        for part in PARTS:
            off = np.minimum(off, np.maximum(mismatch(away + part), _PART))
        fit[first:last] = -_added(off * weight, bounds)
        octave[first:last] = -_added(mismatch(np.abs(away) - 12.0) * weight, bounds)
    return fit, octave


def _added(values: NDArray[np.float64], bounds: NDArray[np.intp]) -> NDArray[np.float64]:
    total = np.concatenate((np.zeros((1, values.shape[1])), np.cumsum(values, axis=0)))
    return np.asarray(total[bounds[1:]] - total[bounds[:-1]])


def _own(
    segments: Segments, hole: NDArray[np.float64], spans: int
) -> tuple[NDArray[np.float64], NDArray[np.float64], NDArray[np.float64]]:
    """Pitch of each stretch (of the longest of its segments), its fit to it, and the time with a pitch."""
    cuts = len(segments.cut_s)
    own, fit, heard = np.zeros((cuts, spans)), np.full((cuts, spans), -1e9), np.zeros((cuts, spans))
    steady = segments.heard_s - segments.unsteady_s
    longest = np.full(cuts, -1.0)
    pitch = np.zeros(cuts)
    time = np.zeros(cuts)
    for span in range(min(spans, cuts - 1)):
        ends = np.arange(span + 1, cuts)
        newest = ends - 1 - span
        better = steady[newest] > longest[ends]
        pitch[ends] = np.where(better, segments.semitones[newest], pitch[ends])
        longest[ends] = np.maximum(steady[newest], longest[ends])
        time[ends] += segments.heard_s[newest]
        off = np.zeros(len(ends))
        for inside in range(span + 1):
            part = ends - 1 - inside
            away = mismatch(segments.semitones[part] - pitch[ends]) * segments.heard_s[part]
            off += _OFF_S * np.maximum(away, segments.unsteady_s[part]) + hole[part]
        own[ends, span], fit[ends, span], heard[ends, span] = pitch[ends], -off, time[ends]
    return own, fit, heard


def _repeat(segments: Segments) -> NDArray[np.float64]:
    cost = np.zeros(len(segments.cut_s))
    cost[1:-1] = np.where(segments.stays, np.clip(_REPEAT - np.maximum(0.0, segments.again[1:-1]), 0.0, _REPEAT), 0.0)
    return cost


def _passed(segments: Segments, spans: int) -> NDArray[np.float64]:
    """What it costs to hear no new note at the cuts inside each stretch."""
    cost = _BROKEN * np.maximum(0.0, segments.again)
    total = np.concatenate(([0.0], np.cumsum(cost)))
    ends = np.arange(len(cost))[:, None]
    starts = np.maximum(0, ends - 1 - np.arange(spans))
    return np.asarray(np.maximum(0.0, total[ends] - total[np.minimum(starts + 1, ends)]))
