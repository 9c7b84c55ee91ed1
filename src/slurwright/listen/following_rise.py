"""When does a tongued note start, and when does it stop? Found on the sound itself.

It starts where its level has risen to half of the amplitude that it reaches in its first 80 ms, and stops where it
has fallen to half. What sounded before (the tail that the room keeps) is taken off as power. The level is averaged
over one period, which shows a quick rise too early by up to a quarter of it: that is put right by how quick it is.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from slurwright.listen.sound import Sound

__all__ = ["Moment", "fall_of", "rise_of"]

_STEP_S = 0.001
_SEARCH_S = 0.07
_EARLY_S = 0.08
_BEFORE_S = 0.1
_SLOPE_S = 0.008
_LEAST_WINDOW_S = 0.004
_HALF_DB = 6.0
_QUICK, _SLOW = 0.9, 2.2
"""A rise as long as this many windows is shown wholly too early, or not at all [windows]."""
_ROOM_S = 0.0012
"""By so much a room makes notes seem to start late; middle of simulated rooms [s]."""
_SD_S, _SD_RISE, _SD_WINDOW, _SD_TAIL = 0.002, 0.08, 0.08, 0.01
_FLOOR = 1e-12


@dataclass(frozen=True, slots=True)
class Moment:
    """When something happened."""

    time_s: float
    sd_s: float
    """Standard error [s]."""
    depth_db: float = 0.0
    """By how much the level rose or fell [dB]."""


def rise_of(sound: Sound, near_s: float, hz: float, *, earliest_s: float, latest_s: float) -> Moment | None:
    """Find when a tongued note starts.

    Args:
        sound: the take.
        near_s: about when [s].
        hz: its pitch [Hz].
        earliest_s: not before [s].
        latest_s: not after [s].

    Returns:
        The moment; None where the level does not rise.
    """
    start = max(earliest_s, near_s - _SEARCH_S)
    stop = min(latest_s, near_s + _SEARCH_S)
    window_s = _window_s(hz)
    times, power = _power(sound, start - _BEFORE_S, stop + _EARLY_S, window_s)
    inside = np.flatnonzero((times >= start) & (times <= stop))
    if len(inside) < 3:
        return None
    level = 10.0 * np.log10(power)
    reach = max(1, round(max(_SLOPE_S, window_s / 2) / _STEP_S))
    ahead, behind = np.minimum(inside + reach, len(level) - 1), np.maximum(inside - reach, 0)
    steep = int(inside[np.argmax((level[ahead] - level[behind]) * np.minimum(1.0, _gated(level, ahead)))])
    early = power[steep : steep + round(_EARLY_S / _STEP_S) + 1]
    top = steep + int(np.argmax(early))
    tail = float(power[max(0, steep - round(_BEFORE_S / _STEP_S)) : top + 1].min())
    peak = float(power[top])
    if peak < 1.6 * tail:
        return None
    half = _crossing(times, power, steep, top, tail + (peak - tail) / 4.0)
    low = _crossing(times, power, steep, top, tail + (peak - tail) * 0.06)
    high = _crossing(times, power, steep, top, tail + (peak - tail) * 0.75)
    rise_s = high - low
    early_s = window_s / 4.0 * float(np.clip((_SLOW - rise_s / window_s) / (_SLOW - _QUICK), 0.0, 1.0))
    sd = float(np.hypot(_SD_S + _SD_TAIL * tail / peak, _SD_RISE * rise_s + _SD_WINDOW * window_s))
    return Moment(half + early_s - _ROOM_S, sd, float(10.0 * np.log10(peak / tail)))


def fall_of(sound: Sound, near_s: float, hz: float, *, earliest_s: float, latest_s: float) -> Moment | None:
    """Find when a note stops.

    Args:
        sound: the take.
        near_s: about when [s].
        hz: its pitch [Hz].
        earliest_s: not before [s].
        latest_s: not after [s].

    Returns:
        The moment; None where the level does not fall.
    """
    times, power = _power(
        sound, max(earliest_s, near_s - 2 * _EARLY_S), min(latest_s, near_s + _EARLY_S), _window_s(hz)
    )
    if len(times) < 3:
        return None
    reach = max(1, round(_EARLY_S / _STEP_S))
    loud = np.maximum.accumulate(power)
    down = np.flatnonzero((power < loud / 10.0 ** (_HALF_DB / 10.0)) & (np.arange(len(power)) > 0))
    runs = down[np.append(True, np.diff(down) > 1)] if len(down) else down
    good = [at for at in runs if power[at : at + reach // 4].max() < loud[at] / 2.0]
    if not good:
        return None
    return Moment(float(times[good[-1]]), 0.006, float(10.0 * np.log10(loud[-1] / power[-1])))


def _window_s(hz: float) -> float:
    """One period, or several of a high note [s]."""
    return float(np.ceil(_LEAST_WINDOW_S * hz) / hz)


def _power(
    sound: Sound, start_s: float, stop_s: float, window_s: float
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Mean power in a window around each millisecond: (times, power)."""
    rate = sound.rate_hz
    half = max(1, round(window_s * rate / 2))
    first = max(0, round(start_s * rate) - half)
    samples = sound.read(first, round(stop_s * rate) + half)
    total = np.concatenate(([0.0], np.cumsum(np.square(samples, dtype=np.float64))))
    times = np.arange(max(0.0, start_s), min(stop_s, (sound.length - 1) / rate), _STEP_S)
    middle = np.round(times * rate).astype(np.intp) - first
    low, high = np.clip(middle - half, 0, len(samples)), np.clip(middle + half, 0, len(samples))
    return times, np.maximum(_FLOOR, (total[high] - total[low]) / np.maximum(1, high - low))


def _gated(level: NDArray[np.float64], at: NDArray[np.intp]) -> NDArray[np.float64]:
    """How much a rise counts by where it leads: little if it stays far below the loudest."""
    return np.asarray(np.clip((level[at] - level.max() + 30.0) / 15.0, 0.0, 1.0))


def _crossing(times: NDArray[np.float64], power: NDArray[np.float64], steep: int, top: int, limit: float) -> float:
    """When the power passes a limit, nearest to where it rises most steeply [s]."""
    at = steep
    if power[at] >= limit:
        while at > 0 and power[at - 1] >= limit:
            at -= 1
    else:
        while at < top and power[at] < limit:
            at += 1
    if at == 0:
        return float(times[0])
    below, above = np.sqrt(power[at - 1]), np.sqrt(power[at])
    part = (np.sqrt(limit) - below) / max(1e-12, above - below)
    return float(times[at - 1] + np.clip(part, 0.0, 1.0) * (times[at] - times[at - 1]))
