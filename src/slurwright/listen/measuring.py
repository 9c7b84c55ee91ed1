"""A whole take: from the sound to every note and slur."""

from collections.abc import Callable

from slurwright.listen.excerpt import excerpt_of
from slurwright.listen.followed import Following, PlayedAs
from slurwright.listen.following import follow
from slurwright.listen.levels import in_its_room, level_check
from slurwright.listen.limits import Limits
from slurwright.listen.notes import measure_note
from slurwright.listen.passage import Passage
from slurwright.listen.raw import RawLevels
from slurwright.listen.room import room_of
from slurwright.listen.slurs import measure_slur, slur_pairs
from slurwright.listen.sound import Sound
from slurwright.listen.take import TakeMeasure
from slurwright.listen.tracking import pitch_track

__all__ = ["measure_take"]

_TRACK_SHARE = 0.4
"""Part of the work that is done when the track is; for telling how far it is."""


def measure_take(
    sound: Sound,
    passage: Passage,
    *,
    limits: Limits,
    within: tuple[Passage, int] | None = None,
    raw: RawLevels | None = None,
    tick: Callable[[float], None] | None = None,
) -> TakeMeasure:
    """Measure a take: its sound, its room, each note that stands for an asked one, each slur.

    The sound is read in stretches; what is kept grows by some fifty bytes a frame of the track.

    Args:
        sound: the recording.
        passage: what was asked.
        limits: what counts as smooth.
        within: a longer passage, and at which of its notes the asked one begins; followed instead where it finds
            as many of the asked notes and no more strange ones, since a player may play on.
        raw: marks of the recording's own samples; None to look for them in ``sound``.
        tick: told now and then how much is done, 0..1.

    Returns:
        The measures; where nothing of the passage is heard, without notes and slurs.
    """
    tell = tick or _nobody
    track = pitch_track(sound, tick=lambda share: tell(_TRACK_SHARE * share))
    following = follow(sound, track, passage)
    if within is not None and (not following.played or _strange(following)):
        whole, first = within
        last = first + len(passage.notes) - 1
        longer = excerpt_of(follow(sound, track, whole), first=first, last=last)
        no_worse = len(_right(longer)) >= len(_right(following)) and _strange(longer) <= _strange(following)
        if no_worse or not following.played:
            following = longer
    room = room_of(sound, track, following)
    pairs = slur_pairs(following, passage)
    asked = [index for index, played in enumerate(following.played) if played.asked is not None]
    work = len(asked) + len(pairs)
    done = 0
    notes, slurs = [], []
    for index in asked:
        played = following.played[index]
        target_hz = passage.notes[played.asked].hz if played.asked is not None else played.hz
        notes.append(measure_note(sound, track, played, played_index=index, target_hz=target_hz, room=room))
        done += 1
        tell(_TRACK_SHARE + (1.0 - _TRACK_SHARE) * done / work)
    for first, second in pairs:
        slurs.append(
            measure_slur(sound, track, following, passage, first=first, second=second, room=room, limits=limits)
        )
        done += 1
        tell(_TRACK_SHARE + (1.0 - _TRACK_SHARE) * done / work)
    return TakeMeasure(
        passage=passage,
        length_s=sound.length / sound.rate_hz,
        level=in_its_room(level_check(sound, track, raw=raw), room),
        room=room,
        track=track,
        following=following,
        notes=tuple(notes),
        slurs=tuple(slurs),
    )


def _right(following: Following) -> set[int | None]:
    """Which asked notes sounded as asked."""
    return {played.asked for played in following.played if played.played_as is PlayedAs.ASKED}


def _strange(following: Following) -> int:
    """How many notes sounded that were not asked for there."""
    return sum(played.played_as is not PlayedAs.ASKED for played in following.played)


def _nobody(_share: float) -> None:
    """Tell no one."""
