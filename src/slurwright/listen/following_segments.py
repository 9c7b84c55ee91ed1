"""Where could one sound end and another begin? The take is cut generously; which cuts count is decided later.

Cuts lie where a pitch starts or stops to be heard, where it steps, where the level dips inside a sound and where it
falls away at its end. Between two cuts lies a *segment*. What a longer stretch sounds is added up from its segments.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from slurwright.listen.following_level import Dips
from slurwright.listen.track import PitchTrack

__all__ = ["Frames", "Segments", "frames_of", "segments_of"]

_REFERENCE_HZ = 440.0
_WEAK = 0.35
"""A pitch weaker than this is none."""
_BELOW_LOUD_DB = 42.0
"""What lies so far below the loud parts of a take is not played."""
_SHORTEST_S = 0.03
"""Neither a hole in a pitch nor a pitch between holes is shorter."""
_SIDE_S = 0.05
"""How long on each side the pitch is looked at for a step."""
_STEP_SEMITONES = 0.35
_SPACING_S = 0.03
_TAIL_DB = 10.0
_FORGOTTEN_DB_S = 60.0
"""How quickly the loudness of what was earlier is forgotten [dB/s]."""
_FAR_SEMITONES = 0.8
_GLIDE_LEAST_S = 0.09
"""In a shorter segment the way from and to its neighbours looks like a glide."""
_STAYS_SEMITONES = 0.5
_ONE_START_S = 0.08
"""Within this time only one new sound starts."""
_MINOR_S = 0.12
"""Of the dips that are hardly new sounds only the deepest within this time is kept."""
_SURE = 7.0
_AROUND_S = 0.06


@dataclass(frozen=True, slots=True, eq=False)
class Frames:
    """The track as the follower hears it; all arrays shape=(frames,)."""

    start_s: float
    step_s: float
    semitones: NDArray[np.float64]
    """Pitch above 440 Hz; 0 where none is heard [semitones]."""
    heard: NDArray[np.bool_]
    level_db: NDArray[np.float64]


@dataclass(frozen=True, slots=True, eq=False)
class Segments:
    """The stretches between the cuts; arrays of segments have shape=(segments,), of cuts shape=(segments + 1,)."""

    cut_s: NDArray[np.float64]
    """Where the cuts lie, start and end of the take among them [s]."""
    first_frame: NDArray[np.intp]
    """First frame after each cut."""
    again: NDArray[np.float64]
    """How much each cut looks like the start of a new sound though the pitch stays [log of the odds]."""
    semitones: NDArray[np.float64]
    """Middle pitch of each segment; 0 where none is heard [semitones]."""
    heard_s: NDArray[np.float64]
    """How long in each segment a pitch is heard [s]."""
    unsteady_s: NDArray[np.float64]
    """How long in each segment the pitch is far from its middle [s]."""
    stray: NDArray[np.float64]
    """Mean distance of the pitch from its middle in each segment [semitones]."""
    glide: NDArray[np.float64]
    """How far the pitch moves from the first third of each segment to the last; 0 in a short one [semitones]."""
    tail: NDArray[np.bool_]
    """Whether it only fades away."""

    @property
    def stays(self) -> NDArray[np.bool_]:
        """Whether the pitch is the same on both sides of each cut within the take; shape=(segments - 1,)."""
        near = np.abs(np.diff(self.semitones)) < _STAYS_SEMITONES
        return np.asarray(near & (self.heard_s[1:] > 0) & (self.heard_s[:-1] > 0))

    @property
    def length_s(self) -> NDArray[np.float64]:
        """How long the segments are [s]."""
        return np.diff(self.cut_s)


def frames_of(track: PitchTrack) -> Frames:
    """Tell which frames hold something that was played, and at what pitch.

    Args:
        track: the coarse pitch.
    """
    level = np.asarray(track.level_db, np.float64)
    gate = np.percentile(level, 95) - _BELOW_LOUD_DB if len(level) else 0.0
    heard = (track.hz > 0) & (track.strength > _WEAK) & (level > gate)
    short = max(1, round(_SHORTEST_S / track.step_s))
    heard = ~_without_short(~_without_short(heard, short), min(2, short))
    pitch = np.where(track.hz > 0, track.hz, np.float32(_REFERENCE_HZ)).astype(np.float64)
    semitones = _filled(12.0 * np.log2(pitch / _REFERENCE_HZ), track.hz > 0)
    return Frames(track.start_s, track.step_s, np.where(heard, semitones, 0.0), heard, level)


def segments_of(frames: Frames, dips: Dips, *, length_s: float) -> Segments:
    """Cut a take into segments.

    Args:
        frames: what is heard in it.
        dips: where its level dips.
        length_s: how long it is [s].
    """
    times, again = _cuts(frames, dips, length_s)
    first = np.clip(np.ceil((times - frames.start_s) / frames.step_s).astype(np.intp), 0, len(frames.heard))
    first[-1] = len(frames.heard)
    semitones, heard_s, unsteady_s, stray, glide = _contents(frames, first)
    return Segments(times, first, again, semitones, heard_s, unsteady_s, stray, glide, _tails(frames, first))


def _cuts(frames: Frames, dips: Dips, length_s: float) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Choose the cuts: (times, how sure each is a new sound)."""
    edge = np.diff(frames.heard.astype(np.int8))
    half = frames.step_s / 2
    starts = frames.start_s + frames.step_s * (np.flatnonzero(edge == 1) + 1) - half
    stops = frames.start_s + frames.step_s * (np.flatnonzero(edge == -1) + 1) - half
    dips = _thinned(dips)
    steps, sizes = _steps(frames)
    falls = _falls(frames)
    times = np.concatenate((starts, stops, dips.time_s, steps, falls))
    again = np.concatenate(
        (_start_odds(frames, starts), np.full(len(stops), -7.0), dips.odds, np.full(len(steps), -7.0), falls * 0 - 7)
    )
    weight = np.concatenate(
        (
            np.full(len(starts), 30.0),
            np.full(len(stops), 20.0),
            7.0 + dips.odds,
            9.0 + sizes,
            np.full(len(falls), 1.0),
        )
    )
    keep = (times > _SPACING_S) & (times < length_s - _SPACING_S)
    times, again = _spaced(times[keep], again[keep], weight[keep])
    again = _one_start(times, again)
    return np.concatenate(([0.0], times, [length_s])), np.concatenate(([_SURE], again, [_SURE]))


