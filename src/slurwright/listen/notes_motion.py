"""How does the pitch move inside a note: a slope, and what is left beside slope and vibrato."""

import numpy as np
from numpy.typing import NDArray

from slurwright.listen.figure import NINE_IN_TEN, Figure, Hidden, Measured, Veil

__all__ = ["drift_of", "wander_of"]

_LEAST_S = 0.15
"""In a shorter note a slope says nothing."""
_WANDER_HZ = 3.0
"""How fast a player's pitch wanders: twice that many independent values a second. Common practice."""
_STEADIEST_CENTS = 0.05

Floats = NDArray[np.float64]


def drift_of(times_s: Floats, cents: Floats, *, noise_cents: float, window_s: float) -> Measured:
    """Slope of the pitch inside a note, vibrato taken out [cents a second].

    Args:
        times_s: moments at equal steps, shape=(n,) [s].
        cents: pitch, shape=(n,) [cents].
        noise_cents: standard deviation that noise gives a frame [cents].
        window_s: how much sound a frame hears [s].
    """
    length = float(times_s[-1] - times_s[0])
    if length < _LEAST_S:
        return Hidden(Veil.SHORT)
    slope, rest = _line(times_s, cents)
    wander = 12 * float(rest.var()) / (length**2 * max(1.0, 2 * _WANDER_HZ * length - 2.0))
    noise = 12 * noise_cents**2 / (length**2 * max(1.0, length / window_s))
    sd = float(np.sqrt(wander + noise)) * _spare(length) + _STEADIEST_CENTS / length
    return Figure(slope, slope - NINE_IN_TEN * sd, slope + NINE_IN_TEN * sd)


def wander_of(times_s: Floats, cents: Floats, *, noise_cents: float, window_s: float) -> Measured:
    """How unsteady the pitch is, slope and vibrato apart; standard deviation [cents].

    Args:
        times_s: moments at equal steps, shape=(n,) [s].
        cents: pitch without vibrato, shape=(n,) [cents].
        noise_cents: standard deviation that noise gives a frame [cents].
        window_s: how much sound a frame hears [s].
    """
    length = float(times_s[-1] - times_s[0])
    if length < _LEAST_S:
        return Hidden(Veil.SHORT)
    _, rest = _line(times_s, cents)
    power = float(rest.var())
    noise = noise_cents**2
    value = float(np.sqrt(max(0.0, power - noise)))
    # a variance from so many independent values, and what is not known of the noise
    count = max(1.0, 2 * _WANDER_HZ * length)
    sd = float(np.hypot(power * np.sqrt(2 / count), noise * np.sqrt(2 * window_s / length) + 0.3 * noise))
    low, high = (float(np.sqrt(max(0.0, value**2 + side * NINE_IN_TEN * sd))) for side in (-1, 1))
    return Figure(value, low, max(high, _STEADIEST_CENTS))


def _line(times_s: Floats, cents: Floats) -> tuple[float, Floats]:
    """Slope of the best line, and what is left."""
    along = times_s - times_s.mean()
    slope = float(along @ cents / max(float(along @ along), 1e-12))
    return slope, cents - cents.mean() - slope * along


def _spare(length_s: float) -> float:
    """Few independent values make a bad guess of their spread."""
    return 1.0 + 0.5 / max(1.0, 2 * _WANDER_HZ * length_s - 2.0)
