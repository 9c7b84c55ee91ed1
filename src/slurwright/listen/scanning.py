"""Which marks do single samples bear: flat tops where a level was cut off, and holes that a device left.

One channel at its own rate, block by block; nothing is kept but counts. Flat tops: three or more samples side by side
that differ by less than a step of the converter, high up, which the wave reaches and leaves far faster than a rounded
top could. That finds cut-off tops below full scale, too. Holes: 32 or more exact zeros with sound on both sides.
"""

import numpy as np
from numpy.typing import NDArray

from slurwright.listen.raw import RawLevels
from slurwright.listen.sound import Samples

__all__ = ["RawScan"]

_FLAT_SAMPLES = 3
_HIGH = 0.5
"""Flat tops lie above this part of the block's peak."""
_STEEP = 6.0
"""The step into and out of a flat top, in steps of the converter."""
_SOFT = 0.02
"""Tops below this are not looked at: -34 dB against full scale."""
_HOLE_SAMPLES = 32
_LONGEST_HOLE_S = 1.0
_AROUND_S = 0.005
_LOUD_STEPS = 8.0
_LOUD = 10 ** (-50 / 20)
_FINEST = 2.0**-15


class RawScan:
    """Counts marks in one channel that comes in blocks."""

    def __init__(self, rate_hz: float, *, step: float = _FINEST) -> None:
        self._rate_hz = rate_hz
        self._step = max(step, _FINEST)
        self._around = max(8, round(_AROUND_S * rate_hz))
        self._tail = np.zeros(0, np.float32)
        self._seen = 0
        self._sum = 0.0
        self._low = np.inf
        self._high = -np.inf
        self._clipped = 0
        self._clipped_runs = 0
        self._judged = 0
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
        self._low = min(self._low, float(block.min()))
        self._high = max(self._high, float(block.max()))
        self._count_flat(block)
        self._count_holes(block)
        self._seen += len(block)

    def levels(self) -> RawLevels:
        """Sum up what was seen."""
        count = max(1, self._seen)
        offset = self._sum / count
        peak = max(self._high - offset, offset - self._low) if self._seen else 0.0
        return RawLevels(
            peak=peak,
            offset=offset,
            clipped_share=self._clipped / count,
            clipped_runs=self._clipped_runs,
            lost_runs=self._lost,
            first_lost_s=self._first_lost_s,
        )

    def _count_flat(self, block: Samples) -> None:
        """Count flat tops; one that lies across two blocks is missed, which is rare and does no harm."""
        size = np.abs(block)
        peak = float(size.max())
        if peak < _SOFT:
            return
        high = size > _HIGH * peak
        flat = (np.abs(np.diff(block)) < self._step) & high[1:] & high[:-1]
        starts, stops = _runs(flat)
        stops = stops + 1  # a run of n small steps is a run of n + 1 samples
        keep = (stops - starts >= _FLAT_SAMPLES) & (starts >= 2) & (stops < len(block) - 1)
        starts, stops = starts[keep], stops[keep]
        level = size[starts]
        steep = _STEEP * self._step
        into = level - size[starts - 2] * np.sign(block[starts] * block[starts - 2])
        out = level - size[stops + 1] * np.sign(block[starts] * block[stops + 1])
        cut = (into > steep) & (out > steep)
        self._clipped_runs += int(cut.sum())
        self._clipped += int((stops - starts)[cut].sum())

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
                    self._first_lost_s = self._first_lost_s or (first + start) / self._rate_hz
        longest = len(joined) - self._around - round(_LONGEST_HOLE_S * self._rate_hz)
        self._tail = joined[max(0, waiting, longest) :]

    def _is_hole(self, samples: Samples, start: int, stop: int) -> bool:
        if start == 0 or stop - start > _LONGEST_HOLE_S * self._rate_hz:
            return False
        loud = max(_LOUD, _LOUD_STEPS * self._step)
        before, after = samples[max(0, start - self._around) : start], samples[stop : stop + self._around]
        return bool(np.abs(before).max() > loud and np.abs(after).max() > loud)


def _runs(flags: NDArray[np.bool_]) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
    """Find where runs of true values start and stop."""
    edges = np.diff(np.concatenate(([0], flags.view(np.int8), [0])))
    return np.flatnonzero(edges == 1), np.flatnonzero(edges == -1)
