"""Whether it is this passage that was played, or noise, talk, another piece.

The path through the part is weighed against chance. For it speaks every asked note that sounded, by as much as its
pitch is rare in this take (a player who only knows one note would hit it often, too), and its length where it agrees
with the others' at one tempo. Against it speak wrong and missed notes, leaps in the part, sounds between that nobody
asked for, notes that are not steady (a voice that talks glides), and another octave. What is heard before and after
and taken for noise counts for nothing: a player may talk.
"""

from collections.abc import Sequence
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from slurwright.listen.following_evidence import Evidence
from slurwright.listen.following_path import Kind, Line, Stretch
from slurwright.listen.following_segments import Frames, Segments

__all__ = ["is_heard"]

_ANY_PITCH = 1.0 / 24.0
"""Chance of a pitch that tells nothing: two octaves are in reach of most players."""
_NEAR = 0.6
_WRONG, _MISSED, _EXTRA, _LEAP, _INSIDE = 2.5, 2.0, 2.0, 4.0, 2.0
_PACE_SD, _NO_PACE_SD = 0.25, 0.8
"""How far lengths scatter around one tempo (log of the ratio) where the passage is played, and by chance."""
_LEAST_PACE = -1.5
_MIDDLE = 0.6
_UNSTEADY, _STEADY_NATS = (0.08, 0.2, 0.4, 0.8), (0.3, 0.0, -2.0, -4.0)
"""What a note says by how far its pitch strays: mean distance from its middle [semitones], and [nats]."""
_LEAST_NATS = 8.0
_PART = 0.4
"""A short passage needs this part of what a faultless take of it gives."""
_FEW = 8
_EACH_NATS = 0.8
"""A long one needs so much for each note that was taken for an asked one [nats]."""
_FULL_S = 0.12
"""A shorter note says less for the passage."""
_NOISE_S = 3.0
"""What a second of talk between the notes says against it [nats]."""
_OCTAVE = 3.0


def is_heard(
    line: Line,
    frames: Frames,
    segments: Segments,
    evidence: Evidence,
    stretches: Sequence[Stretch],
    *,
    octaves: int,
) -> bool:
    """Say whether the path explains the take better than chance.

    Args:
        line: the part.
        frames: what is heard in the take.
        segments: the take, cut.
        evidence: how well its stretches fit the pitches.
        stretches: the path.
        octaves: how far the whole take is moved [octaves].
    """
    notes = [stretch for stretch in stretches if stretch.kind in (Kind.ASKED, Kind.OCTAVE, Kind.WRONG, Kind.EXTRA)]
    if not any(note.kind is Kind.ASKED for note in notes):
        return False
    sounded = np.array(
        [
            evidence.own[note.last_cut, min(note.last_cut - note.first_cut, evidence.own.shape[1]) - 1]
            for note in notes
        ]
    )
    nats = sum(_for_note(line, segments, evidence, note, sounded) for note in notes)
    nats += sum(_steadiness(frames, segments, note) for note in notes if note.kind is not Kind.EXTRA)
    nats += _pace(line, segments, notes)
    nats -= _OCTAVE * abs(octaves) + _NOISE_S * _talk_s(segments, stretches, notes)
    asked = sum(note.kind in (Kind.ASKED, Kind.OCTAVE) for note in notes)
    return nats > max(min(_LEAST_NATS, _PART * _faultless(line)), _EACH_NATS * asked * (asked > _FEW))


def _for_note(
    line: Line, segments: Segments, evidence: Evidence, note: Stretch, sounded: NDArray[np.float64]
) -> float:
    """What one note says for or against the passage [nats]."""
    if note.asked is None:
        return -_EXTRA
    ahead = note.asked - (-1 if note.after is None else note.after)
    nats = 0.0
    if note.after is None:
        nats -= _INSIDE if note.asked else 0.0
    elif 1 < ahead <= 4:
        nats -= _MISSED * (ahead - 1)
    elif ahead != 1:
        nats -= _LEAP
    if note.kind is Kind.WRONG:
        return nats - _WRONG
    pitch = line.semitones[note.asked]
    own = evidence.own[note.last_cut, min(note.last_cut - note.first_cut, evidence.own.shape[1]) - 1]
    if abs(abs(own - pitch) - (12.0 if note.kind is Kind.OCTAVE else 0.0)) > _NEAR:
        return nats  # it is only believed, not heard
    common = float(np.mean(np.abs(sounded - pitch) < _NEAR))
    length_s = segments.cut_s[note.last_cut] - segments.cut_s[note.first_cut]
    nats -= np.log(0.5 * common + 0.5 * _ANY_PITCH) * min(1.0, length_s / _FULL_S)
    fit = evidence.fit if note.kind is Kind.ASKED else evidence.fit_octave
    which = line.pitch[note.asked]
    return float(nats + 0.5 * max(-8.0, fit[note.last_cut, which] - fit[note.first_cut, which]))


def _talk_s(segments: Segments, stretches: Sequence[Stretch], notes: Sequence[Stretch]) -> float:
    """How long noise or talk is heard between the first and the last note [s]."""
    inside = range(notes[0].first_cut, notes[-1].last_cut)
    talk = [at.first_cut for at in stretches if at.kind is Kind.NOISE and at.first_cut in inside]
    return float(sum(segments.heard_s[cut] for cut in talk))


def _steadiness(frames: Frames, segments: Segments, note: Stretch) -> float:
    """What the steadiness of a note says [nats]."""
    first, last = segments.first_frame[note.first_cut], segments.first_frame[note.last_cut]
    edge = int((last - first) * (1.0 - _MIDDLE) / 2)
    inside = slice(first + edge, last - edge)
    pitch = frames.semitones[inside][frames.heard[inside]]
    if not len(pitch):
        return 0.0
    return float(np.interp(np.mean(np.abs(pitch - np.median(pitch))), _UNSTEADY, _STEADY_NATS))


def _pace(line: Line, segments: Segments, notes: Sequence[Stretch]) -> float:
    """What the lengths say: how well they agree with one tempo [nats]."""
    ratios = []
    for first, second in pairwise(notes):
        if first.asked is not None and second.asked == first.asked + 1:
            marked = line.onset_s[second.asked] - line.onset_s[first.asked]
            ratios.append(np.log((segments.cut_s[second.first_cut] - segments.cut_s[first.first_cut]) / marked))
    if len(ratios) < 2:
        return 0.0
    away = np.array(ratios) - np.median(ratios)
    said = np.log(_NO_PACE_SD / _PACE_SD) - 0.5 * np.square(away) * (_PACE_SD**-2 - _NO_PACE_SD**-2)
    return float(np.maximum(_LEAST_PACE, said).sum() - said[np.argmin(np.abs(away))])


def _faultless(line: Line) -> float:
    """What a faultless take of the whole passage would say, lengths left out [nats]."""
    share = np.array([np.mean(np.abs(line.semitones - pitch) < _NEAR) for pitch in np.unique(line.semitones)])
    counts = np.array([np.sum(line.semitones == pitch) for pitch in np.unique(line.semitones)])
    return float(-(counts * np.log(0.5 * share + 0.5 * _ANY_PITCH)).sum())
