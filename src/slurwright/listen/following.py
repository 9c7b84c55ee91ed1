"""Where in the part is the player? Joins take and part: which sounds are which asked notes, and when they start."""

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from slurwright.listen.followed import Following
from slurwright.listen.following_decode import decode
from slurwright.listen.following_evidence import evidence_of
from slurwright.listen.following_heard import is_heard
from slurwright.listen.following_level import dips_of
from slurwright.listen.following_onsets import with_onsets
from slurwright.listen.following_path import SPANS, Line, Path
from slurwright.listen.following_result import following_of
from slurwright.listen.following_segments import Frames, Segments, frames_of, segments_of
from slurwright.listen.following_tuning import tunings_of
from slurwright.listen.passage import Passage
from slurwright.listen.sound import Sound
from slurwright.listen.track import PitchTrack

__all__ = ["follow"]

_REFERENCE_HZ = 440.0
_GOOD_NATS = -2.0
"""With a path that costs no more for each of its stretches no other tuning is tried."""


def follow(sound: Sound, track: PitchTrack, passage: Passage) -> Following:
    """Tell which sounds of a take are which notes of a part, and which notes did not sound.

    The take may be in any tempo, as much as a semitone out of tune, an octave away, start and stop anywhere, go back,
    and hold wrong notes, other sounds and silence.

    Args:
        sound: the take.
        track: its coarse pitch.
        passage: what was asked.

    Returns:
        What sounded; nothing played if what is heard is not this passage.
    """
    if not len(track.hz):
        return Following((), ())
    frames = frames_of(track)
    segments = segments_of(frames, dips_of(sound, track), length_s=sound.length / sound.rate_hz)
    tuning, path = _best(frames, segments, passage)
    if path is None:
        return Following((), ())
    rough = following_of(sound, track, passage, segments=segments, path=path, tuning=tuning)
    return replace(rough, played=with_onsets(sound, passage, rough.played))


def _best(frames: Frames, segments: Segments, passage: Passage) -> tuple[float, Path | None]:
    """Find the tuning under which the take is likeliest, and the path under it; None if it is not this passage."""
    asked = 12.0 * np.log2(np.array([note.hz for note in passage.notes]) / _REFERENCE_HZ)
    length_s = np.array([note.length_s for note in passage.notes])
    tries = []
    for tuning in tunings_of(segments, asked, length_s):
        line, pitches = _line(passage, asked + tuning)
        evidence = evidence_of(frames, segments, pitches, spans=SPANS)
        path = decode(line, segments, evidence)
        heard = is_heard(line, frames, segments, evidence, path.stretches, octaves=round(tuning / 12.0))
        tries.append((path.nats - _unlikely(tuning), tuning, path, heard))
        if heard and path.nats > _GOOD_NATS * len(path.stretches):
            break
    _, tuning, path, heard = max(tries, key=lambda each: each[0])
    return tuning, path if heard else None


def _unlikely(tuning: float) -> float:
    octaves = round(tuning / 12.0)
    return 3.0 * abs(octaves) + (tuning - 12.0 * octaves) ** 2


def _line(passage: Passage, semitones: NDArray[np.float64]) -> tuple[Line, NDArray[np.float64]]:
    """Lay out the part for the decoder."""
    pitches, which = np.unique(np.round(semitones * 20.0) / 20.0, return_inverse=True)
    onset = np.array([note.onset_s for note in passage.notes])
    length = np.maximum(0.02, np.array([note.length_s for note in passage.notes]))
    return Line(onset, length, semitones, which.astype(np.intp)), pitches
