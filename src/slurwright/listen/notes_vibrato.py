"""Is there a vibrato in a pitch path, how fast and how wide; and what is the path without it.

A wave of one rate is fitted, its size and phase free to change slowly. It is called a vibrato only where a single
steady sine explains so much of the path that the wander of an unsteady player would hardly ever do so: the shorter
the note, the more it must explain, for in few cycles anything looks like a wave. A wide wave of which a short note
holds less than that is taken out of the path all the same, and nothing is said of it.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from slurwright.listen.figure import NINE_IN_TEN, Figure
from slurwright.listen.measures import Vibrato

__all__ = ["Wave", "wave_in"]

_RATES_HZ = (3.8, 8.5)
_RATE_STEP_HZ = 0.1
_SEARCH_S = 0.01
"""Step of the path while a wave is looked for: a tenth of its shortest cycle."""
_LEAST_CYCLES = 2.5
_HINTED_CYCLES = 1.2
"""From here a wide wave is taken out."""
_LEAST_CENTS = 2.5
"""A narrower wave is not heard as a vibrato. Common practice."""
_WANDER_CENTS = (5.0, 9.0)
"""A wave that a wander of 4 cents hardly ever makes up, and one that it never does."""
_FREE_HZ = 1.2
"""How quickly the wave may change its size."""
_THERE = 0.7
_UNEVEN, _FEW = 0.04, 0.25
"""How much of a wave's width the room makes uncertain, and how much it does that the wave comes and goes: that, over
the number of cycles."""
_NARROWER = 0.25
"""How much the windows of a path narrow a wave of one cycle a window. Derived: measured on made-up tones."""

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True, eq=False)
class Wave:
    """A wave that was found."""

    vibrato: Vibrato | None
    """None where the note holds too little of it to tell."""
    cents: Floats
    """The wave itself, centred; shape=(moments,) [cents]."""
    extent_cents: float
    cycles: float
    """How many cycles the note holds."""


def wave_in(times_s: Floats, cents: Floats, *, window_s: float = 0.0) -> Wave | None:
    """Find a wave in a path.

    Args:
        times_s: moments at equal steps, shape=(n,) [s].
        cents: pitch, shape=(n,) [cents].
        window_s: how much sound a frame of the path heard, which makes a wave narrower [s].

    Returns:
        The wave; None where there is none.
    """
    times = times_s - times_s[0]
    length = float(times[-1])
    if length * _RATES_HZ[1] < _HINTED_CYCLES:
        return None
    trend = np.linalg.qr(_trend(times))[0]
    flat = cents - trend @ (trend.T @ cents)
    step = min(_RATE_STEP_HZ, 0.25 / length)
    rates = np.arange(max(_RATES_HZ[0], _HINTED_CYCLES / length), _RATES_HZ[1], step)
    every = max(1, int(_SEARCH_S / (times[1] - times[0])))
    share, rate = _best_rate(times[::every], flat[::every], rates, trend[::every] * np.sqrt(every))
    extent = float(np.sqrt(2 * share) * flat.std())
    cycles = rate * length
    if extent < _LEAST_CENTS or share < _least_share(length, extent):
        return None
    if cycles < _LEAST_CYCLES:
        return _hint(times, cents, rate) if extent > _WANDER_CENTS[0] else None
    return _wave(times, cents, rate, window_s)


def _trend(times: Floats) -> Floats:
    """What a path may do beside the wave: stand, slope, and in a longer note bend."""
    along = times / times[-1] - 0.5
    columns = [np.ones_like(along), along]
    if times[-1] * _RATES_HZ[0] > _LEAST_CYCLES:
        columns.append(along**2)
    return np.stack(columns, axis=1)


def _least_share(length_s: float, extent: float) -> float:
    """How much of the path's variance a sine must explain; less where it is wider than any wander."""
    # Derived: wander up to 4 Hz reaches the first figure in one of five hundred notes
    plain = float(np.clip(0.12 + 0.97 / length_s, 0.33, 0.91))
    wide = float(np.clip((extent - _WANDER_CENTS[0]) / (_WANDER_CENTS[1] - _WANDER_CENTS[0]), 0.0, 1.0))
    return plain * (1.0 - 0.4 * wide)


