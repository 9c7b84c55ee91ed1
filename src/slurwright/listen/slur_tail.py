"""What does the room still hold of the note that was left? It is found under the new note and taken out.

Once the new note has settled, the sound is its harmonics, growing as the room fills, and the old note's, dying. A
harmonic's tail is a sum of ever later echoes, so it does not die evenly: it is a walk whose steps, seen from its end,
have variances that fall with the room's decay (a random impulse response under an exponential, after Moorer, Computer
Music Journal 3/2 (1979)). With that as prior all tails are found by one least-squares fit, and followed back to the
moment when the old note was left; before it, they are a steady part of the old note.
"""

from dataclasses import dataclass

import numpy as np
import scipy.fft
import scipy.linalg
from numpy.typing import NDArray

from slurwright.listen.slur_sound import SlurSound

__all__ = ["Answer", "without_tail"]

Real = NDArray[np.float64]
Complex = NDArray[np.complex128]

_KNOTS_S = np.array([0.0, 0.012, 0.028, 0.05, 0.08, 0.12, 0.18, 0.26])
_NEW_KNOTS_S = np.array([0.0, 0.03, 0.07, 0.13, 0.21])
_BEFORE_S = 0.09
_AFTER_S = 0.2
_LEAST_S = 0.05
_MOST_HARMONICS = 12
_MOST_FOLLOWED = 8
_PIECE_S = 0.018
_NOISY, _PROPER = 10.0**-2.6, 10.0**-3.8
"""Of a note so much is not harmonic at all, or moves: a first guess, and the least."""
_LEFT = 3.0
"""What is left over errs alike at neighbouring moments, so that it weighs more than as noise."""
_WANDER = 0.05
"""The new note's harmonics change by so much from knot to knot, room apart."""


@dataclass(frozen=True, slots=True)
class Answer:
    """The room in two numbers."""

    decay_s: float
    """Time in which the sound falls by 60 dB [s]."""
    share: float
    """Power that the room adds, against what comes straight [1]."""


def without_tail(
    sound: SlurSound, answer: Answer, *, first_hz: float, second_hz: Real, left_s: float, reached_s: float
) -> SlurSound:
    """Take the old note's tail out of a slur; unchanged where the new note is too short to tell.

    Args:
        sound: around a slur.
        answer: the room's.
        first_hz: pitch that is left [Hz].
        second_hz: pitch at each sample, from the second note on, shape=(n,) [Hz].
        left_s: when the old note is left [s].
        reached_s: when the new note stands [s].
    """
    top = sound.rate_hz / 4.95
    signal, rate = _one_sided(sound, top)
    clock = np.arange(len(signal)) / rate
    times = clock + sound.start_s
    here = (times >= reached_s) & (times < reached_s + _AFTER_S)
    before = (times >= left_s - _BEFORE_S) & (times < left_s)
    if here.sum() < _LEAST_S * rate or before.sum() < 2.0 * rate / first_hz:
        return sound
    told = np.interp(clock, np.arange(len(second_hz)) / sound.rate_hz, second_hz)
    settled_hz = float(told[here][-1])
    old, new = _orders(first_hz, top), _orders(settled_hz, top)
    old_cycles = _followed(signal[before], times[before] - left_s, first_hz * (times[before] - left_s), old)
    slope = np.polyfit(times[before] - left_s, old_cycles, 1)[0]
    first_hz = float(np.clip(slope, 0.99 * first_hz, 1.01 * first_hz))
    size = _sizes(signal[before], times[before], old * first_hz)
    since = times[here] - left_s
    steps, variances = _walk(since, answer)
    fresh = _ramps(times[here] - reached_s)
    old_waves = np.exp(2j * np.pi * first_hz * np.outer(since, old))
    cycles = _followed(signal[here], since, np.cumsum(told[here]) / rate, new)
    new_waves = np.exp(2j * np.pi * np.outer(cycles, new))
    columns = np.concatenate(
        (
            (old_waves[:, :, None] * steps[:, None, :]).reshape(len(since), -1),
            (new_waves[:, :, None] * fresh[:, None, :]).reshape(len(since), -1),
        ),
        axis=1,
    )
    power = float(np.mean(np.abs(signal[here]) ** 2))
    share = answer.share / (1.0 + answer.share)
    tail_prior = (share * np.square(size)[:, None] * variances[None, :]).ravel()
    new_prior = np.full(fresh.shape[1], answer.share + _WANDER**2)
    new_prior[0] = 4.0
    spread = power / max(1, len(new))
    priors = np.concatenate((tail_prior, np.tile(new_prior, len(new)) * spread)) + 1e-12 * power
    found = _fit(columns, signal[here], priors)
    tail = found[: len(tail_prior)].reshape(len(old), -1)
    return SlurSound(sound.samples - _sounded(sound, tail, old * first_hz, left_s), sound.rate_hz, sound.start_s)


