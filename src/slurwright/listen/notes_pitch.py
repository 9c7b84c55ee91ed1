"""Which pitch does a note have, and how surely is that known.

The interval is for the pitch that sounded: a player's wander is no error of it, and is told by itself. What widens
it: how far the harmonics disagree about the whole note (noise, the room), how much the median depends on what a
window smooths away, a share of the wander, which the room's echo mixes up and the ends of the note cut, and of a
vibrato that a short note hides. The clock of the recording device is not in it: some ten parts in a million, 0.02
cents.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from slurwright.listen.figure import Figure
from slurwright.listen.notes_vibrato import Wave, wave_in
from slurwright.listen.refining import FinePath

__all__ = ["Pitch", "Steady", "pitch_of", "steady_of"]

_GRID_S = 0.002

# Shares of what makes a median uncertain. Derived: likeliest values for the errors on some thousand made-up notes, in
# rooms and out of them, steady and unsteady, with vibrato and without.
_HALF = 1.95
_SHORT_S = 0.12
_FLOOR_CENTS = 0.0002
_APART = 0.15
_SMOOTHED = 0.08
_WANDER, _WANDER_NOISY, _NOISY_CENTS = 0.045, 0.065, 0.3
_BLIND = 0.03
_WILD, _WILD_CENTS, _WILD_S = 0.12, 2.5, 0.2
_HINT = 0.012
_WAVE, _WAVE_S = 0.27, 0.1
_LINE_APART = 0.6
_NOISE_SHARE = (0.42, 0.55)
"""From which noise's part in the spread of a path the note counts as steady, and wholly so."""

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Pitch:
    """A note's pitch and how surely it is known."""

    cents: float
    half_cents: float
    """Half the interval that holds the truth nine times in ten [cents]."""

    def against(self, more_cents: float) -> Figure:
        """Give the pitch against another target.

        Args:
            more_cents: how much higher what was counted from lies than the target [cents].
        """
        value = self.cents + more_cents
        return Figure(value, value - self.half_cents, value + self.half_cents)


@dataclass(frozen=True, slots=True, eq=False)
class Steady:
    """The steady part of a note's path, on an even grid."""

    times_s: Floats
    cents: Floats
    """Against the pitch that was asked for, vibrato and all [cents]."""
    wave: Wave | None
    rest: Floats
    """Without the vibrato [cents]."""
    line_cents: float
    """Pitch by a straight line through the phase, vibrato taken out [cents]."""
    apart: Floats
    """How far each harmonic is off over the whole stretch, shape=(harmonics,) [cents]."""
    apart_line: Floats
    """The same, by the slope of its phase."""
    weights: Floats
    noise_cents: float
    """Of one frame [cents]."""
    window_s: float

    @property
    def length_s(self) -> float:
        """How long it is [s]."""
        return float(self.times_s[-1] - self.times_s[0])


def steady_of(path: FinePath, span_s: tuple[float, float], hz: float) -> Steady | None:
    """Take the steady part out of a path.

    Args:
        path: of the note.
        span_s: from when to when [s].
        hz: what cents are counted from [Hz].

    Returns:
        The part; None where less than two frames of the path lie in the span.
    """
    inside = (path.times_s >= span_s[0]) & (path.times_s <= span_s[1])
    if np.count_nonzero(inside) < 2:
        return None
    start, stop = max(span_s[0], path.times_s[0]), min(span_s[1], path.times_s[-1])
    times = np.linspace(start, stop, max(2, round((stop - start) / _GRID_S) + 1))
    cents = path.cents_at(times, hz)
    wave = wave_in(times, cents, window_s=path.window_s)
    line = _line_weights(int(np.count_nonzero(inside)))
    frames = path.cents_from(hz)[inside]
    if wave:
        frames = frames - np.interp(path.times_s[inside], times, wave.cents)
    return Steady(
        times_s=times,
        cents=cents,
        wave=wave,
        rest=cents - wave.cents if wave else cents,
        line_cents=float(line @ frames),
        apart=np.asarray(path.apart_cents[inside].mean(axis=0), np.float64),
        apart_line=line @ path.apart_cents[inside],
        weights=path.weights,
        noise_cents=path.noise_cents,
        window_s=path.window_s,
    )