def _best_rate(times: Floats, flat: Floats, rates: Floats, trend: Floats) -> tuple[float, float]:
    """Share of the variance that the best sine explains beside the trend, and its rate, between the steps."""
    power = float(flat @ flat)
    if not len(rates) or power <= 0:
        return 0.0, 0.0
    turn = 2 * np.pi * rates[:, None] * times
    cosine, sine = (wave - (wave @ trend) @ trend.T for wave in (np.cos(turn), np.sin(turn)))
    cc, ss, cs = (cosine**2).sum(1), (sine**2).sum(1), (cosine * sine).sum(1)
    yc, ys = cosine @ flat, sine @ flat
    share = (yc * yc * ss - 2 * yc * ys * cs + ys * ys * cc) / np.maximum(cc * ss - cs * cs, 1e-9) / power
    best = int(np.argmax(share))
    rate = float(rates[best])
    if 0 < best < len(rates) - 1:
        before, at, after = share[best - 1 : best + 2]
        bend = before - 2 * at + after
        rate += (
            float(rates[1] - rates[0]) * float(np.clip(0.5 * (before - after) / bend, -0.5, 0.5)) if bend < 0 else 0.0
        )
    return float(share[best]), rate


def _hint(times: Floats, cents: Floats, rate: float) -> Wave:
    """Take a wave out of which there is too little to tell."""
    turn = np.exp(2j * np.pi * rate * times)
    answer, _ = _solved(_trend(times), np.ones((len(times), 1)), turn, cents)
    return Wave(None, (answer * turn).real, float(np.median(np.abs(answer))), rate * float(times[-1]))


def _wave(times: Floats, cents: Floats, rate: float, window_s: float) -> Wave:
    """Fit the wave with slowly changing size and phase."""
    length = float(times[-1])
    slow = np.cos(np.pi * np.arange(1 + max(1, round(2 * _FREE_HZ * length)))[:, None] * times / length).T
    turn = np.exp(2j * np.pi * rate * times)
    swing, rest = _solved(_trend(times), slow, turn, cents)
    size = np.abs(swing)
    # a vibrato that sets in late, or dies before the end, is as wide as where it is there
    extent = float(np.median(size[size > _THERE * size.max()]))
    lost = min(0.5, _NARROWER * (rate * window_s) ** 2.2)
    extent /= 1.0 - lost
    noise = _density(times, rest, rate)
    cycles = rate * length
    extent_sd = float(np.hypot(np.sqrt(2 * noise / length), (_UNEVEN + _FEW / cycles + 0.5 * lost) * extent))
    slope = float(np.polyfit(times, np.unwrap(np.angle(swing)), 1, w=np.abs(swing))[0])
    rate_sd = float(np.sqrt(6 * noise / length) / (np.pi * extent * length)) + _FEW / cycles**2
    vibrato = Vibrato(_figure(rate + slope / (2 * np.pi), rate_sd), _figure(extent, extent_sd))
    return Wave(vibrato, (swing * turn).real, extent, cycles)


def _solved(
    trend: Floats, slow: Floats, turn: NDArray[np.complex128], cents: Floats
) -> tuple[NDArray[np.complex128], Floats]:
    """Fit trend and wave together: the wave's size and phase over time, and what is left."""
    design = np.concatenate((trend, slow * turn.real[:, None], slow * turn.imag[:, None]), axis=1)
    answer = np.linalg.lstsq(design, cents, rcond=None)[0]
    cosine, sine = np.split(answer[trend.shape[1] :], 2)
    return slow @ cosine - 1j * (slow @ sine), cents - design @ answer


def _density(times: Floats, rest: Floats, rate: float) -> float:
    """Power a hertz of what is no vibrato, around its rate, two-sided [cents²/Hz]."""
    near = np.linspace(max(1.0, rate - 3.0), rate + 3.0, 25)
    turn = np.exp(-2j * np.pi * near[:, None] * times)
    power = np.abs(turn @ rest) ** 2 * (times[1] - times[0]) ** 2 / float(times[-1])
    return float(np.mean(power))


def _figure(value: float, sd: float) -> Figure:
    return Figure(value, value - NINE_IN_TEN * sd, value + NINE_IN_TEN * sd)
