"""Which frames of a track belong to what is played, and which to the silence between."""

import numpy as np
from numpy.typing import NDArray

from slurwright.listen.track import PitchTrack

__all__ = ["heard_stretches", "quiet_frames", "steady_stretches"]

_NOTE_S = 0.08
"""Shorter stretches with a pitch are noises."""
_GAP_S = 0.03
_TAIL_S = 0.2
"""After a note its room still sounds [s]."""
_BEFORE_S = 0.06
_MOVE_S = 0.04
_MOVE_OCTAVES = 0.05
"""A pitch that changes by more than this, 60 cents, within 40 ms is on the way to another note."""


def heard_stretches(track: PitchTrack) -> list[tuple[int, int]]:
    """List the stretches in which something with a pitch sounds without a pause, as frames from and to before.

    Args:
        track: of the sound.
    """
    edges = np.diff(np.concatenate(([0], (track.hz > 0).astype(np.int8), [0])))
    stretches: list[tuple[int, int]] = []
    gap, least = round(_GAP_S / track.step_s), round(_NOTE_S / track.step_s)
    for start, stop in zip(np.flatnonzero(edges == 1).tolist(), np.flatnonzero(edges == -1).tolist(), strict=True):
        if stretches and start - stretches[-1][1] <= gap:
            stretches[-1] = stretches[-1][0], stop
        else:
            stretches.append((start, stop))
    return [(start, stop) for start, stop in stretches if stop - start >= least]


def steady_stretches(track: PitchTrack) -> list[tuple[int, int]]:
    """List the stretches in which one and the same note sounds, as frames from and to before.

    Args:
        track: of the sound.
    """
    moves = np.zeros(len(track.hz), np.bool_)
    apart = max(1, round(_MOVE_S / track.step_s))
    octaves = np.log2(np.maximum(track.hz, 1.0))
    far = np.abs(octaves[apart:] - octaves[:-apart]) > _MOVE_OCTAVES
    moves[apart // 2 : apart // 2 + len(far)] = far
    stretches: list[tuple[int, int]] = []
    for start, stop in heard_stretches(track):
        begin = start
        for at in (start + np.flatnonzero(moves[start:stop])).tolist():
            if at > begin:
                stretches.append((begin, at))
            begin = at + 1
        if stop > begin:
            stretches.append((begin, stop))
    return stretches


def quiet_frames(track: PitchTrack) -> NDArray[np.bool_]:
    """Mark the frames in which nothing is played and the room has calmed down; shape=(frames,).

    Args:
        track: of the sound.
    """
    quiet = np.ones(len(track.hz), np.bool_)
    tail, before = round(_TAIL_S / track.step_s), round(_BEFORE_S / track.step_s)
    for start, stop in heard_stretches(track):
        quiet[max(0, start - before) : stop + tail] = False
    return quiet
