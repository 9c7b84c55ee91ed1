"""Was a phone at work on the sound? Noise suppression, gates and automatic gain leave traces.

Three are looked for, each such as no player and no room leaves. A gate: after a note the room's tail, which can only
die more and more slowly, plunges all at once. Automatic gain: after notes the background comes *up* in the pauses,
from far below where it lies when nothing was played for long. Noise suppression: it takes steady tones for noise and
turns them down, loud and soft partials alike, where a player's tone gets duller as it gets softer. Suppression that
leaves the tones alone does no harm to what is measured and is not looked for.
"""

import numpy as np
from numpy.typing import NDArray

from slurwright.listen.sound import Sound
from slurwright.listen.stretches import heard_stretches, steady_stretches
from slurwright.listen.track import PitchTrack

__all__ = ["is_processed"]

Stretches = list[tuple[int, int]]

_LEAST_PLACES = 2

_TAIL_S = (0.06, 0.8)
"""A plunge is looked for from and to this long after a note's level began to fall [s]."""
_PLUNGE_S = 0.02
_PLUNGE_DB = 15.0
"""No room's tail falls so far in so short a time: that would be a decay of 80 ms. Derived."""
_AUDIBLE_DB = -80.0
"""A plunge from below this is only the last bits of a file going out [dB]."""
_DYING_DB = 4.0
_TAIL_DB_S = 25.0, 300.0
"""So fast a room's tail dies before the plunge: slower is a note that still sounds, faster one that is let go
[dB a second]."""

_AFTER_S = (0.12, 0.4)
_OPEN_S = 0.6
"""From then on after a note, and this long before the next, a pause is open: no tail, no breath [s]."""
_LEAST_OPEN_S = 0.15
_RISE_DB = 8.0

_LONG_S = 1.5
_EDGES_S = (0.15, 0.25)
_SPAN_S = 0.2
_HIGHEST_HZ = 400.0
"""Higher notes have too few partials within a small microphone's range to tell how dull they are."""
_SPLIT = 3.5
_FADE_DB, _LEAST_FADE_DB = 6.0, 4.0
_LEAST_LONG = 3
_FADED_SHARE = 0.75
_DULLER = 0.25
"""Upper partials fall by that part of the fade at least where a player lets a tone fade; half of it and more is
usual. Derived from made-up tones; that brass gets duller as it gets softer is common knowledge."""
_STILL_DB = 35.0


def is_processed(sound: Sound, track: PitchTrack, *, noise_below_db: float) -> bool:
    """Say whether a recording bears the traces of noise suppression, a gate or automatic gain.

    Args:
        sound: the recording.
        track: its pitch track.
        noise_below_db: how far the noise lies below what is played [dB].
    """
    stretches = heard_stretches(track)
    if _background_rises(track, stretches) or _tails_plunge(track, stretches):
        return True
    return noise_below_db > _STILL_DB and _tones_fade(sound, track)


def _tails_plunge(track: PitchTrack, stretches: Stretches) -> bool:
    """Say whether most tails that can be followed end in a plunge."""
    seen = [
        plunges
        for (first, last), after in zip(stretches, _next_starts(track, stretches), strict=True)
        if (plunges := _plunges(track, first, last, after)) is not None
    ]
    return len(seen) >= _LEAST_PLACES and sum(seen) > len(seen) / 2


def _plunges(track: PitchTrack, first: int, last: int, after: int) -> bool | None:
    """Say whether the tail of one note plunges; None where no tail can be followed."""
    step = track.step_s
    fall = max(1, round(_PLUNGE_S / step))
    held = float(np.median(track.level_db[first:last]))
    late = track.level_db[max(first, last - round(0.1 / step)) : after]
    falling = np.flatnonzero(late < held - 6.0)
    if not len(falling):
        return None
    tail = late[falling[0] :][: round(_TAIL_S[1] / step)]
    begin = round(_TAIL_S[0] / step)
    if len(tail) < begin + 3 * fall:
        return None
    drops = tail[begin:-fall] - tail[begin + fall :]
    at = int(np.argmax(drops)) + begin
    until = at - fall  # so that the plunge's own beginning is not counted
    before_db = float(tail[0] - tail[until])
    dying = before_db > _DYING_DB and _TAIL_DB_S[0] < before_db / (until * step) < _TAIL_DB_S[1]
    return bool(drops.max() > _PLUNGE_DB and tail[at] > _AUDIBLE_DB and dying)


