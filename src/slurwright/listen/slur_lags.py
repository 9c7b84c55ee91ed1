"""How unlike itself is the sound one period later, for every moment and every period between notes and beyond? A map.

The loudness is evened out first. Where the period is right, what is left is noise, and what the room adds.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from slurwright.listen.slur_sound import SlurSound, running_mean

__all__ = ["LagMap", "lag_map"]

Real = NDArray[np.float64]

_BEYOND_CENTS = 190.0
"""A pitch may go so far past the two notes."""
_STEPS_A_PERIOD = 10.0
_SHORTEST_STEP_S = 0.0006
_QUIETEST = 0.03
"""Softer than this against the loudest, nothing is evened out: it would be noise."""
_UNLIKE = 2.0


@dataclass(frozen=True, slots=True, eq=False)
class LagMap:
    """Mean square of the difference between the sound half a lag before and half a lag after, loudness apart."""

    unlike: NDArray[np.float32]
    """0 for alike, about 2 for nothing in common, shape=(lags, steps)."""
    shortest: int
    """Lag of the first row [samples]."""
    rate_hz: float
    start_s: float
    """Middle of the first step [s]."""
    step_s: float

    def along(self, lag_s: Real, steps: NDArray[np.intp]) -> Real:
        """Look up what lies under lags at steps, between rows by a parabola; shape as ``steps``.

        Args:
            lag_s: broadcasts against ``steps`` [s].
            steps: columns, inside the map.
        """
        place = np.minimum(np.maximum(lag_s * self.rate_hz - self.shortest, 1.0), self.unlike.shape[0] - 2.001)
        row = np.rint(place).astype(np.intp)
        off = (place - row).astype(np.float32)
        width = self.unlike.shape[1]
        flat = self.unlike.ravel()
        at = row * width + steps
        # rows are inside by their making; clipping spares the check
        below, here, above = (flat.take(at + away, mode="clip") for away in (-width, 0, width))
        value = here + 0.5 * off * (above - below) + 0.5 * off * off * (above - 2.0 * here + below)
        return np.asarray(np.maximum(value, 0.0), np.float64)

    def coarser(self, times: int) -> "LagMap":
        """Join so many steps to one.

        Args:
            times: how many [1].
        """
        steps = self.unlike.shape[1] // times
        joined = self.unlike[:, : steps * times].reshape(len(self.unlike), steps, times).mean(axis=2)
        late = 0.5 * (times - 1) * self.step_s
        return LagMap(joined, self.shortest, self.rate_hz, self.start_s + late, self.step_s * times)


def lag_map(sound: SlurSound, first_hz: float, second_hz: float) -> LagMap:
    """Compare the sound with itself.

    Args:
        sound: around a slur.
        first_hz: one pitch [Hz].
        second_hz: the other [Hz].
    """
    low, high = sorted((first_hz, second_hz))
    beyond = 2.0 ** (_BEYOND_CENTS / 1200.0)
    rate = sound.rate_hz
    shortest, longest = int(rate / (high * beyond)) - 1, int(rate / (low / beyond)) + 2
    hop = max(1, int(max(_SHORTEST_STEP_S, 1.0 / (low * _STEPS_A_PERIOD)) * rate))
    even = _evened(sound, low)
    steps = len(even) // hop
    unlike = np.full((longest - shortest + 1, steps), _UNLIKE, np.float32)
    for row, lag in enumerate(range(shortest, longest + 1)):
        # the difference at n lies half a lag later: there its steps are cut
        begin = -(-lag // 2 // hop)
        skip = begin * hop - lag // 2
        difference = np.square(even[lag + skip :] - even[skip : len(even) - lag])
        count = min(len(difference) // hop, steps - begin)
        if count > 0:
            unlike[row, begin : begin + count] = difference[: count * hop].reshape(count, hop).mean(axis=1)
    return LagMap(unlike, shortest, rate, sound.start_s + 0.5 * hop / rate, hop / rate)


def _evened(sound: SlurSound, low_hz: float) -> NDArray[np.float32]:
    power = running_mean(np.square(sound.samples), round(sound.rate_hz / low_hz))
    loudness = np.sqrt(np.maximum(power, _QUIETEST**2 * power.max() + 1e-20))
    return np.asarray(sound.samples / loudness, np.float32)
