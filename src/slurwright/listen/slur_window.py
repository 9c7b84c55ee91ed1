"""Where does one slur lie in a take, and which two pitches does it join? Found from what was played."""

from dataclasses import dataclass

import numpy as np

from slurwright.listen.followed import Following, PlayedNote
from slurwright.listen.track import PitchTrack

__all__ = ["SlurWindow", "slur_window"]

_REACH_S = 0.45
"""More than this of a note, away from the slur, says nothing more about it."""
_AWAY_S = 0.06
_NEAR_CENTS = 150.0
"""Frames further than this from a note's coarse pitch belong to another sound."""


@dataclass(frozen=True, slots=True)
class SlurWindow:
    """A stretch of sound with two notes in it, one after the other."""

    before_hz: float
    """Settled pitch of the first note, good to some cents [Hz]."""
    after_hz: float
    """Settled pitch of the second note [Hz]."""
    start_s: float
    """From here on the first note sounds, or the part of it that matters [s]."""
    change_s: float
    """When the pitch is about half way [s]."""
    stop_s: float
    """Until here the second note sounds [s]."""
    change_sd_s: float = 0.01
    """Standard error of ``change_s`` [s]."""


def slur_window(track: PitchTrack, following: Following, *, first: int, second: int) -> SlurWindow:
    """Find where two played notes meet.

    Args:
        track: pitch of the take.
        following: what was played.
        first: the note that is left, an index into ``following.played``.
        second: the note that is reached.
    """
    before, after = following.played[first], following.played[second]
    change = after.onset_s
    return SlurWindow(
        before_hz=_settled_hz(track, before, before.onset_s + _AWAY_S, change - _AWAY_S / 2),
        after_hz=_settled_hz(track, after, change + _AWAY_S, after.offset_s - _AWAY_S / 2),
        start_s=max(before.onset_s, change - _REACH_S),
        change_s=change,
        stop_s=min(after.offset_s, change + _REACH_S),
        change_sd_s=after.onset_sd_s,
    )


def _settled_hz(track: PitchTrack, note: PlayedNote, start_s: float, stop_s: float) -> float:
    """Median of the note's own frames; its coarse pitch where it has none."""
    if stop_s <= start_s:
        start_s, stop_s = note.onset_s, note.offset_s
    hz = track.hz[track.frame_at(start_s) : track.frame_at(stop_s) + 1].astype(np.float64)
    near = np.abs(np.log2(np.maximum(hz, 1.0) / note.hz)) < _NEAR_CENTS / 1200.0
    return float(np.median(hz[near])) if near.any() else note.hz
