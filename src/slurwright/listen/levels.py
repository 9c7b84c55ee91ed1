"""How good is a recording to measure from? Too soft, too noisy, cut off, full of holes, tampered with by a phone.

Levels come from the pitch track, marks of single samples from the reader, who saw them before any filter did. The
limits are common practice of recording, unless their lines say otherwise.
"""

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from slurwright.listen.figure import Figure
from slurwright.listen.levels_processed import is_processed
from slurwright.listen.measures import LevelCheck, LevelFault, Room
from slurwright.listen.raw import RawLevels
from slurwright.listen.scanning import RawScan
from slurwright.listen.sound import Sound
from slurwright.listen.stretches import quiet_frames
from slurwright.listen.track import PitchTrack

__all__ = ["in_its_room", "level_check", "raw_levels"]

_BLOCK = 1 << 16
_LOWEST_DB = -120.0

_CUT_TOPS = 25
"""From so many cut tops on a recording counts as cut off, however long it is: some tenth of a second of sound."""
_FEW_CUT_TOPS, _CUT_SHARE = 8, 1e-3
"""In a short one fewer are enough, if they make up a thousandth of it."""
_SOFT_DB = -45.0
_SILENT_DB = -70.0
_NOISE_BELOW_DB = 15.0
"""Less than this between what is played and the noise hides dips and soft attacks. Derived: a dip is measured to
-20 dB, and a level can be told from noise 5 dB below it."""
_LEAST_QUIET = 20
_NOISE_PERCENTILE = 20
_DRY_DB = 15.0
"""With so much more direct sound than room it does not matter how long the room rings [dB]."""
_LIVE_DECAY_S = 1.5
_DIRECT_DB = 0.0


def level_check(sound: Sound, track: PitchTrack, *, raw: RawLevels | None = None) -> LevelCheck:
    """Judge the level, the noise and the honesty of a recording.

    Args:
        sound: the recording.
        track: its pitch track.
        raw: the marks of its samples before they were filtered; None to look for them in ``sound`` itself.
    """
    marks = raw or raw_levels(sound)
    level = track.level_db.astype(np.float64)
    heard = track.hz > 0
    loud_db = _loud_db(level[heard] if heard.any() else level)
    noise_db = _noise_db(track)
    faults = []
    few = marks.clipped_runs >= _FEW_CUT_TOPS and marks.clipped_share > _CUT_SHARE
    if few or marks.clipped_runs >= _CUT_TOPS:
        faults.append(LevelFault.CLIPPED)
    if loud_db < _SILENT_DB:
        faults.append(LevelFault.SILENT)
    elif loud_db < _SOFT_DB:
        faults.append(LevelFault.SOFT)
    if heard.any() and loud_db - noise_db < _NOISE_BELOW_DB:
        faults.append(LevelFault.NOISY)
    if is_processed(sound, track, noise_below_db=loud_db - noise_db):
        faults.append(LevelFault.PROCESSED)
    if marks.lost_runs:
        faults.append(LevelFault.DROPOUTS)
    return LevelCheck(
        peak_db=float(20 * np.log10(max(marks.peak, 10 ** (_LOWEST_DB / 20)))),
        loud_db=loud_db,
        noise_db=noise_db,
        clipped_share=marks.clipped_share,
        faults=tuple(faults),
    )


def in_its_room(check: LevelCheck, room: Room) -> LevelCheck:
    """Add what the room says: that it is so live that it hides what happens at the slurs.

    Args:
        check: of the recording.
        room: as the take itself tells.
    """
    dry = isinstance(room.direct_db, Figure) and room.direct_db.low > _DRY_DB
    live = isinstance(room.decay_s, Figure) and room.decay_s.low > _LIVE_DECAY_S and not dry
    far = isinstance(room.direct_db, Figure) and room.direct_db.high < _DIRECT_DB
    if not (live or far) or LevelFault.ECHO in check.faults:
        return check
    return replace(check, faults=(*check.faults, LevelFault.ECHO))


def raw_levels(sound: Sound) -> RawLevels:
    """Look for the marks of cut tops and holes in a sound that nobody has looked at before.

    Args:
        sound: at the rate at which it was recorded.
    """
    scan = RawScan(sound.rate_hz)
    for start in range(0, sound.length, _BLOCK):
        scan.add(sound.read(start, start + _BLOCK))
    return scan.levels()


def _loud_db(level: NDArray[np.float64]) -> float:
    """Mean power of the louder half."""
    if not len(level):
        return _LOWEST_DB
    louder = level[level >= np.median(level)]
    return float(10 * np.log10(np.mean(10 ** (louder / 10))))


def _noise_db(track: PitchTrack) -> float:
    """Level between the notes; where the playing never stops, of what in the sound repeats with no period."""
    if not len(track.hz):
        return _LOWEST_DB
    quiet = quiet_frames(track)
    if quiet.sum() >= _LEAST_QUIET:
        return float(np.percentile(track.level_db[quiet], _NOISE_PERCENTILE))
    unlike = 10 * np.log10(np.maximum(1.0 - track.strength.astype(np.float64), 1e-6))
    return float(np.percentile(track.level_db + unlike, 5))