def _background_rises(track: PitchTrack, stretches: Stretches) -> bool:
    """Say whether the background lies lower right after notes than where nothing was played for long, mostly."""
    step = track.step_s
    far = _far_from_notes(track, stretches)
    least = round(_LEAST_OPEN_S / step)
    if far.sum() < least:
        return False
    opened_db = float(np.median(track.level_db[far]))
    rises = []
    for (_, stop), start in zip(stretches, _next_starts(track, stretches), strict=True):
        low, high = stop + round(_AFTER_S[0] / step), min(start, stop + round(_AFTER_S[1] / step))
        if high - low >= least:
            late = track.level_db[stop:start][far[stop:start]]
            late_db = float(np.median(late)) if len(late) >= least else opened_db
            rises.append(late_db - float(np.median(track.level_db[low:high])))
    return len(rises) >= _LEAST_PLACES and float(np.median(rises)) > _RISE_DB


def _next_starts(track: PitchTrack, stretches: Stretches) -> list[int]:
    """For each stretch, where the next one starts, or where the track ends."""
    return [start for start, _ in stretches[1:]] + [len(track.hz)] * bool(stretches)


def _far_from_notes(track: PitchTrack, stretches: Stretches) -> NDArray[np.bool_]:
    far = np.ones(len(track.hz), np.bool_)
    margin = round(_OPEN_S / track.step_s)
    for start, stop in stretches:
        far[max(0, start - margin) : stop + margin] = False
    return far


def _tones_fade(sound: Sound, track: PitchTrack) -> bool:
    """Say whether nearly all long tones fade and hardly any gets duller with it."""
    fades = [
        _faded(sound, track, start, stop)
        for start, stop in steady_stretches(track)
        if (stop - start) * track.step_s >= _LONG_S and np.median(track.hz[start:stop]) < _HIGHEST_HZ
    ]
    if len(fades) < _LEAST_LONG:
        return False
    softer, duller = np.array(fades).T
    if float(np.median(softer)) < _FADE_DB or float(np.mean(softer > _LEAST_FADE_DB)) < _FADED_SHARE:
        return False
    return float(np.median(duller / np.maximum(softer, 1.0))) < _DULLER


def _faded(sound: Sound, track: PitchTrack, start: int, stop: int) -> tuple[float, float]:
    """By how much a tone gets softer, and by how much its upper partials fall behind its lower ones [dB]."""
    hz = float(np.median(track.hz[start:stop]))
    span = round(_SPAN_S / track.step_s)
    early, late = start + round(_EDGES_S[0] / track.step_s), stop - round(_EDGES_S[1] / track.step_s) - span
    levels, tilts = [], []
    for first in (early, late):
        levels.append(float(np.median(track.level_db[first : first + span])))
        at = round((track.start_s + first * track.step_s) * sound.rate_hz)
        samples = sound.read(at, at + round(_SPAN_S * sound.rate_hz)).astype(np.float64)
        power = np.abs(np.fft.rfft(samples * np.hanning(len(samples)))) ** 2
        partial = np.fft.rfftfreq(len(samples), hz / sound.rate_hz)
        upper, lower = power[partial > _SPLIT].sum(), power[(partial > 0.5) & (partial < _SPLIT)].sum()
        tilts.append(float(10 * np.log10((upper + 1e-20) / (lower + 1e-20))))
    return levels[0] - levels[1], tilts[0] - tilts[1]
