"""A single line out of a track: overlaps trimmed, chords refused or thinned to their top or bottom."""

from collections.abc import Sequence
from itertools import pairwise

from slurwright.errors import PartError
from slurwright.formats.midi.events import Stroke, Track
from slurwright.score import Notice

__all__ = ["VOICES", "has_chords", "single_line"]

VOICES = ("top", "bottom")
_TOGETHER = 1 / 12
"""Strokes that start within this of each other are meant together [quarters]; ours."""
_MUSIC_OVERLAP = 0.5
"""A note that sounds on past this share of the next one is a second voice, not a legato overlap; ours."""


def has_chords(strokes: Sequence[Stroke]) -> bool:
    """Say whether two keys are held together for longer than a legato overlap."""
    return any(_together(first, second) for first, second in pairwise(strokes))


def _together(first: Stroke, second: Stroke) -> bool:
    overlap = min(first.end, second.end) - second.start
    return overlap > _MUSIC_OVERLAP * max(1, second.end - second.start)


def single_line(
    track: Track, *, ticks_per_quarter: int, voice: str | None, where: str
) -> tuple[tuple[Stroke, ...], tuple[Notice, ...]]:
    """Give the strokes of one line, each ending no later than the next one starts.

    Args:
        track: the track.
        ticks_per_quarter: division of the file [ticks].
        voice: "top" or "bottom" of chords; None or "1" where there are none.
        where: words for messages.

    Raises:
        PartError: chords and no voice named, no such voice, or nothing left.

    """
    chords = has_chords(track.strokes)
    voice = voice.split()[-1] if voice and voice.strip() else None
    _check_voice(track, ticks_per_quarter, voice, where, chords=chords)
    strokes = [stroke for stroke in track.strokes if stroke.end > stroke.start]
    notices: list[Notice] = []
    if len(strokes) < len(track.strokes):
        notices.append(Notice(f"notes without length left out: {len(track.strokes) - len(strokes)}", where))
    if track.hanging:
        notices.append(Notice(f"notes that are never released, ended with the track: {track.hanging}", where))
    if chords:
        before = len(strokes)
        strokes = _thin(strokes, ticks_per_quarter, top=voice == "top")
        notices.append(
            Notice(f"the {voice} notes of chords were taken, {before - len(strokes)} notes left out", where)
        )
    if not strokes:
        raise PartError("the part has no notes", where=where)
    line, trimmed = _trim(strokes)
    if trimmed:
        notices.append(Notice(f"notes that overlapped the next one, cut off where it starts: {trimmed}", where))
    return tuple(line), tuple(notices)


def _check_voice(track: Track, ticks_per_quarter: int, voice: str | None, where: str, *, chords: bool) -> None:
    if chords and voice not in VOICES:
        tick = next(b.start for a, b in pairwise(track.strokes) if _together(a, b))
        raise PartError(
            "several notes sound at once in a line that must be single",
            got=f"from quarter {tick / ticks_per_quarter:.2f} on" if voice is None else f"voice {voice!r}",
            allowed="voice top or bottom",
            where=where,
        )
    if not chords and voice not in (None, "1", *VOICES):
        raise PartError("no such voice", got=repr(voice), allowed="1", where=where)


def _thin(strokes: Sequence[Stroke], ticks_per_quarter: int, *, top: bool) -> list[Stroke]:
    """Keep one stroke of each chord; of voices that move apart, keep what lies outermost while it sounds."""
    kept: list[Stroke] = []
    for stroke in strokes:
        if kept and stroke.start - kept[-1].start <= _TOGETHER * ticks_per_quarter:
            if _outer(stroke, kept[-1], top=top):
                kept[-1] = stroke
        elif kept and _together(kept[-1], stroke) and not _outer(stroke, kept[-1], top=top):
            continue
        else:
            kept.append(stroke)
    return kept


def _outer(stroke: Stroke, other: Stroke, *, top: bool) -> bool:
    return stroke.key > other.key if top else stroke.key < other.key


def _trim(strokes: Sequence[Stroke]) -> tuple[list[Stroke], int]:
    line: list[Stroke] = []
    trimmed = 0
    for stroke in strokes:
        if line and line[-1].start == stroke.start:
            line.pop()
            trimmed += 1
        elif line and line[-1].end > stroke.start:
            last = line[-1]
            line[-1] = Stroke(last.start, stroke.start, last.key, last.velocity)
            trimmed += 1
        line.append(stroke)
    return line, trimmed
