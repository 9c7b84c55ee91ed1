"""What is one note of a take like: its pitch, how it moves, how it starts, how it sounds.

A note's pitch is the median of its path, a vibrato taken out, over its steady middle: without the first 60 ms, or
three periods, after the onset and without the last 40 ms. Of a note too short for that the middle is taken that is
left, and the interval is wider.
"""

import numpy as np

from slurwright.listen.figure import Hidden, Measured, Veil
from slurwright.listen.followed import PlayedNote
from slurwright.listen.measures import NoteMeasure, Room
from slurwright.listen.notes_attack import attack_scoop, comes_from_another
from slurwright.listen.notes_motion import drift_of, wander_of
from slurwright.listen.notes_pitch import Steady, pitch_of, steady_of
from slurwright.listen.notes_spans import settling_s, steady_span
from slurwright.listen.notes_tone import brightness_of, level_of
from slurwright.listen.refining import FinePath, carrier_of, path_of
from slurwright.listen.refining_harmonics import harmonics_of
from slurwright.listen.sound import Sound
from slurwright.listen.track import PitchTrack
from slurwright.pitch import cents_of_ratio

__all__ = ["measure_note"]

_EARLY_S = 0.16
_EARLY_WINDOW_S = 0.016
_BEFORE_ONSET_S = 0.03
_LEAST_S = 0.015
_LEAST_PERIODS = 2.0
_HEARD_SHARE = 0.5
"""So much of the steady part must have a pitch."""
_NEAR = 1.1
_NOISIEST_CENTS = 8.0
"""Where the harmonics disagree more than this, they are none of the note's."""
_FURTHEST_CENTS = 90.0
"""A pitch so far from the note's is another note's."""


def measure_note(
    sound: Sound,
    track: PitchTrack,
    played: PlayedNote,
    *,
    played_index: int,
    target_hz: float,
    room: Room | None = None,
) -> NoteMeasure:
    """Measure one note where it is steady.

    Args:
        sound: the take.
        track: its coarse pitch.
        played: the note.
        played_index: which of those that sounded it is [1].
        target_hz: what it should be [Hz].
        room: what is known of the room.
    """
    span = steady_span(played.onset_s, played.offset_s, played.hz)
    hz, why = _coarse(track, span, played.hz)
    path = None if why else _path(sound, track, played, span, hz)
    steady = steady_of(path, span, hz) if path else None
    level = level_of(track, span)
    if why or path is None or steady is None:
        return _unmeasured(played_index, span, level, why or Veil.SHORT)
    if steady.noise_cents > _NOISIEST_CENTS or abs(float(np.median(steady.rest))) > _FURTHEST_CENTS:
        return _unmeasured(played_index, span, level, Veil.UNHEARD)
    pitch = pitch_of(steady)
    motion = {"noise_cents": steady.noise_cents, "window_s": steady.window_s}
    return NoteMeasure(
        played=played_index,
        cents=pitch.against(cents_of_ratio(hz / target_hz)),
        steady_s=(float(steady.times_s[0]), float(steady.times_s[-1])),
        drift_cents_s=drift_of(steady.times_s, steady.rest, **motion),
        wander_cents=wander_of(steady.times_s, steady.rest, **motion),
        scoop_cents=_scoop(sound, track, played, level, hz=hz * 2 ** (pitch.cents / 1200), steady=steady),
        vibrato=steady.wave.vibrato if steady.wave else None,
        level_db=level,
        brightness=brightness_of(path, track, span, room=room),
    )


def _coarse(track: PitchTrack, span: tuple[float, float], hz: float) -> tuple[float, Veil | None]:
    """Coarse pitch of the steady part, and what hides it if anything does."""
    if span[1] - span[0] < max(_LEAST_S, _LEAST_PERIODS / hz):
        return hz, Veil.SHORT
    frames = track.hz[track.frame_at(span[0]) : track.frame_at(span[1]) + 1]
    if np.count_nonzero(frames) < _HEARD_SHARE * len(frames):
        return hz, Veil.SOFT
    near = frames[(frames > hz / _NEAR) & (frames < hz * _NEAR)]
    # over a loud note's echo the track may hear the period that both share: then the harmonics decide
    return (float(np.median(near)) if len(near) >= _HEARD_SHARE * len(frames) else hz), None


def _path(
    sound: Sound, track: PitchTrack, played: PlayedNote, span: tuple[float, float], hz: float
) -> FinePath | None:
    """Follow the steady part, with some of the note on both sides for the windows."""
    side = max(0.015, 2.0 / hz)
    start = max(played.onset_s + 0.2 * (span[0] - played.onset_s), span[0] - side)
    stop = min(played.offset_s - 0.1 * (played.offset_s - span[1]), span[1] + side)
    return path_of(harmonics_of(sound, start, stop, carrier_of(track, start, stop, hz)))


def _scoop(
    sound: Sound, track: PitchTrack, played: PlayedNote, level: float, *, hz: float, steady: Steady
) -> Measured:
    """How the note starts."""
    if comes_from_another(track, played.onset_s, level):
        return Hidden(Veil.UNHEARD)
    start = max(0.0, played.onset_s - _BEFORE_ONSET_S)
    stop = min(played.offset_s, played.onset_s + max(_EARLY_S, 2 * settling_s(hz)))
    path = path_of(harmonics_of(sound, start, stop, carrier_of(track, start, stop, hz)), longest_s=_EARLY_WINDOW_S)
    return attack_scoop(path, played.onset_s, hz=hz, wander_cents=float(steady.rest.std()))


def _unmeasured(played_index: int, span: tuple[float, float], level: float, why: Veil) -> NoteMeasure:
    """Say that a note could not be measured."""
    hidden = Hidden(why)
    return NoteMeasure(
        played=played_index,
        cents=hidden,
        steady_s=span,
        drift_cents_s=hidden,
        wander_cents=hidden,
        scoop_cents=hidden,
        vibrato=None,
        level_db=level,
        brightness=hidden,
    )
