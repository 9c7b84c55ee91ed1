"""Whether a note is really as low as it is heard, or the asked note with another one that still sounds in the room.

Two notes that sound together are easily heard as the note of which both are harmonics. What is really that low has
harmonics of its own between those of the asked note.
"""

import numpy as np
from numpy.typing import NDArray

from slurwright.listen.sound import Sound

__all__ = ["is_low"]

_MOST_S = 0.25
_EDGE = 0.2
_HARMONICS = 16
_HIGHEST_SHARE = 0.45
_WIDTH = 0.3
"""Half width around a harmonic, in spacings of harmonics."""
_OWN_DB = -14.0
"""Own harmonics of a note that is really low are no weaker than this against those that it shares [dB]."""


def is_low(sound: Sound, start_s: float, stop_s: float, *, low_hz: float, part: int) -> bool:
    """Say whether a stretch holds the low pitch itself.

    Args:
        sound: the take.
        start_s: start of the stretch [s].
        stop_s: its end [s].
        low_hz: pitch that is heard [Hz].
        part: the asked pitch is this many times higher.
    """
    edge = _EDGE * (stop_s - start_s)
    start, stop = start_s + edge, min(stop_s - edge, start_s + edge + _MOST_S)
    samples = sound.read(round(start * sound.rate_hz), round(stop * sound.rate_hz)).astype(np.float64)
    count = min(_HARMONICS, int(_HIGHEST_SHARE * sound.rate_hz / low_hz))
    if len(samples) * low_hz < 4 * sound.rate_hz or count <= part:
        return False
    size = 1 << (4 * len(samples) - 1).bit_length()
    power = np.square(np.abs(np.fft.rfft(samples * np.hanning(len(samples)), size)))
    numbers = np.arange(1, count + 1)
    peaks = np.array(
        [_peak(power, number * low_hz * size / sound.rate_hz, low_hz * size / sound.rate_hz) for number in numbers]
    )
    shared = numbers % part == 0
    return bool(10.0 * np.log10(np.median(peaks[~shared]) / max(1e-30, np.median(peaks[shared]))) > _OWN_DB)


def _peak(power: NDArray[np.float64], middle: float, spacing: float) -> float:
    low, high = round(middle - _WIDTH * spacing), round(middle + _WIDTH * spacing) + 1
    return float(power[max(0, low) : high].max(initial=1e-30))
