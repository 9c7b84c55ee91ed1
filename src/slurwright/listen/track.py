"""The coarse pitch of a sound from moment to moment: never an octave off, not yet exact."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

__all__ = ["PitchTrack"]


@dataclass(frozen=True, slots=True, eq=False)
class PitchTrack:
    """Frames at equal steps; all arrays have the same length, shape=(frames,).

    A frame's time is that of the middle of what was heard: ``start_s + step_s * frame``.
    """

    start_s: float
    step_s: float
    hz: NDArray[np.float32]
    """Pitch; 0 where nothing with a pitch is heard [Hz]."""
    strength: NDArray[np.float32]
    """How like itself the sound is one period later, 0..1."""
    level_db: NDArray[np.float32]
    """Level against full scale [dB]."""

    def frame_at(self, time_s: float) -> int:
        """Find the frame nearest to a time, within the track.

        Args:
            time_s: from the start of the sound [s].
        """
        return int(np.clip(round((time_s - self.start_s) / self.step_s), 0, max(0, len(self.hz) - 1)))