def _orders(hz: float, top_hz: float) -> Real:
    return np.arange(1.0, min(_MOST_HARMONICS, max(1.0, top_hz // hz)) + 1.0)


def _one_sided(sound: SlurSound, top_hz: float) -> tuple[Complex, float]:
    """The sound's positive frequencies alone, at the lowest rate that holds them."""
    count = scipy.fft.next_fast_len(len(sound.samples))
    spectrum = scipy.fft.fft(sound.samples, n=count)
    kept = scipy.fft.next_fast_len(min(count, int(1.15 * top_hz * count / sound.rate_hz) + 1))
    short = np.zeros(kept, complex)
    short[: min(kept, count // 2)] = 2.0 * spectrum[: min(kept, count // 2)]
    rate = kept * sound.rate_hz / count
    signal = scipy.fft.ifft(short) * (kept / count)
    return signal[: int(len(sound.samples) * rate / sound.rate_hz)], rate


def _followed(signal: Complex, since: Real, cycles: Real, orders: Real) -> Real:
    """Correct a note's cycles by what its own harmonics say, as a cubic over the stretch; shape as ``cycles``."""
    orders = orders[:_MOST_FOLLOWED]
    for count in (3, len(orders)):
        waves = np.exp(-2j * np.pi * np.outer(cycles, orders[:count]))
        pieces = max(4, int(since[-1] / _PIECE_S - since[0] / _PIECE_S))
        cuts = np.linspace(0, len(since), pieces + 1).astype(int)
        turned = np.add.reduceat(signal[:, None] * waves, cuts[:-1], axis=0)
        pairs = turned[1:] * turned[:-1].conj()
        trust = np.abs(pairs) * np.square(orders[:count])
        step = (trust * np.angle(pairs) / (2 * np.pi * orders[:count])).sum(axis=1) / (trust.sum(axis=1) + 1e-30)
        middles = 0.5 * (since[cuts[:-1]] + since[cuts[1:] - 1])
        drift = np.concatenate(([0.0], np.cumsum(step)))
        weight = np.sqrt(np.abs(turned).sum(axis=1)) + 1e-30
        centre = since.mean()
        curve = np.polyfit(middles - centre, drift, min(3, pieces - 2), w=weight)
        cycles = cycles + np.polyval(curve, since - centre)
    return cycles


def _sizes(signal: Complex, times: Real, hz: Real) -> Real:
    """Size of each harmonic of a steady note."""
    waves = np.exp(2j * np.pi * np.outer(times, hz))
    found = np.linalg.lstsq(waves, signal, rcond=None)[0]
    return np.asarray(np.abs(found))


def _walk(since: Real, answer: Answer) -> tuple[Real, Real]:
    """Steps of a tail, each 1 until one knot and 0 from the next, and their variances."""
    starts, stops = _KNOTS_S[:-1], _KNOTS_S[1:]
    steps = np.clip((stops - since[:, None]) / (stops - starts), 0.0, 1.0)
    left = np.exp(-13.8155 * _KNOTS_S / answer.decay_s)
    return steps, left[:-1] - left[1:]


def _ramps(since: Real) -> Real:
    """A constant, and ramps that start at one knot and stay from the next."""
    starts, stops = _NEW_KNOTS_S[:-1], _NEW_KNOTS_S[1:]
    ramps = np.clip((since[:, None] - starts) / (stops - starts), 0.0, 1.0)
    return np.concatenate((np.ones((len(since), 1)), ramps), axis=1)


def _fit(columns: Complex, signal: Complex, priors: Real) -> Complex:
    """Find what is likeliest under the priors; how noisy the sound is shows in what is left over."""
    spread = np.sqrt(priors)
    gram = (columns.conj().T @ columns) * spread * spread[:, None]
    seen = (columns.conj().T @ signal) * spread
    power = float(np.mean(np.abs(signal) ** 2))
    noise = power * _NOISY
    found = np.zeros_like(seen)
    for _ in range(3):
        ridged = gram.copy()
        ridged[np.diag_indices_from(ridged)] += noise
        found = scipy.linalg.solve(ridged, seen, assume_a="pos", check_finite=False) * spread
        left = float(np.mean(np.abs(signal - columns @ found) ** 2))
        noise = max(_LEFT * left, power * _PROPER)
    return np.asarray(found)


def _sounded(sound: SlurSound, tail: Complex, hz: Real, left_s: float) -> Real:
    """The tail as it sounds; steady before the old note was left."""
    since = np.arange(len(sound.samples)) / sound.rate_hz + sound.start_s - left_s
    starts, stops = _KNOTS_S[:-1], _KNOTS_S[1:]
    steps = np.clip((stops - since[:, None]) / (stops - starts), 0.0, 1.0)
    wheel = np.exp(2j * np.pi * hz[0] * since)
    turn, total = np.ones_like(wheel), np.zeros(len(since))
    for row in tail:
        turn = turn * wheel
        total += (turn * (steps @ row)).real
    return total
