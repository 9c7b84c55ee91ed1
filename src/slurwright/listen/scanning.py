"""Which marks do single samples bear: tops of waves that were cut off, and holes that a device left.

One channel at its own rate, block by block; nothing is kept but counts.

*Cut tops.* Near its top any wave is a parabola: one that stays within a share s of its peak for a width w comes there
with the slope 4 s / w. A wave that was cut off comes with a far steeper slope, whether the top is dead flat, rounded
by a limiter below full scale, or rippled by a codec. Tops that are dead flat count even where they are short. Only
tops close to the loudest count: a limit is the same for the whole recording.

*Holes.* At least 32 exact zeros with sound close by on both sides.
"""

from math import log10

import numpy as np
from numpy.typing import NDArray

from slurwright.listen.raw import RawLevels
from slurwright.listen.sound import Samples

__all__ = ["RawScan"]

_CHUNK_S = 0.04
"""The peak is taken over this long: at least a period of every note [s]."""
_TOP = 0.06
"""A top is what lies within this share of the peak."""
_WIDE_SAMPLES = 4
_STEEPER = 2.5
"""Slope of a cut top against that of a parabola."""
_EQUAL_SAMPLES = 3
_STEEP_STEPS = 6.0
"""Slope into a dead flat top, in steps of the converter; a slow wave rests on one step without being cut."""
_STEEP_SHARE = 0.01
"""And as a share of its level; noise, too, rests on one step at times."""
_SOFT = 0.02
"""Tops below this are not looked at: -34 dB against full scale."""
_LEAST_STEPS = 24.0
"""A wave of fewer steps has flat tops of its own."""
_LIMIT_BINS_DB = 0.25
_NEAR_LIMIT_DB = 1.0

_HOLE_SAMPLES = 32
_LONGEST_HOLE_S = 1.0
_AROUND_S = 0.005
_LOUD = 10 ** (-50 / 20)
_LOUD_STEPS = 8.0
_FINEST = 2.0**-15

_Places = NDArray[np.intp]


