"""The path through the part as notes that were played, missed and played again."""

from dataclasses import replace

import numpy as np

from slurwright.listen.followed import Following, PlayedAs, PlayedNote
from slurwright.listen.following_low import is_low
from slurwright.listen.following_path import Kind, Path, Stretch
from slurwright.listen.following_segments import Segments
from slurwright.listen.passage import AskedNote, Passage
from slurwright.listen.sound import Sound
from slurwright.listen.track import PitchTrack

__all__ = ["following_of"]

_REFERENCE_HZ = 440.0
_COARSE_SD_S = 0.01
_KINDS = {
    Kind.EXTRA: PlayedAs.EXTRA,
    Kind.ASKED: PlayedAs.ASKED,
    Kind.OCTAVE: PlayedAs.OCTAVE,
    Kind.WRONG: PlayedAs.WRONG,
}
_MOST_MISSED = 3


def following_of(
    sound: Sound, track: PitchTrack, passage: Passage, *, segments: Segments, path: Path, tuning: float
) -> Following:
    """Say as played notes what a path holds.

    Args:
        sound: the take.
        track: its coarse pitch.
        passage: what was asked.
        segments: the take, cut.
        path: the way through the part.
        tuning: how much higher the take is than the part, octaves counted in [semitones].
    """
    notes = [stretch for stretch in path.stretches if stretch.kind in _KINDS]
    played = []
    for stretch in notes:
        note = _heard(track, segments, stretch)
        asked = None if stretch.asked is None else passage.notes[stretch.asked]
        played.append(note if asked is None else _judged(sound, note, asked, tuning))
    return Following(tuple(played), *_gone_over(notes))


def _heard(track: PitchTrack, segments: Segments, stretch: Stretch) -> PlayedNote:
    """A stretch as it is heard."""
    onset_s, offset_s = float(segments.cut_s[stretch.first_cut]), float(segments.cut_s[stretch.last_cut])
    hz = _pitch(track, onset_s, offset_s)
    return PlayedNote(onset_s, _COARSE_SD_S, offset_s, hz, stretch.asked, _KINDS[stretch.kind])


def _judged(sound: Sound, note: PlayedNote, asked: AskedNote, tuning: float) -> PlayedNote:
    """A note with what it is to the asked one: by its octave, and by whether it is really as low as it is heard."""
    if note.played_as is PlayedAs.WRONG:
        return note
    octaves = round(tuning / 12.0)
    wanted = 12.0 * np.log2(asked.hz / note.hz) + tuning
    part = round(2.0 ** (wanted / 12.0))
    if note.played_as is PlayedAs.ASKED and part > 1:
        start, stop = note.onset_s, note.offset_s
        if not is_low(sound, start, stop, low_hz=note.hz, part=part):
            note = replace(note, hz=float(asked.hz * 2.0 ** (tuning / 12.0)))
        elif part & (part - 1):
            return replace(note, played_as=PlayedAs.WRONG)
    away = round(np.log2(note.hz / asked.hz) - (tuning - 12.0 * octaves) / 12.0)
    return replace(note, played_as=PlayedAs.OCTAVE if away else PlayedAs.ASKED)


def _pitch(track: PitchTrack, onset_s: float, offset_s: float) -> float:
    """Middle pitch of a note, its edges left out where it is long enough [Hz]."""
    edge = min(0.04, 0.2 * (offset_s - onset_s))
    piece = slice(track.frame_at(onset_s + edge), track.frame_at(offset_s - edge) + 1)
    hz = track.hz[piece][track.hz[piece] > 0]
    if not len(hz):
        return _REFERENCE_HZ
    return float(np.sort(hz)[len(hz) // 2])


def _gone_over(notes: list[Stretch]) -> tuple[tuple[int, ...], tuple[int, ...]]:
    """Which asked notes are missed inside what was played through, and where the player went back or jumped."""
    missed: list[int] = []
    restarts: list[int] = []
    last: int | None = None
    sounded = {note.asked for note in notes}
    for at, note in enumerate(notes):
        if note.asked is None:
            continue
        if last is not None:
            if 0 < note.asked - last <= _MOST_MISSED + 1:
                missed += [index for index in range(last + 1, note.asked) if index not in sounded]
            else:
                restarts.append(at)
        last = note.asked
    return tuple(sorted(set(missed))), tuple(restarts)
