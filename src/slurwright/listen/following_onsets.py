"""Start and end of each played note, found on the sound where the path through the part says about when."""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from slurwright.listen.followed import PlayedNote
from slurwright.listen.following_change import change_of
from slurwright.listen.following_rise import Moment, fall_of, rise_of
from slurwright.listen.passage import Passage
from slurwright.listen.sound import Sound

__all__ = ["with_onsets"]

_SAME_SEMITONES = 0.5
_APART_S = 0.05
"""Between stretches so far apart the sound has stopped."""
_NOTCH_S = 0.018
"""While the tongue only touches a note, its level is down for less."""
_TONGUED_DB = 7.0
"""Where no slur is asked, a rise by so much is taken for the tongue's, and the note starts with it."""
_LEAST_NOTE_S = 0.02


def with_onsets(sound: Sound, passage: Passage, played: Sequence[PlayedNote]) -> tuple[PlayedNote, ...]:
    """Put the starts and ends of notes where the sound has them.

    Args:
        sound: the take.
        passage: what was asked.
        played: the notes, in order of time, their starts and ends about right.
    """
    notes: list[PlayedNote] = []
    for index, rough in enumerate(played):
        before = notes[-1] if notes else None
        joined = before is not None and rough.onset_s - before.offset_s < _APART_S
        onset = _onset(sound, passage, before, rough, joined=joined)
        note = replace(rough, onset_s=onset.time_s, onset_sd_s=onset.sd_s) if onset else rough
        if before is not None:
            notes[-1] = _ended(sound, before, note, joined=joined)
        notes.append(replace(note, offset_s=max(note.offset_s, note.onset_s + _LEAST_NOTE_S), joined_to_next=False))
        if index + 1 == len(played):
            notes[-1] = _stopped(sound, notes[-1], sound.length / sound.rate_hz)
    return tuple(notes)


def _onset(
    sound: Sound, passage: Passage, before: PlayedNote | None, note: PlayedNote, *, joined: bool
) -> Moment | None:
    """When a note starts; None where the sound does not show it."""
    earliest = before.onset_s + _LEAST_NOTE_S if before else 0.0
    latest = max(note.offset_s - _LEAST_NOTE_S, note.onset_s)
    rise = None
    slurred = before is not None and joined and _is_slurred(passage, before, note)
    if not slurred:
        rise = rise_of(sound, note.onset_s, note.hz, earliest_s=earliest, latest_s=latest)
    if before is None or not joined:
        return rise
    interval = abs(12.0 * np.log2(note.hz / before.hz))
    if interval < _SAME_SEMITONES or (rise and rise.depth_db > _TONGUED_DB):
        return rise
    change = change_of(sound, note.onset_s, before.hz, note.hz, earliest_s=earliest, latest_s=latest)
    return change or rise


def _is_slurred(passage: Passage, before: PlayedNote, note: PlayedNote) -> bool:
    """Say whether a slur was asked between the two."""
    if before.asked is None or note.asked != before.asked + 1:
        return False
    return passage.notes[before.asked].slurred_to_next


def _ended(sound: Sound, note: PlayedNote, follower: PlayedNote, *, joined: bool) -> PlayedNote:
    """A note with its end: where the next one starts, or where it stops before that."""
    stopped = _stopped(sound, note, follower.onset_s)
    same = abs(12.0 * np.log2(follower.hz / note.hz)) < _SAME_SEMITONES
    if joined and (follower.onset_s - stopped.offset_s < _NOTCH_S or not (same or _silent(stopped, follower))):
        return replace(note, offset_s=max(follower.onset_s, note.onset_s), joined_to_next=True)
    return replace(stopped, offset_s=min(stopped.offset_s, follower.onset_s))


def _silent(stopped: PlayedNote, follower: PlayedNote) -> bool:
    return follower.onset_s - stopped.offset_s > _NOTCH_S


def _stopped(sound: Sound, note: PlayedNote, latest_s: float) -> PlayedNote:
    """A note with the end where its level falls."""
    fall = fall_of(sound, note.offset_s, note.hz, earliest_s=note.onset_s, latest_s=latest_s)
    return replace(note, offset_s=fall.time_s) if fall else note