def _thinned(dips: Dips) -> Dips:
    """Leave out dips that are hardly new sounds, beside likelier ones."""
    keep = dips.odds > 0
    for at in np.flatnonzero(~keep):
        near = np.abs(dips.time_s - dips.time_s[at]) < _MINOR_S
        keep[at] = dips.odds[at] >= dips.odds[near].max()
    return Dips(dips.time_s[keep], dips.odds[keep])


def _one_start(times: NDArray[np.float64], again: NDArray[np.float64]) -> NDArray[np.float64]:
    """Where several cuts lie close together, only the likeliest counts as a new sound; the others are open."""
    result = again.copy()
    for at in np.flatnonzero(again > 0):
        near = np.abs(times - times[at]) < _ONE_START_S
        if again[at] < again[near].max():
            result[at] = 0.0
    return result


def _start_odds(frames: Frames, starts: NDArray[np.floating]) -> NDArray[np.float64]:
    """How much a new sound starts where a pitch does: much if the level rises, for a tail may only be heard again."""
    around = max(1, round(_AROUND_S / frames.step_s))
    padded = np.pad(frames.level_db, around, mode="edge")
    at = np.round((starts - frames.start_s) / frames.step_s).astype(np.intp)
    near = np.arange(around)
    lowest = padded[at[:, None] + near].min(axis=1) if len(at) else np.zeros(0)
    highest = padded[at[:, None] + around + near].max(axis=1) if len(at) else np.zeros(0)
    return np.asarray(np.interp(highest - lowest, [2.0, 6.0, 12.0], [-5.0, 0.0, _SURE]), np.float64)


