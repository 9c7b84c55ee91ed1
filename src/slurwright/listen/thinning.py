"""A track with fewer frames, to be kept and drawn: what a moment's dip or another note shows stays visible."""

import numpy as np
from numpy.typing import NDArray

from slurwright.listen.track import PitchTrack

__all__ = ["FLOOR_DB", "thinned"]

FLOOR_DB = -120.0
"""Below the quietest sound that 16 bits hold; keeps digital silence a number [dB]."""


def thinned(track: PitchTrack, step_s: float) -> PitchTrack:
    """Gather frames of a track: the middle pitch where half of them have one, the mean strength, the mean energy.

    Args:
        track: the track.
        step_s: wanted step; the nearest whole number of the track's own steps is taken [s].
    """
    count = max(1, round(step_s / track.step_s))
    frames = len(track.hz)
    if count == 1 or not frames:
        level = np.maximum(track.level_db, np.float32(FLOOR_DB))
        return PitchTrack(track.start_s, track.step_s, track.hz, track.strength, level)
    pitched = np.where(track.hz > 0, track.hz, np.nan)
    hz = _in_bins(pitched, count, np.nan)
    enough = np.count_nonzero(~np.isnan(hz), axis=1) * 2 >= _in_bins(np.ones(frames), count, 0.0).sum(axis=1)
    middle = np.zeros(len(hz), np.float32)
    middle[enough] = np.nanmedian(hz[enough], axis=1)
    power = _in_bins(10.0 ** (np.maximum(track.level_db, FLOOR_DB) / 10.0), count, np.nan)
    return PitchTrack(
        start_s=track.start_s + 0.5 * (count - 1) * track.step_s,
        step_s=track.step_s * count,
        hz=middle,
        strength=np.nanmean(_in_bins(track.strength, count, np.nan), axis=1).astype(np.float32),
        level_db=(10.0 * np.log10(np.nanmean(power, axis=1))).astype(np.float32),
    )


def _in_bins(values: NDArray[np.float64] | NDArray[np.float32], count: int, filling: float) -> NDArray[np.float64]:
    """Lay values out ``count`` a row, the last row filled up; shape=(bins, count)."""
    bins = -(-len(values) // count)
    laid = np.full(bins * count, filling)
    laid[: len(values)] = values
    return laid.reshape(bins, count)
