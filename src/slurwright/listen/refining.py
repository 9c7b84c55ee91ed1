"""What exactly is the pitch of one note, from moment to moment.

Two steps around the harmonics of ``refining_harmonics``. First the common turn of the strong low harmonics moves the
carrier onto the pitch. Then every harmonic tells what is left, over a window of some periods, and all are joined:
each counts by how little its own path strays from the others. A harmonic that beats with the room's echo of another
note, or drowns in noise, strays, and so counts for little. The window is as short as noise permits.
"""

from dataclasses import dataclass

import numpy as np
from numpy.lib.stride_tricks import sliding_window_view
from numpy.typing import NDArray

from slurwright.listen.refining_harmonics import Carrier, Harmonics, harmonics_of
from slurwright.listen.sound import Sound
from slurwright.listen.track import PitchTrack

__all__ = ["FinePath", "carrier_of", "fine_path", "path_of"]

_SHORTEST_S = 0.008
_LEAST_PERIODS = 3
_FIRST_S = 0.030
"""Window of the first step."""
_FIRST_PERIODS = 4
_FIRST_HARMONICS = 8
_SLOW_S = 0.030
"""A window longer than this would smooth a vibrato."""
_NOISE_CENTS = 0.4
"""Noise of a frame that a longer window would not be worth."""
_SLIPPING = 0.3
"""A harmonic whose phase strays by more than this is not trusted [rad]."""
_ROUNDS = 3
_FLOOR_CENTS = 0.02
_CENTS = 1200.0 / np.log(2.0)
_TINY = 1e-30

Floats = NDArray[np.float64]
Turns = NDArray[np.complex64]


@dataclass(frozen=True, slots=True, eq=False)
class FinePath:
    """Pitch of one note, some frames a window, and what each harmonic says of it."""

    times_s: Floats
    """Middle of what a frame hears, shape=(frames,) [s]."""
    hz: Floats
    """Pitch, shape=(frames,) [Hz]."""
    window_s: float
    """How much sound a frame hears [s]."""
    noise_cents: float
    """Standard deviation that noise and room give a frame [cents]."""
    apart_cents: Floats
    """What each harmonic says, against all of them, shape=(frames, harmonics) [cents]."""
    weights: Floats
    """How much each harmonic counts, one in all, shape=(harmonics,)."""
    sizes: NDArray[np.float32]
    """Amplitude of each harmonic, shape=(frames, harmonics)."""

    def cents_at(self, times_s: Floats, hz: float) -> Floats:
        """Pitch between the frames, on a smooth curve through them, shape=(n,) [cents].

        Args:
            times_s: moments between the first frame and the last, shape=(n,) [s].
            hz: what cents are counted from [Hz].
        """
        cents = self.cents_from(hz)
        if len(cents) < 4:
            return np.asarray(np.interp(times_s, self.times_s, cents), np.float64)
        slopes = np.gradient(cents, self.times_s)
        after = np.clip(np.searchsorted(self.times_s, times_s), 1, len(cents) - 1)
        before = after - 1
        step = self.times_s[after] - self.times_s[before]
        part = (times_s - self.times_s[before]) / step
        rise = cents[after] - cents[before]
        ends = slopes[before] * step, slopes[after] * step
        bent = part * (1 - part) * ((1 - part) * (ends[0] - rise) - part * (ends[1] - rise))
        smooth: Floats = cents[before] + part * rise + bent
        return smooth

    def cents_from(self, hz: float) -> Floats:
        """Pitch against a frequency, shape=(frames,) [cents].

        Args:
            hz: the frequency [Hz].
        """
        cents: Floats = _CENTS * np.log(self.hz / hz)
        return cents


@dataclass(frozen=True, slots=True, eq=False)
class _Joined:
    """One way of joining the harmonics: what is left beside the carrier, in periods a period."""

    middles: Floats
    """Middle of each frame [periods]."""
    left: Floats
    parts: Floats
    weights: Floats
    sizes: NDArray[np.float32]
    heard: float
    """How many periods a frame hears [periods]."""
    noise: float
    """Standard deviation of ``left`` from noise [1]."""