def _steps(frames: Frames) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Find where the pitch steps: (times, sizes in semitones)."""
    side = max(2, round(_SIDE_S / frames.step_s))
    if len(frames.heard) < 2 * side + 1:
        return np.zeros(0), np.zeros(0)
    window = np.lib.stride_tricks.sliding_window_view
    middle = np.median(window(frames.semitones, side), axis=1)
    whole = window(frames.heard, 2 * side).all(axis=1)
    size = np.where(whole, np.abs(middle[side:] - middle[:-side]), 0.0)
    reach = max(1, side // 2)
    padded = np.pad(size, reach)
    top = (size > _STEP_SEMITONES) & (size >= window(padded, 2 * reach + 1).max(axis=1))
    at = np.flatnonzero(top)
    # Where the pitch moves in one frame the difference is as large for several: the cut belongs in their middle.
    runs = np.split(at, np.flatnonzero(np.diff(at) > 1) + 1) if len(at) else []
    centre = np.array([(run[0] + run[-1]) / 2 for run in runs])
    sizes = np.array([size[run[0]] for run in runs])
    return frames.start_s + frames.step_s * (centre + side - 0.5), sizes


def _falls(frames: Frames) -> NDArray[np.float64]:
    """Find where the level has fallen well below what it was a little earlier, and goes on falling [s]."""
    back = max(1, round(0.06 / frames.step_s))
    if len(frames.level_db) < 2 * back:
        return np.zeros(0)
    drop = np.zeros(len(frames.level_db))
    drop[back:] = frames.level_db[:-back] - frames.level_db[back:]
    falling = frames.heard & (drop > _TAIL_DB)
    at = np.flatnonzero(np.diff(falling.astype(np.int8)) == 1) + 1
    return np.asarray(frames.start_s + frames.step_s * (at - back / 2), np.float64)


def _spaced(
    times: NDArray[np.float64], again: NDArray[np.float64], weight: NDArray[np.float64]
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Leave of cuts that lie too near together only the weightiest, with the best odds of all of them."""
    order = np.argsort(times, kind="stable")
    times, again, weight = times[order], again[order], weight[order]
    kept: list[int] = []
    odds: list[float] = []
    for at in range(len(times)):
        if kept and times[at] - times[kept[-1]] < _SPACING_S:
            odds[-1] = max(odds[-1], float(again[at]))
            if weight[at] > weight[kept[-1]]:
                kept[-1] = at
        else:
            kept.append(at)
            odds.append(float(again[at]))
    return times[kept], np.array(odds)


def _contents(frames: Frames, first: NDArray[np.intp]) -> tuple[NDArray[np.float64], ...]:
    """What the segments hold: middle pitch, time with a pitch, time far from it, how it strays and how it moves."""
    count = len(first) - 1
    semitones, heard_s, unsteady_s, stray, glide = np.zeros((5, count))
    for at in range(count):
        piece = slice(first[at], first[at + 1])
        values = frames.semitones[piece][frames.heard[piece]]
        if len(values):
            semitones[at] = _middle(values)
            heard_s[at] = len(values) * frames.step_s
            away = np.abs(values - semitones[at])
            unsteady_s[at], stray[at] = np.count_nonzero(away > _FAR_SEMITONES) * frames.step_s, away.mean()
            if heard_s[at] > _GLIDE_LEAST_S:
                third = len(values) // 3
                glide[at] = abs(_middle(values[-third:]) - _middle(values[:third]))
    return semitones, heard_s, unsteady_s, stray, glide


def _middle(values: NDArray[np.float64]) -> float:
    return float(np.sort(values)[len(values) // 2])


def _tails(frames: Frames, first: NDArray[np.intp]) -> NDArray[np.bool_]:
    """Which segments lie well below what was a little earlier, and do not rise."""
    tail = np.zeros(len(first) - 1, np.bool_)
    loud = -np.inf
    for at in range(len(tail)):
        level = frames.level_db[first[at] : first[at + 1]]
        if len(level):
            tail[at] = level.max() < loud - _TAIL_DB and level[-1] <= level[0]
            loud = max(float(level.max()), loud - _FORGOTTEN_DB_S * len(level) * frames.step_s)
    return tail


def _without_short(flags: NDArray[np.bool_], least: int) -> NDArray[np.bool_]:
    """Clear runs of true values that are shorter than ``least``."""
    edges = np.diff(np.concatenate(([0], flags.astype(np.int8), [0])))
    starts, stops = np.flatnonzero(edges == 1), np.flatnonzero(edges == -1)
    result = flags.copy()
    for start, stop in zip(starts[stops - starts < least], stops[stops - starts < least], strict=True):
        result[start:stop] = False
    return result


def _filled(values: NDArray[np.float64], known: NDArray[np.bool_]) -> NDArray[np.float64]:
    """Values with what is unknown taken from the last known before."""
    last = np.maximum.accumulate(np.where(known, np.arange(len(values)), 0))
    return values[last]
