"""Where in a take does a note end in the open, so that the room is heard? The energy around each such end."""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from slurwright.listen.followed import Following, PlayedNote
from slurwright.listen.sound import Sound
from slurwright.listen.track import PitchTrack

__all__ = ["NoteEnd", "ends_of"]

Real = NDArray[np.float64]

_STEP_S = 0.01
_BACK_S = 0.12
_LATE_S = 0.06
"""The written offset may lie so far before the true one, or be found so late."""
_LONGEST_S = 0.9
_LEAST_OPEN_S = 0.12
_LEAST_NOTE_S = 0.08
_GUARD_S = 0.04
"""Before the next note's onset its attack has begun."""
_MOST_ENDS = 12
_LEAST_ABOVE_DB = 15.0


@dataclass(frozen=True, slots=True, eq=False)
class NoteEnd:
    """Energy of the sound in short steps around one note's end."""

    times_s: Real
    """Middle of each step, 0 at the note's offset as it was found, shape=(steps,) [s]."""
    energy: Real
    """Mean square of each step, shape=(steps,)."""
    steady: float
    """Mean square of the note before it ends."""
    noise: float
    """Mean square of the noise."""
    length_s: float
    """How long the note had sounded [s]."""
    latest_s: float
    """The note has begun to end by here [s]."""


def ends_of(sound: Sound, track: PitchTrack, following: Following) -> Iterator[NoteEnd]:
    """Find the ends of notes that nothing follows at once; evenly chosen where there are many.

    Args:
        sound: the take.
        track: its coarse pitch.
        following: which notes sounded when.
    """
    length_s = sound.length / sound.rate_hz
    noise = _noise(track)
    spots = []
    for index, note in enumerate(following.played):
        last = index + 1 == len(following.played)
        open_s = length_s if last else following.played[index + 1].onset_s - _GUARD_S
        if open_s - note.offset_s >= _LEAST_OPEN_S and note.offset_s - note.onset_s >= _LEAST_NOTE_S:
            spots.append((note, _sounding_s(following, index), min(open_s, note.offset_s + _LONGEST_S)))
    chosen = np.unique(np.linspace(0, len(spots) - 1, min(_MOST_ENDS, len(spots))).round().astype(int))
    for place in chosen.tolist():
        end = _end(sound, *spots[place], noise=noise)
        if end:
            yield end


def _noise(track: PitchTrack) -> float:
    """Noise of the take: its quietest moments, which lie lower than their own mean."""
    if not len(track.level_db):
        return 1e-12
    return float(10.0 ** ((np.percentile(track.level_db, 2.0) + 0.5) / 10.0))


def _sounding_s(following: Following, index: int) -> float:
    """How long sound had filled the room."""
    start = index
    while start and following.played[start - 1].joined_to_next:
        start -= 1
    return following.played[index].offset_s - following.played[start].onset_s


def _end(sound: Sound, note: PlayedNote, sounding_s: float, open_s: float, *, noise: float) -> NoteEnd | None:
    rate = sound.rate_hz
    back = min(_BACK_S, 0.7 * (note.offset_s - note.onset_s))
    first, last = round((note.offset_s - back) * rate), round(open_s * rate)
    samples = sound.read(first, last).astype(np.float64)
    step = max(1, round(_STEP_S * rate))
    count = len(samples) // step
    if count < (back + _LEAST_OPEN_S) / _STEP_S - 2:
        return None
    energy = np.mean(np.square(samples[: count * step].reshape(count, step)), axis=1)
    # a step shorter than a period sees its waves: look at as many together as hold one
    wide = int(np.clip(np.ceil(1.0 / (note.hz * _STEP_S)), 1, 4))
    energy = np.asarray(np.convolve(energy, np.ones(wide) / wide, mode="valid"), np.float64)
    times = (np.arange(len(energy), dtype=np.float64) + wide / 2) * _STEP_S - back
    noise = min(noise, float(np.percentile(energy, 10.0)))
    steady = float(np.median(energy[times < -_STEP_S / 2][: max(1, round(0.6 * back / _STEP_S))]))
    if steady < noise * 10.0 ** (_LEAST_ABOVE_DB / 10.0):
        return None
    return NoteEnd(times, energy + 1e-14, steady, noise + 1e-14, sounding_s, _LATE_S)