def fine_path(sound: Sound, start_s: float, stop_s: float, hz: float | PitchTrack) -> FinePath | None:
    """Follow the pitch of one note exactly.

    Frames lie closer than the window that they hear; all windows stay inside the stretch.

    Args:
        sound: the recording.
        start_s: from where; the note sounds already [s].
        stop_s: to where; the note still sounds [s].
        hz: its pitch to within a quarter tone; or the track, where it moves further [Hz].

    Returns:
        The path; None where the stretch is shorter than six periods, or the track hears nothing in it.
    """
    if not isinstance(hz, PitchTrack):
        near = path_of(harmonics_of(sound, start_s, stop_s, Carrier.steady(start_s, stop_s, hz)))
        # harmonics are free of each other only where the carrier is nearly right
        return near and path_of(harmonics_of(sound, start_s, stop_s, Carrier(near.times_s, near.hz)))
    inside = hz.hz[hz.frame_at(start_s) : hz.frame_at(stop_s) + 1]
    if not inside.any():
        return None
    carrier = carrier_of(hz, start_s, stop_s, float(np.median(inside[inside > 0])))
    return path_of(harmonics_of(sound, start_s, stop_s, carrier))


def carrier_of(
    track: PitchTrack, start_s: float, stop_s: float, hz: float, *, within_cents: float = 250.0
) -> Carrier:
    """Take a note's carrier from the track: what lies near its pitch, smoothed, gaps bridged.

    Args:
        track: the coarse track.
        start_s: start of the note [s].
        stop_s: end of the note [s].
        hz: its coarse pitch [Hz].
        within_cents: what is further away belongs to another note [cents].
    """
    first, last = track.frame_at(start_s), track.frame_at(stop_s) + 1
    times = track.start_s + track.step_s * np.arange(first, last, dtype=np.float64)
    frames = track.hz[first:last].astype(np.float64)
    near = np.abs(np.log2(np.maximum(frames, 1.0) / hz)) < within_cents / 1200.0
    if np.count_nonzero(near) < 3:
        return Carrier.steady(start_s, stop_s, hz)
    padded = np.pad(np.interp(times, times[near], frames[near]), 2, mode="edge")
    return Carrier(times, np.asarray(np.median(sliding_window_view(padded, 5), axis=1), np.float64))


def path_of(harmonics: Harmonics, *, longest_s: float = 0.060) -> FinePath | None:
    """Join the turns of all harmonics to one path.

    Args:
        harmonics: of one note.
        longest_s: longest window that noise may call for [s].

    Returns:
        The path; None where there are fewer than six periods.
    """
    periods, count = harmonics.turns.shape
    if periods < 2 * _LEAST_PERIODS or count < 1:
        return None
    hz = float(np.median(harmonics.hz))
    first = _common_turn(harmonics.turns, max(_FIRST_PERIODS, round(_FIRST_S * hz)))
    most = periods // 2
    window = min(max(_LEAST_PERIODS, round(_SHORTEST_S * hz)), most)
    joined = _joined(_stilled(harmonics.turns, first), window)
    # noise falls as the window to the power of three halves
    wanted = window * (_CENTS * joined.noise / _NOISE_CENTS) ** (2 / 3)
    longer = min(round(wanted), round(longest_s * hz), most)
    if longer > 1.2 * window:
        joined = _joined(_stilled(harmonics.turns, first), longer)
    else:
        # again around what was found: a window smooths only what is left
        for _ in range(1 + (joined.heard > _SLOW_S * hz)):
            first = first + np.interp(np.arange(periods), joined.middles, joined.left)
            joined = _joined(_stilled(harmonics.turns, first), window)
    rows = np.arange(periods)
    carrier = np.interp(joined.middles, rows, harmonics.hz * (1.0 + first))
    return FinePath(
        times_s=np.interp(joined.middles, rows, harmonics.middles_s),
        hz=carrier * (1.0 + joined.left),
        window_s=joined.heard / hz,
        noise_cents=_CENTS * joined.noise,
        apart_cents=_CENTS * (joined.parts - joined.left[:, None]),
        weights=joined.weights,
        sizes=joined.sizes,
    )


