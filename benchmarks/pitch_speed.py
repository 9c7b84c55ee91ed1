"""A minute of brass to track: our coarse track, and parselmouth's `to_pitch_ac` over the same range of pitch."""

from collections.abc import Callable
from functools import partial

import numpy as np

from slurwright.listen.sound import HeldSound

LOWEST_HZ, HIGHEST_HZ = 26.0, 1650.0
TAKE_S = 60.0
_RATE_HZ = 22050.0


def prepare_track() -> Callable[[], object]:
    """Ours: a frame every 5 ms, with level."""
    from slurwright.listen.tracking import pitch_track  # noqa: PLC0415  a side is charged with its own imports

    return partial(pitch_track, HeldSound(scale(), _RATE_HZ))


def prepare_praat() -> Callable[[], object]:
    """The other: a frame every 10 ms."""
    import parselmouth  # noqa: PLC0415

    sound = parselmouth.Sound(scale().astype(np.float64), _RATE_HZ)
    return partial(sound.to_pitch_ac, time_step=0.01, pitch_floor=LOWEST_HZ, pitch_ceiling=HIGHEST_HZ)


def scale() -> np.ndarray:
    """Notes of one second from 29 Hz to 1.4 kHz, with a little noise."""
    time_s = np.arange(round(TAKE_S * _RATE_HZ)) / _RATE_HZ
    hz = np.geomspace(29.0, 1400.0, round(TAKE_S))[np.minimum(time_s.astype(int), round(TAKE_S) - 1)]
    turns = np.cumsum(hz) / _RATE_HZ
    tone = sum(np.cos(2 * np.pi * n * turns) / n**1.5 * (n * hz < 10000) for n in range(1, 60))
    noise = np.random.default_rng(1).standard_normal(len(time_s))
    return np.asarray(0.1 * np.asarray(tone) + 0.001 * noise, np.float32)
