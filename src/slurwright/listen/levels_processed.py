"""Was a phone at work on the sound? Noise suppression, gates and automatic gain leave traces.

Three are looked for, each such as no player and no room leaves. A gate: after a note the room's tail, which can only
die more and more slowly, plunges all at once. Automatic gain: after notes the background comes *up* in the pauses,
from far below where it lies when nothing was played for long. Noise suppression: it takes steady tones for noise and
turns them down, one like the other, over a background that is very still. Suppression that leaves the tones alone
does no harm to what is measured and is not looked for.
"""

import numpy as np
from numpy.typing import NDArray

from slurwright.listen.stretches import heard_stretches, steady_stretches
from slurwright.listen.track import PitchTrack

__all__ = ["is_processed"]

Stretches = list[tuple[int, int]]

_LEAST_PLACES = 2

_TAIL_S = (0.06, 0.8)
"""A plunge is looked for from and to this long after a note's level began to fall [s]."""
_PLUNGE_S = 0.02
_PLUNGE_DB = 15.0
"""No room's tail falls so far in so short a time: that would be a decay of 80 ms. Derived."""
_TAIL_DB_S = 300.0
"""A tail that falls slower than this before the plunge is a room's; a release is faster [dB a second]."""

_AFTER_S = (0.12, 0.4)
_OPEN_S = 0.6
"""From then on after a note, and this long before the next, a pause is open: no tail, no breath [s]."""
_LEAST_OPEN_S = 0.15
_RISE_DB = 8.0

_LONG_S = 1.5
_EDGES_S = (0.15, 0.25)
_FADE_DB, _LEAST_FADE_DB = 12.0, 8.0
_LEAST_LONG = 3
_FADED_SHARE = 0.75
_STILL_DB = 42.0


def is_processed(track: PitchTrack, *, noise_below_db: float) -> bool:
    """Say whether the levels bear the traces of noise suppression, a gate or automatic gain.

    Args:
        track: of the recording.
        noise_below_db: how far the noise lies below what is played [dB].
    """
    stretches = heard_stretches(track)
    if _background_rises(track, stretches) or _tails_plunge(track, stretches):
        return True
    return noise_below_db > _STILL_DB and _tones_fade(track)


def _tails_plunge(track: PitchTrack, stretches: Stretches) -> bool:
    """Say whether most tails that can be followed end in a plunge."""
    seen = [
        plunges
        for (first, last), after in zip(stretches, _next_starts(track, stretches), strict=True)
        if (plunges := _plunges(track, first, last, after)) is not None
    ]
    return len(seen) >= _LEAST_PLACES and sum(seen) > len(seen) / 2


def _plunges(track: PitchTrack, first: int, last: int, after: int) -> bool | None:
    """Say whether the tail of one note plunges; None where no tail can be followed."""
    step = track.step_s
    fall = max(1, round(_PLUNGE_S / step))
    held = float(np.median(track.level_db[first:last]))
    late = track.level_db[max(first, last - round(0.1 / step)) : after]
    falling = np.flatnonzero(late < held - 6.0)
    if not len(falling):
        return None
    tail = late[falling[0] :][: round(_TAIL_S[1] / step)]
    begin = round(_TAIL_S[0] / step)
    if len(tail) < begin + 3 * fall:
        return None
    drops = tail[begin:-fall] - tail[begin + fall :]
    at = int(np.argmax(drops)) + begin
    before_db_s = float(tail[0] - tail[at]) / (at * step)
    return bool(drops.max() > _PLUNGE_DB and before_db_s < _TAIL_DB_S)


def _background_rises(track: PitchTrack, stretches: Stretches) -> bool:
    """Say whether the background lies lower right after notes than where nothing was played for long, mostly."""
    step = track.step_s
    far = _far_from_notes(track, stretches)
    least = round(_LEAST_OPEN_S / step)
    if far.sum() < least:
        return False
    opened_db = float(np.median(track.level_db[far]))
    rises = []
    for (_, stop), start in zip(stretches, _next_starts(track, stretches), strict=True):
        low, high = stop + round(_AFTER_S[0] / step), min(start, stop + round(_AFTER_S[1] / step))
        if high - low >= least:
            late = track.level_db[stop:start][far[stop:start]]
            late_db = float(np.median(late)) if len(late) >= least else opened_db
            rises.append(late_db - float(np.median(track.level_db[low:high])))
    return len(rises) >= _LEAST_PLACES and float(np.median(rises)) > _RISE_DB


def _next_starts(track: PitchTrack, stretches: Stretches) -> list[int]:
    """For each stretch, where the next one starts, or where the track ends."""
    return [start for start, _ in stretches[1:]] + [len(track.hz)] * bool(stretches)


def _far_from_notes(track: PitchTrack, stretches: Stretches) -> NDArray[np.bool_]:
    far = np.ones(len(track.hz), np.bool_)
    margin = round(_OPEN_S / track.step_s)
    for start, stop in stretches:
        far[max(0, start - margin) : stop + margin] = False
    return far


def _tones_fade(track: PitchTrack) -> bool:
    """Say whether nearly all long tones fade, and far."""
    level, step = track.level_db, track.step_s
    begin, end, span = round(_EDGES_S[0] / step), round(_EDGES_S[1] / step), round(0.1 / step)
    fades = [
        float(np.median(level[start + begin :][:span]) - np.median(level[stop - end - span : stop - end]))
        for start, stop in steady_stretches(track)
        if (stop - start) * step >= _LONG_S
    ]
    if len(fades) < _LEAST_LONG or float(np.median(fades)) < _FADE_DB:
        return False
    return float(np.mean(np.array(fades) > _LEAST_FADE_DB)) >= _FADED_SHARE