def _stilled(turns: Turns, turn: Floats) -> Turns:
    """Take a common turn, in periods a period, out of all harmonics."""
    passed = (np.cumsum(turn) - 0.5 * turn).astype(np.float32)
    orders = np.arange(1, turns.shape[1] + 1, dtype=np.float32)
    wheel: Turns = np.exp(np.complex64(-2j * np.pi) * passed[:, None] * orders)
    return turns * wheel


def _common_turn(turns: Turns, window: int) -> Floats:
    """How far the low harmonics turn beside the carrier, in periods of the first a period; shape=(periods,)."""
    few = turns[:, :_FIRST_HARMONICS]
    pairs = few[1:] * np.conj(few[:-1])
    pairs = np.concatenate((pairs[:1], pairs, pairs[-1:]))
    half = min(window, len(pairs) - 1) // 2
    padded = np.concatenate((pairs[half:0:-1], pairs, pairs[-2 : -2 - half : -1]))
    smooth = _smoothed(padded, 2 * half + 1, 1)
    smooth = 0.5 * (smooth[1:] + smooth[:-1])
    orders = np.arange(1, few.shape[1] + 1)
    trust = np.abs(smooth).astype(np.float64) * orders**2
    parts = np.angle(smooth) / (2 * np.pi * orders)
    turn: Floats = (trust * parts).sum(axis=1) / np.maximum(trust.sum(axis=1), _TINY)
    return turn


def _joined(still: Turns, window: int) -> _Joined:
    """Join the harmonics with a window of some periods."""
    orders = np.arange(1, still.shape[1] + 1)
    hop = max(1, window // 8)
    smooth = _smoothed(still, window, hop)
    lag = min(max(1, window // (2 * hop)), len(smooth) - 1)
    pairs = smooth[lag:] * np.conj(smooth[:-lag])
    parts = np.angle(pairs).astype(np.float64) / (2 * np.pi * orders * lag * hop)
    sizes = np.sqrt(np.abs(pairs))
    weights, noise = _weights(parts, sizes, orders, span=lag * hop)
    middles = hop * np.arange(len(pairs), dtype=np.float64) + 0.5 * (window - 1) + 0.5 * hop * lag
    return _Joined(middles, parts @ weights, parts, weights, sizes, float(window + lag * hop), noise)


def _weights(
    parts: Floats, sizes: NDArray[np.float32], orders: NDArray[np.intp], *, span: int
) -> tuple[Floats, float]:
    """How much each harmonic counts: by the inverse of how far it strays; and the noise of all together."""
    floor = (_FLOOR_CENTS / _CENTS) ** 2
    weights = np.mean(sizes.astype(np.float64) ** 2, axis=0) * orders**2
    weights /= max(weights.sum(), _TINY)
    spread = np.full(len(weights), floor)
    for _ in range(_ROUNDS):
        stray = parts - (parts @ weights)[:, None]
        # a harmonic that rules the mean strays little from it: give back what it took
        spread = np.mean(stray**2, axis=0) / np.maximum(1.0 - weights, 0.3) ** 2
        # a phase that strays by much of a turn now and then slips a whole one, which no mean makes good
        slips = (2 * np.pi * span * orders) ** 2 * spread / _SLIPPING**2
        weights = 1.0 / ((spread + floor) * (1.0 + slips**2))
        weights /= weights.sum()
    return weights, float(np.sqrt(np.sum(weights**2 * spread)))


def _smoothed(turns: Turns, window: int, hop: int) -> Turns:
    """Mean over a window of periods, one row every ``hop`` periods."""
    shape = np.hanning(window + 2)[1:-1]
    rows = (len(turns) - window) // hop + 1
    smooth = np.zeros((rows, turns.shape[1]), np.complex64)
    for place, share in enumerate((shape / shape.sum()).tolist()):
        smooth += np.float32(share) * turns[place : place + (rows - 1) * hop + 1 : hop]
    return smooth
