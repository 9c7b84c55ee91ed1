"""The path through the part as notes that were played, missed and played again."""

import numpy as np

from slurwright.listen.followed import Following, PlayedAs, PlayedNote
from slurwright.listen.following_path import Kind, Path, Stretch
from slurwright.listen.following_segments import Segments
from slurwright.listen.track import PitchTrack

__all__ = ["following_of"]

_REFERENCE_HZ = 440.0
_COARSE_SD_S = 0.01
_JOINED_S = 0.02
_KINDS = {
    Kind.EXTRA: PlayedAs.EXTRA,
    Kind.ASKED: PlayedAs.ASKED,
    Kind.OCTAVE: PlayedAs.OCTAVE,
    Kind.WRONG: PlayedAs.WRONG,
}
_MOST_MISSED = 3


def following_of(track: PitchTrack, *, segments: Segments, path: Path, tuning: float) -> Following:
    """Say as played notes what a path holds.

    Args:
        track: the coarse pitch of the take.
        segments: the take, cut.
        path: the way through the part.
        tuning: how much higher the take is than the part [semitones].
    """
    notes = [stretch for stretch in path.stretches if stretch.kind in _KINDS]
    played = tuple(
        _played(track, segments, stretch, follower, octave=round(tuning / 12.0))
        for stretch, follower in zip(notes, [*notes[1:], None], strict=True)
    )
    return Following(played, *_gone_over(notes))


def _played(
    track: PitchTrack, segments: Segments, stretch: Stretch, follower: Stretch | None, *, octave: int
) -> PlayedNote:
    onset_s, offset_s = segments.cut_s[stretch.first_cut], segments.cut_s[stretch.last_cut]
    joined = follower is not None and segments.cut_s[follower.first_cut] - offset_s < _JOINED_S
    kind = _KINDS[stretch.kind]
    if octave and kind is PlayedAs.ASKED:
        kind = PlayedAs.OCTAVE
    return PlayedNote(
        onset_s=float(onset_s),
        onset_sd_s=_COARSE_SD_S,
        offset_s=float(offset_s),
        hz=_pitch(track, float(onset_s), float(offset_s)),
        asked=stretch.asked,
        played_as=kind,
        joined_to_next=joined,
    )


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
