"""How far below its pitch does a tongued note start.

The path of its first 60 ms is followed with the shortest window that the pitch allows and run back to the onset. A
note that comes out of another one has no attack; what a slur does there is measured by itself.
"""

import numpy as np

from slurwright.listen.figure import NINE_IN_TEN, Figure, Hidden, Measured, Veil
from slurwright.listen.refining import FinePath
from slurwright.listen.track import PitchTrack

__all__ = ["attack_scoop", "comes_from_another"]

_LOOK_S = 0.060
_RISE_S = 0.005
"""The path is run back to this long before the onset, which is half way up. Common practice."""
_RISEN = 0.7
"""While the sound swells within a period or two, its pitch cannot be told: frames so near the full size count."""
_LEAST_FRAMES = 4
_BEFORE_S = (0.060, 0.015)
_REST_DB = 9.0
"""Where the level just before a note lies so far below the note's, it was tongued."""


def comes_from_another(track: PitchTrack, onset_s: float, level_db: float) -> bool:
    """Say whether a note was slurred to: what sounded before it was no softer than the note.

    Args:
        track: the coarse track.
        onset_s: when the note starts [s].
        level_db: its level [dB].
    """
    first, last = (track.frame_at(onset_s - before) for before in _BEFORE_S)
    if onset_s < _BEFORE_S[0] or last <= first:
        return False
    before = track.level_db[first : last + 1]
    heard = track.hz[first : last + 1] > 0
    return bool(heard.all() and float(before.min()) > level_db - _REST_DB)


def attack_scoop(path: FinePath | None, onset_s: float, *, hz: float, wander_cents: float) -> Measured:
    """How far below its pitch a note starts; 0 for a clean start [cents].

    Args:
        path: of its first moments.
        onset_s: its onset [s].
        hz: its pitch [Hz].
        wander_cents: how unsteady the pitch is later; standard deviation [cents].
    """
    if path is None or path.window_s > _LOOK_S:
        return Hidden(Veil.SHORT)
    early = (path.times_s >= onset_s - 0.01) & (path.times_s <= onset_s + _LOOK_S)
    size = path.sizes.max(axis=1)
    use = early & (size > _RISEN * float(np.median(size)))
    if np.count_nonzero(use) < _LEAST_FRAMES:
        return Hidden(Veil.SHORT)
    times, below = path.times_s[use] - onset_s, -path.cents_from(hz)[use]
    slope, middle = np.polyfit(times - times.mean(), below, 1)
    rest = below - middle - slope * (times - times.mean())
    start = float(middle - slope * (times.mean() + _RISE_S))
    value = start if slope < 0 else float(middle)
    noise = np.hypot(path.noise_cents, rest.std()) * np.sqrt(4 * path.window_s / _LOOK_S)
    sd = float(np.hypot(noise, wander_cents)) + 0.15 * abs(value)
    return Figure(max(0.0, value), max(0.0, value - NINE_IN_TEN * sd), max(0.0, value + NINE_IN_TEN * sd))
