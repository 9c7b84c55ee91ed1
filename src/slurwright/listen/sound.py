"""Sound as this room hears it: one channel, read in stretches, so that an hour needs no more memory than a bar."""

from dataclasses import dataclass
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

__all__ = ["HeldSound", "Samples", "Sound"]

Samples = NDArray[np.float32]
"""One channel, full scale 1; shape=(n,)."""


class Sound(Protocol):
    """One channel of sound of known length; every read of a stretch gives the same samples."""

    @property
    def rate_hz(self) -> float:
        """Samples a second [Hz]."""
        ...

    @property
    def length(self) -> int:
        """How many samples there are [samples]."""
        ...

    def read(self, start: int, stop: int) -> Samples:
        """Read the stretch from ``start`` to before ``stop``; what lies outside the sound is left out.

        Args:
            start: first sample [samples].
            stop: one past the last sample [samples].
        """
        ...


@dataclass(frozen=True, slots=True, eq=False)
class HeldSound:
    """A sound that is held in memory."""

    samples: Samples
    rate_hz: float
    """Samples a second [Hz]."""

    @property
    def length(self) -> int:
        """How many samples there are [samples]."""
        return len(self.samples)

    def read(self, start: int, stop: int) -> Samples:
        """Read a stretch; what lies outside the sound is left out.

        Args:
            start: first sample [samples].
            stop: one past the last sample [samples].
        """
        return self.samples[max(0, start) : max(0, stop)]