def pitch_of(steady: Steady) -> Pitch:
    """Find a note's pitch, and the half of its nine-in-ten interval.

    Where the path shows nothing but noise, the note is steady: then all of it tells one pitch, the middle most, as in
    a straight line through its phase. Where the pitch wanders, its median is wanted.

    Args:
        steady: its steady part.
    """
    line = _line_share(steady)
    pitch = line * steady.line_cents + (1.0 - line) * float(np.median(steady.rest))
    variance = (
        line**2 * _line_variance(steady) + (1.0 - line) ** 2 * _median_variance(steady) + _wave_variance(steady)
    )
    return Pitch(pitch, float(_HALF * np.sqrt(variance * (1.0 + _SHORT_S / max(steady.length_s, _GRID_S)))))


def _line_share(steady: Steady) -> float:
    """How much the line counts against the median."""
    noise_share = steady.noise_cents / max(float(steady.rest.std()), 1e-9)
    return float(np.clip((noise_share - _NOISE_SHARE[0]) / (_NOISE_SHARE[1] - _NOISE_SHARE[0]), 0.0, 1.0))


def _line_weights(count: int) -> Floats:
    """Weights of a path that make its mean the slope of a line through the phase; one in all."""
    along = (np.arange(count) + 0.5) / count
    weights = along * (1.0 - along)
    return np.asarray(weights / weights.sum(), np.float64)


def _line_variance(steady: Steady) -> float:
    """How far the line may be off [cents²]."""
    return _FLOOR_CENTS**2 + _LINE_APART * _disagreement(steady.apart_line, steady.weights)


def _median_variance(steady: Steady) -> float:
    """How far the median may be off [cents²]."""
    heard = min(1.0, steady.window_s / max(steady.length_s, _GRID_S))
    variance = _FLOOR_CENTS**2
    variance += _APART * _disagreement(steady.apart, steady.weights)
    variance += _SMOOTHED * _lost_by_smoothing(steady) ** 2
    # where a room mixes up what the player does, the harmonics disagree from frame to frame
    mixed = _WANDER + _WANDER_NOISY * min(1.0, steady.noise_cents / _NOISY_CENTS)
    variance += mixed * float(steady.rest.var()) * heard
    # motion that a note hardly longer than the window cannot show
    return variance + _BLIND * heard**4


def _wave_variance(steady: Steady) -> float:
    """How far a vibrato, seen or unseen, may have led astray [cents²]."""
    length = max(steady.length_s, _GRID_S)
    spread = float(steady.rest.std())
    if steady.wave is None:
        # too wild for a wander, too short to see a vibrato
        return _WILD * max(0.0, spread - _WILD_CENTS) ** 2 * float(np.exp(-length / _WILD_S))
    if steady.wave.vibrato is None:
        return _HINT * (steady.wave.extent_cents / steady.wave.cycles) ** 2
    return _WAVE * (spread * _WAVE_S / length) ** 2


def _disagreement(apart: Floats, weights: Floats) -> float:
    """Variance of the weighted mean, from how far each harmonic is off over the whole stretch [cents²]."""
    count = 1.0 / float(np.sum(weights**2))
    own = weights * apart / np.maximum(1.0 - weights, 0.2)
    return float(np.sum(own**2)) * (1.0 + 2.0 / max(count - 1.0, 0.5))


def _lost_by_smoothing(steady: Steady) -> float:
    """How much the median moves when the path is smoothed by two windows more [cents]."""
    count = len(steady.rest)
    width = min(round(2 * steady.window_s / steady.length_s * (count - 1)), count // 2) if steady.length_s else 0
    if width < 2:
        return 0.0
    sums = np.cumsum(np.concatenate(([0.0], steady.rest)))
    return float(np.median((sums[width:] - sums[:-width]) / width) - np.median(steady.rest))
