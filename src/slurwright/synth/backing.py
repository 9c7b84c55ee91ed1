"""What sounds beside a player: a soft drone, and clicks that count in.

The drone is a few harmonics of one pitch, falling off, so that beats with the player's own harmonics are heard; the
click is a short ping. Levels are modest on purpose: a drone in headphones is soon too loud.
"""

import numpy as np
from numpy.typing import NDArray

__all__ = ["click_of", "drone_of", "mixed_in"]

_DRONE_DB = -30.0
"""Root mean square against full scale; ours [dB]."""
_DRONE_HARMONICS = (1.0, 0.6, 0.4, 0.25, 0.15, 0.1)
"""Amplitudes of the harmonics against the first; ours [1]."""
_HIGHEST = 0.45
"""No harmonic stands above this part of the rate."""
_FADE_S = 0.25
_CLICK_S = 0.03
_CLICK_DB = -20.0
_CLICK_HZ = (1760.0, 1320.0)
"""Of the first beat and of the others; ours [Hz]."""


def drone_of(hz: float, length_s: float, *, rate_hz: float) -> NDArray[np.float32]:
    """Sound a soft steady tone that fades in and out, shape=(n,).

    Args:
        hz: its pitch [Hz].
        length_s: how long [s].
        rate_hz: samples a second [Hz].

    """
    count = max(1, round(length_s * rate_hz))
    cycles = np.arange(count) * (hz / rate_hz) % 1.0
    turn = np.exp(2j * np.pi * cycles.astype(np.float32)).astype(np.complex64)
    wheel = np.ones(count, np.complex64)
    tone = np.zeros(count, np.float32)
    power = sum(0.5 * amplitude**2 for amplitude in _DRONE_HARMONICS)
    loud = 10.0 ** (_DRONE_DB / 20.0) / np.sqrt(power)
    for number, amplitude in enumerate(_DRONE_HARMONICS, start=1):
        wheel *= turn
        if number * hz < _HIGHEST * rate_hz:
            ahead = 2.0 * np.pi * number * number / 7.0  # so that the wave is no pulse
            tone += np.float32(loud * amplitude * np.cos(ahead)) * wheel.imag
            tone += np.float32(loud * amplitude * np.sin(ahead)) * wheel.real
    fade = min(round(_FADE_S * rate_hz), count // 2)
    if fade:
        rise = (0.5 - 0.5 * np.cos(np.pi * np.arange(fade) / fade)).astype(np.float32)
        tone[:fade] *= rise
        tone[-fade:] *= rise[::-1]
    return tone


def click_of(*, first: bool, rate_hz: float) -> NDArray[np.float32]:
    """Sound one click, shape=(n,).

    Args:
        first: whether it is the first of its measure, which sounds higher.
        rate_hz: samples a second [Hz].

    """
    time_s = np.arange(round(_CLICK_S * rate_hz)) / rate_hz
    hz = _CLICK_HZ[0 if first else 1]
    ping = np.sin(2.0 * np.pi * hz * time_s) * np.exp(-time_s / 0.006) * np.minimum(1.0, time_s / 0.001)
    return np.asarray(ping * 10.0 ** (_CLICK_DB / 20.0) / np.abs(ping).max(), np.float32)


def mixed_in(track: NDArray[np.float32], sound: NDArray[np.float32], at_s: float, *, rate_hz: float) -> None:
    """Add a sound to a track at a place; what would stand outside is cut off.

    Args:
        track: takes it, shape=(n,).
        sound: what is added, shape=(m,).
        at_s: where it begins [s].
        rate_hz: samples a second [Hz].

    """
    start = max(0, round(at_s * rate_hz))
    room = track[start : start + len(sound)]
    room += sound[: len(room)]
