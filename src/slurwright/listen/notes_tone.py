"""How loud and how bright is a note."""

import numpy as np
from numpy.typing import NDArray

from slurwright.listen.figure import NINE_IN_TEN, Figure, Hidden, Measured, Veil
from slurwright.listen.measures import Room
from slurwright.listen.refining import FinePath
from slurwright.listen.track import PitchTrack

__all__ = ["brightness_of", "level_of"]

_LEAST_HARMONICS = 3
_LIKE_ITSELF = 0.75
"""Less like itself one period later, a sound is mostly noise."""
_USUAL_DIRECT_DB = 6.0
"""Direct sound against the room's where the room is not known [dB]."""

Floats = NDArray[np.float64]


def level_of(track: PitchTrack, span_s: tuple[float, float]) -> float:
    """Level of a note against full scale [dB].

    Args:
        track: the coarse track.
        span_s: from when to when [s].
    """
    inside = _frames(track.level_db, track, span_s).astype(np.float64)
    return float(10 * np.log10(np.mean(10 ** (inside / 10))))


def brightness_of(
    path: FinePath, track: PitchTrack, span_s: tuple[float, float], *, room: Room | None = None
) -> Measured:
    """Centre of gravity of the spectrum's power, in harmonics [1].

    As the microphone heard it: it can be compared with other notes of the same place and microphone. The interval
    holds what the room does to single harmonics at one spot in it.

    Args:
        path: of the note.
        track: the coarse track.
        span_s: from when to when [s].
        room: what is known of the room.
    """
    if path.sizes.shape[1] < _LEAST_HARMONICS:
        return Hidden(Veil.UNHEARD)
    if float(np.median(_frames(track.strength, track, span_s))) < _LIKE_ITSELF:
        return Hidden(Veil.SOFT)
    inside = (path.times_s >= span_s[0]) & (path.times_s <= span_s[1])
    power = path.sizes[inside].astype(np.float64) ** 2
    orders = np.arange(1, power.shape[1] + 1)
    mean = power.mean(axis=0)
    total = max(float(mean.sum()), 1e-30)
    centre = float(mean @ orders) / total
    each = (power @ orders) / np.maximum(power.sum(axis=1), 1e-30)
    independent = max(1.0, (span_s[1] - span_s[0]) / max(path.window_s, 0.1))
    # a room's answer at one frequency is random: its share of the power comes and goes
    share = 10 ** (-_direct_db(room) / 10)
    swings = mean**2 * (2 * share + share**2) * ((orders - centre) / total) ** 2
    sd = float(np.sqrt(each.var() / independent + swings.sum()))
    return Figure(centre, max(1.0, centre - NINE_IN_TEN * sd), centre + NINE_IN_TEN * sd)


def _direct_db(room: Room | None) -> float:
    if room is not None and isinstance(room.direct_db, Figure):
        return room.direct_db.value
    return _USUAL_DIRECT_DB


def _frames(values: NDArray[np.float32], track: PitchTrack, span_s: tuple[float, float]) -> NDArray[np.float32]:
    return values[track.frame_at(span_s[0]) : track.frame_at(span_s[1]) + 1]
