"""How deep is the dip of a slur, how long, and is there silence? Every candidate dip is weighed by how well it fits.

The level is taken along the path of the pitch: of the sound half a period before a moment and half a period after it
only what they have in common counts, so that noise and what the room adds count little. Against it stand dips of
three shapes (round, flat, and holes with steep sides), each as that measure would see it: blurred over a period and
partly filled by what is left of the room.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from slurwright.listen.slur_sound import SlurSound, running_mean

__all__ = ["DipFit", "fit_dip"]

Real = NDArray[np.float64]

_STEP_S = 0.003
_BACK_S, _AHEAD_S = 0.16, 0.14
_FLOOR_DB = 32.0
_MARGIN_S = 0.015
_OFFSETS = (-8, -6, -4, -2, -1, 0, 1, 2, 4, 6, 8)
"""Middle of a dip against that of the transition [steps]."""
_FAR_OFFSETS = (-40, -34, -28, -24, -20, -16, -12, 12, 16, 20, 24, 28)
"""The same of a hole: where nothing sounds, the path may change at any moment."""
_ROUND_DB = (0.0, 0.7, 1.5, 2.5, 3.5, 5.0, 6.5, 8.0, 10.0, 12.0, 14.5, 17.5, 21.0)
_ROUND_S = (0.03, 0.045, 0.06, 0.08, 0.1, 0.125)
_FLAT_DB = (3.5, 5.0, 6.5, 8.0, 10.0, 13.0, 17.0, 22.0)
_FLAT_S = (0.03, 0.04, 0.06, 0.085, 0.115, 0.15)
_HOLE_S = (0.03, 0.045, 0.065, 0.09, 0.12, 0.16, 0.2)
_HOLE_DB, _EDGE_S = 50.0, 0.012
_FILLS = (0.05, 0.2, 0.6, 1.2)
"""Part of what the room adds that is heard in a dip after all."""
_LOOK_S = 0.012
_LEAST_DB = 0.25


@dataclass(frozen=True, slots=True, eq=False)
class DipFit:
    """Candidate dips with their weights; all arrays have shape=(dips,)."""

    weight: Real
    depth_db: Real
    length_s: Real
    """More than 3 dB down [s]."""
    silence_s: Real
    """More than 20 dB down [s]."""
    misfit_db: float
    """How far the best candidate lies off, root mean square [dB]."""


def fit_dip(
    sound: SlurSound, lag_s: Real, *, left_s: float, reached_s: float, decay_s: float, share: float
) -> DipFit:
    """Weigh the dips that a slur may have.

    Args:
        sound: around the slur, the old note's tail taken out.
        lag_s: period at each sample, shape=(n,) [s].
        left_s: when the old note is left [s].
        reached_s: when the new note is reached [s].
        decay_s: the room's decay [s].
        share: power that the room adds, against what comes straight [1].
    """
    middle = 0.5 * (left_s + reached_s)
    times = np.arange(-_BACK_S - 0.5 * (reached_s - left_s), _AHEAD_S + 0.5 * (reached_s - left_s), _STEP_S)
    period = float(np.median(lag_s))
    clock = sound.start_s + np.arange(len(sound.samples)) / sound.rate_hz
    inside = (middle + times > clock[0] + period) & (middle + times < clock[-1] - period)
    times = times[inside]
    seen = np.interp(middle + times, clock, _common_db(sound, lag_s, period))
    curves, depth, length, silence = _candidates(times, period, decay_s=decay_s, share=share)
    edge = 0.5 * (reached_s - left_s) + _MARGIN_S
    ramp = np.clip((times + edge) / (2.0 * edge), 0.0, 1.0)
    base = np.stack((1.0 - ramp, ramp))
    # single precision is a thousandth of a decibel here, and takes half the time
    off = (np.maximum(seen, seen.max() - _FLOOR_DB)[None, :] - curves).astype(np.float32)
    base = base.astype(np.float32)
    off -= (off @ np.linalg.pinv(base)) @ base
    np.clip(off, -6.0, 6.0, out=off)
    misfit = np.einsum("ij,ij->i", off, off) / off.shape[1]
    looks = len(times) * _STEP_S / max(_LOOK_S, period)
    log = -0.5 * looks * np.log(misfit.astype(np.float64) + _LEAST_DB**2)
    weight = np.exp(log - log.max())
    return DipFit(weight / weight.sum(), depth, length, silence, float(np.sqrt(misfit.min())))


def _common_db(sound: SlurSound, lag_s: Real, period: float) -> Real:
    """Level of what the sound half a period before has in common with that half a period after [dB]."""
    count = len(sound.samples)
    half = 0.5 * lag_s * sound.rate_hz
    at = np.arange(count, dtype=np.float64)
    before = np.interp(at - half, at, sound.samples)
    after = np.interp(at + half, at, sound.samples)
    common = running_mean(before * after, max(1, round(period * sound.rate_hz)))
    return np.asarray(10.0 * np.log10(np.maximum(common, 1e-4 * common.max()) + 1e-20))


def _candidates(times: Real, period: float, *, decay_s: float, share: float) -> tuple[Real, Real, Real, Real]:
    """Dips as they would be seen, shape=(dips, moments) [dB], with depth, length and silence of each."""
    pad = int(np.ceil((max(_HOLE_S) + 2.0 * period) / _STEP_S)) + max(_FAR_OFFSETS)
    grid = times[0] + _STEP_S * np.arange(-pad, len(times) + pad)
    down = _shapes(grid)
    power = 10.0 ** (-down / 10.0)
    echoed = _echoed(power, decay_s) if share > 0 else power
    seen = []
    for fill in _FILLS if share > 0 else _FILLS[:1]:
        filled = (power + fill * share * echoed) / (1.0 + fill * share)
        blurred = np.maximum(10.0 * np.log10(_blurred(filled, period) + 1e-6), -_FLOOR_DB)
        seen += [blurred[:, pad - off : pad - off + len(times)] for off in _OFFSETS]
        holes = blurred[-len(_HOLE_S) :]
        seen += [holes[:, pad - off : pad - off + len(times)] for off in _FAR_OFFSETS]
    lengths = (_STEP_S * (down > limit).sum(axis=1) for limit in (3.0, 20.0))
    depth, length, silence = (
        np.concatenate([values[-len(rows) :] for rows in seen]) for values in (down.max(axis=1), *lengths)
    )
    return np.concatenate(seen), depth, length, silence


def _shapes(grid: Real) -> Real:
    """Every shape around 0, shape=(dips, moments) [dB]."""
    away = np.abs(grid)
    rows = []
    for width in _ROUND_S:
        shape = np.where(away < width / 2, 0.5 + 0.5 * np.cos(2.0 * np.pi * away / width), 0.0)
        rows.append(np.outer(_ROUND_DB, shape))
    for width in _FLAT_S:
        along = np.clip((width / 2 - away) / (width / 4), 0.0, 1.0)
        rows.append(np.outer(_FLAT_DB, 0.5 - 0.5 * np.cos(np.pi * along)))
    for width in _HOLE_S:
        edge = min(_EDGE_S, 0.6 * width)
        along = np.clip((width / 2 + 0.4 * edge - away) / edge, 0.0, 1.0)
        rows.append(_HOLE_DB * (0.5 - 0.5 * np.cos(np.pi * along))[None, :])
    return np.concatenate(rows)


def _echoed(power: Real, decay_s: float) -> Real:
    """What the room sounds of a course of power: the mean over the past, weighed by the decay."""
    keep = np.exp(-13.8155 * _STEP_S / decay_s)
    out = np.empty_like(power)
    stored = power[:, 0].copy()
    for step in range(power.shape[1]):
        stored = keep * stored + (1.0 - keep) * power[:, step]
        out[:, step] = stored
    return out


def _blurred(power: Real, period: float) -> Real:
    """What two points a period apart have in common, meaned over a period."""
    half = round(0.5 * period / _STEP_S)
    rolled = np.sqrt(np.roll(power, half, axis=1) * np.roll(power, -half, axis=1))
    width = max(1, round(period / _STEP_S))
    total = np.cumsum(np.pad(rolled, ((0, 0), (width // 2 + 1, width - width // 2 - 1)), mode="edge"), axis=1)
    if width == 1:
        return rolled
    return np.asarray((total[:, width:] - total[:, :-width]) / width)[:, : power.shape[1]]