class RawScan:
    """Counts marks in one channel that comes in blocks."""

    def __init__(self, rate_hz: float, *, step: float = _FINEST) -> None:
        self._rate_hz = rate_hz
        self._step = max(step, _FINEST)
        self._chunk = max(64, round(_CHUNK_S * rate_hz))
        self._around = max(8, round(_AROUND_S * rate_hz))
        self._tail = np.zeros(0, np.float32)
        self._judged = 0
        self._seen = 0
        self._sum = 0.0
        self._low = np.inf
        self._high = -np.inf
        self._cut: dict[tuple[bool, int], tuple[int, int]] = {}
        self._lost = 0
        self._first_lost_s: float | None = None

    def add(self, block: Samples) -> None:
        """Look at the next block.

        Args:
            block: shape=(n,).
        """
        if not len(block):
            return
        self._sum += float(block.sum(dtype=np.float64))
        self._count_cut_tops(block)
        self._count_holes(block)
        self._seen += len(block)

    def levels(self) -> RawLevels:
        """Sum up what was seen."""
        count = max(1, self._seen)
        offset = self._sum / count
        limits = {True: _bin_of(self._high), False: _bin_of(-self._low)}
        near = [
            cut
            for (above, level), cut in self._cut.items()
            if (limits[above] - level) * _LIMIT_BINS_DB <= _NEAR_LIMIT_DB
        ]
        return RawLevels(
            peak=max(self._high - offset, offset - self._low) if self._seen else 0.0,
            offset=offset,
            clipped_share=sum(samples for _, samples in near) / count,
            clipped_runs=sum(runs for runs, _ in near),
            lost_runs=self._lost,
            first_lost_s=self._first_lost_s,
        )

    def _count_cut_tops(self, block: Samples) -> None:
        """Count the cut tops of a block; one that lies across two chunks may be missed, which does no harm."""
        starts = np.arange(0, len(block), self._chunk)
        high, low = np.maximum.reduceat(block, starts), np.minimum.reduceat(block, starts)
        self._high, self._low = max(self._high, float(high.max())), min(self._low, float(low.min()))
        peak = np.maximum(high, -low)
        if peak.max() < max(_SOFT, _LEAST_STEPS * self._step):
            return
        lengths = np.diff(np.append(starts, len(block)))
        top = np.repeat(np.maximum(high, _SOFT) * (1 - _TOP), lengths)
        bottom = np.repeat(np.minimum(low, -_SOFT) * (1 - _TOP), lengths)
        near = (block > top) | (block < bottom)
        begins, ends = _inside(*_runs(near), _EQUAL_SAMPLES, len(block))
        if not len(begins):
            return
        cut = _are_steep(block, begins, ends, peak[begins // self._chunk])
        self._note(block, begins[cut], ends[cut])
        equal = near[1:] & near[:-1]
        places = np.flatnonzero(equal)
        equal[places] = np.abs(block[places + 1] - block[places]) < self._step
        flat_begins, flat_ends = _runs(equal)
        flat_begins, flat_ends = _inside(flat_begins, flat_ends + 1, _EQUAL_SAMPLES, len(block))
        if len(flat_begins):
            steep = np.maximum(_STEEP_STEPS * self._step, _STEEP_SHARE * np.abs(block[flat_begins]))
            flat = _edge_slope(block, flat_begins, flat_ends) > steep
            within = np.searchsorted(begins, flat_begins, side="right") - 1
            flat &= ~cut[within]
            self._note(block, flat_begins[flat], flat_ends[flat])

    def _note(self, block: Samples, begins: _Places, ends: _Places) -> None:
        for begin, end in zip(begins.tolist(), ends.tolist(), strict=True):
            place = bool(block[begin] > 0), _bin_of(float(np.abs(block[begin:end]).max()))
            runs, samples = self._cut.get(place, (0, 0))
            self._cut[place] = runs + 1, samples + end - begin

    def _count_holes(self, block: Samples) -> None:
        """Count holes whose surroundings are known; the end of the block waits for the next one."""
        joined = np.concatenate((self._tail, block))
        first = self._seen - len(self._tail)
        waiting = len(joined) - self._around - _HOLE_SAMPLES
        if len(joined) - np.count_nonzero(joined) >= _HOLE_SAMPLES:
            starts, stops = _runs(joined == 0)
            long = (stops - starts >= _HOLE_SAMPLES) & (stops + first > self._judged)
            for start, stop in zip(starts[long].tolist(), stops[long].tolist(), strict=True):
                if stop + self._around > len(joined):
                    waiting = min(waiting, start - self._around)
                    break
                self._judged = first + stop
                if self._is_hole(joined, start, stop):
                    self._lost += 1
                    if self._first_lost_s is None:
                        self._first_lost_s = (first + start) / self._rate_hz
        longest = len(joined) - self._around - round(_LONGEST_HOLE_S * self._rate_hz)
        self._tail = joined[max(0, waiting, longest) :]

    def _is_hole(self, samples: Samples, start: int, stop: int) -> bool:
        if start == 0 or stop - start > _LONGEST_HOLE_S * self._rate_hz:
            return False
        loud = max(_LOUD, _LOUD_STEPS * self._step)
        before, after = samples[max(0, start - self._around) : start], samples[stop : stop + self._around]
        return bool(np.abs(before).max() > loud and np.abs(after).max() > loud)


def _inside(begins: _Places, ends: _Places, least: int, length: int) -> tuple[_Places, _Places]:
    """Keep runs that are long enough and do not touch the ends of the block."""
    inside = (ends - begins >= least) & (begins >= 2) & (ends <= length - 2)
    return begins[inside], ends[inside]


def _edge_slope(block: Samples, begins: _Places, ends: _Places) -> Samples:
    """How far the wave comes up, and goes down again, in the two samples outside a run; the lesser of both."""
    sign = np.sign(block[begins])
    into = block[begins] - block[begins - 2]
    out = block[ends - 1] - block[ends + 1]
    return np.asarray(np.minimum(sign * into, sign * out))


def _are_steep(block: Samples, begins: _Places, ends: _Places, peak: Samples) -> NDArray[np.bool_]:
    """Find the wide tops to which the wave comes far more steeply than to a rounded one."""
    width = ends - begins
    level = np.maximum.reduceat(np.abs(block), np.stack((begins, ends), axis=1).ravel())[::2]
    slope = _edge_slope(block, begins, ends) / 2
    steep = slope * width > _STEEPER * 4 * _TOP * level
    return np.asarray(steep & (width >= _WIDE_SAMPLES) & (level > peak * (1 - _TOP)))


def _bin_of(level: float) -> int:
    return round(20 * log10(max(level, 1e-6)) / _LIMIT_BINS_DB)


def _runs(flags: NDArray[np.bool_]) -> tuple[_Places, _Places]:
    """Find where runs of true values start and stop."""
    edges = np.flatnonzero(flags[1:] != flags[:-1]) + 1
    starts_true, ends_true = bool(flags[0]), bool(flags[-1])
    edges = np.concatenate(([0] if starts_true else [], edges, [len(flags)] if ends_true else [])).astype(np.intp)
    return edges[::2], edges[1::2]
