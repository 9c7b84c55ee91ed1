"""Was a phone at work on the sound? Noise suppression and automatic gain leave traces.

They leave two that no player and no room leaves. After notes the background comes *up* in the pauses, from
below where it lies before the first note: the gain was turned down by the note, and is turned up again; a room can
only die away. And a steady tone is taken for noise and turned down, every one in the same way, while gates close to
digital silence between them.
"""

from itertools import pairwise

import numpy as np

from slurwright.listen.stretches import heard_stretches
from slurwright.listen.track import PitchTrack

__all__ = ["is_processed"]

_AFTER_S = (0.12, 0.4)
"""Where the background right after a note is looked for [s]."""
_OPEN_S = 0.6
"""From then on after a note, and this long before the next, a pause is open: no tail, no breath [s]."""
_LEAST_OPEN_S = 0.15
_RISE_DB = 10.0
_LEAST_PAUSES = 2

_LONG_S = 1.2
_FADE_FROM_S, _FADE_TO_S = 0.15, 1.1
_FADE_DB = 8.0
_ALIKE_DB = 3.0
_LEAST_LONG = 3
_GATE_DB = -80.0
_GATED_SHARE = 0.6


def is_processed(track: PitchTrack) -> bool:
    """Say whether the levels bear the traces of noise suppression or automatic gain.

    Args:
        track: of the recording.
    """
    stretches = heard_stretches(track)
    return _background_rises(track, stretches) or (_gated(track, stretches) and _tones_fade(track, stretches))


def _background_rises(track: PitchTrack, stretches: list[tuple[int, int]]) -> bool:
    """Say whether the background lies lower right after notes than where nothing was played for long, mostly."""
    step = track.step_s
    opened = _open_level_db(track, stretches)
    if opened is None:
        return False
    ends = [stop for _, stop in stretches]
    starts = [start for start, _ in stretches[1:]] + [len(track.hz)]
    rises = []
    for stop, start in zip(ends, starts, strict=True):
        low, high = stop + round(_AFTER_S[0] / step), min(start, stop + round(_AFTER_S[1] / step))
        if high - low >= round(_LEAST_OPEN_S / step):
            rises.append(opened - float(np.median(track.level_db[low:high])))
    return len(rises) >= _LEAST_PAUSES and float(np.median(rises)) > _RISE_DB


def _open_level_db(track: PitchTrack, stretches: list[tuple[int, int]]) -> float | None:
    """Level of the background far from all notes."""
    far = np.ones(len(track.hz), np.bool_)
    margin = round(_OPEN_S / track.step_s)
    for start, stop in stretches:
        far[max(0, start - margin) : stop + margin] = False
    if far.sum() * track.step_s < _LEAST_OPEN_S:
        return None
    return float(np.median(track.level_db[far]))


def _gated(track: PitchTrack, stretches: list[tuple[int, int]]) -> bool:
    """Say whether most pauses are digital silence."""
    step = track.step_s
    floors = []
    for (_, stop), (start, _) in pairwise(stretches):
        if (start - stop) * step > _AFTER_S[1]:
            floors.append(float(np.percentile(track.level_db[stop:start], 20)))
    return len(floors) >= _LEAST_PAUSES and float(np.mean(np.array(floors) < _GATE_DB)) >= _GATED_SHARE


def _tones_fade(track: PitchTrack, stretches: list[tuple[int, int]]) -> bool:
    """Say whether all long tones fade, and all alike."""
    step = track.step_s
    fades = []
    for start, stop in stretches:
        if (stop - start) * step >= _LONG_S:
            early = np.median(track.level_db[start + round(_FADE_FROM_S / step) :][: round(0.1 / step)])
            late = np.median(track.level_db[start + round(_FADE_TO_S / step) - 10 :][: round(0.1 / step)])
            fades.append(float(early - late))
    return len(fades) >= _LEAST_LONG and min(fades) > _FADE_DB and float(np.std(fades)) < _ALIKE_DB
