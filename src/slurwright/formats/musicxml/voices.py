"""Which of a part's notes are the player's line: one voice of a divisi, the upper or lower note of chords.

A voice that is named gives its own notes; in measures where it says nothing, not even a printed rest, both players
read the one line that is there. Several voices that never sound together are one line. "top" and "bottom" take the
upper or lower notes of chords, and of several voices the higher or the lower one; "2 top" names both.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import groupby, pairwise

from slurwright.errors import PartError
from slurwright.formats.musicxml.faults import Log
from slurwright.formats.musicxml.walk import RawNote

__all__ = ["LineNote", "choose_line"]

_SIDES = ("top", "bottom")
_MOST_MEASURES_NAMED = 12
_TOUCH_QUARTERS = 1e-6
"""Closer than any two onsets of notation can be without being one."""


@dataclass(slots=True)
class LineNote:
    """One note or rest of the line, with every note that stands on the same stem."""

    raw: RawNote
    stem: tuple[RawNote, ...]
    """The chord's notes in file order, `raw` among them; signs often stand at its first note only."""


def choose_line(notes: Sequence[RawNote], wanted: str | None, log: Log, numbers: Sequence[str]) -> list[LineNote]:
    """Pick the line and put it in order of time.

    Args:
        notes: every pitched note and rest of the part, in file order.
        wanted: the player's word, or None.
        log: takes notices.
        numbers: printed numbers of the measures, for messages.

    Raises:
        PartError: no notes, no such voice, or several notes at once.

    """
    voice, side = _parsed(wanted)
    by_voice: dict[str, list[RawNote]] = {}
    for note in notes:
        by_voice.setdefault(note.voice, []).append(note)
    sounding = [name for name, members in by_voice.items() if any(note.pitch for note in members)]
    if not sounding:
        raise PartError("the part has no notes to play", where=log.where(""))
    if voice is not None and voice not in sounding:
        raise PartError(
            "no such voice with notes", got=repr(wanted or ""), allowed=_offer(sounding), where=log.where("")
        )
    if voice is None and len(sounding) > 1 and side is not None:
        voice = _outer(by_voice, sounding, side)
    members = list(notes) if voice is None else _with_shared_measures(by_voice, voice, log)
    line = _stems(members, side)
    _refuse_together(line, log, numbers, sounding, chosen=voice, side=side)
    if voice is None and len(sounding) > 1:
        log.notice(f"voices {', '.join(sounding)} never sound together and are read as one line", "")
    return line


def _parsed(wanted: str | None) -> tuple[str | None, str | None]:
    """Split the player's word into voice and side."""
    words = (wanted or "").split()
    side = words.pop().lower() if words and words[-1].lower() in _SIDES else None
    return (" ".join(words) or None), side


def _offer(sounding: Sequence[str], *, chords: bool = False) -> str:
    offers = [f"voice {name}" for name in sounding] if len(sounding) > 1 else []
    sides = [f"{sounding[0]} {side}" if len(sounding) > 1 else side for side in _SIDES] if chords else []
    return ", ".join([*offers, *sides]) or f"voice {sounding[0]}, or {' or '.join(_SIDES)} where there are chords"


def _outer(by_voice: dict[str, list[RawNote]], sounding: Sequence[str], side: str) -> str:
    """Find the voice that lies highest or lowest on average."""

    def height(name: str) -> Fraction:
        heights = [note.pitch.height for note in by_voice[name] if note.pitch]
        return Fraction(sum(heights), len(heights))

    ranked = sorted(sounding, key=height)
    return ranked[-1] if side == "top" else ranked[0]


def _with_shared_measures(by_voice: dict[str, list[RawNote]], voice: str, log: Log) -> list[RawNote]:
    """Fill measures in which the voice is silent in print from the first other voice of its staff."""
    own = by_voice[voice]
    busy = {note.measure for note in own if note.pitch or not note.hidden}
    staff = own[0].staff
    chosen = [note for note in own if note.measure in busy]
    borrowed: dict[int, str] = {}
    for name, members in by_voice.items():
        if name == voice:
            continue
        for note in members:
            if note.staff != staff or note.measure in busy:
                continue
            if borrowed.setdefault(note.measure, name) == name:
                chosen.append(note)
    if any(note.pitch for note in chosen if note.measure in borrowed):
        log.notice(f"where voice {voice} is empty, the line that both players share is read", "")
    return sorted(chosen, key=lambda note: note.ordinal)


def _stems(members: Sequence[RawNote], side: str | None) -> list[LineNote]:
    """Gather chords into stems and take one note of each."""
    stems: list[list[RawNote]] = []
    for note in members:
        if note.chord and stems and stems[-1][0].position == note.position and stems[-1][0].voice == note.voice:
            stems[-1].append(note)
        else:
            stems.append([note])
    line = []
    for stem in stems:
        if len(stem) == 1:
            line.append(LineNote(stem[0], (stem[0],)))
            continue
        pitched = sorted(
            (note for note in stem if note.pitch), key=lambda note: note.pitch.height if note.pitch else 0
        )
        chosen = stem[0] if not pitched or side is None else pitched[-1] if side == "top" else pitched[0]
        line.append(LineNote(chosen, tuple(stem)))
    if any(later.raw.position < before.raw.position for before, later in pairwise(line)):
        line.sort(key=lambda item: (item.raw.measure, item.raw.position))
    return line


def _refuse_together(
    line: Sequence[LineNote],
    log: Log,
    numbers: Sequence[str],
    sounding: Sequence[str],
    *,
    chosen: str | None,
    side: str | None,
) -> None:
    """Make sure that never two notes sound at once."""
    chords: set[int] = set()
    overlaps: set[int] = set()
    end = -1.0
    for item in line:
        raw = item.raw
        if raw.pitch is None:
            continue
        if side is None and len(item.stem) > 1 and len({note.pitch.height for note in item.stem if note.pitch}) > 1:
            chords.add(raw.measure)
        if raw.position < end - _TOUCH_QUARTERS:
            overlaps.add(raw.measure)
        end = max(end, raw.end)
    measures = sorted(chords | overlaps)
    if not measures:
        return
    divided = bool(overlaps) and chosen is None and len(sounding) > 1
    problem = "the part divides into several voices" if divided else "several notes at once in a single player's line"
    raise PartError(
        f"{problem}; choose a voice",
        got=f"measures {_ranges(measures, numbers)}",
        allowed=_offer(sounding if chosen is None else [chosen], chords=bool(chords)),
        where=log.where(""),
    )


def _ranges(measures: Sequence[int], numbers: Sequence[str]) -> str:
    """Name measures by their printed numbers, runs as ranges."""
    spans = []
    for _, run in groupby(enumerate(measures), key=lambda pair: pair[1] - pair[0]):
        indices = [index for _, index in run]
        first, last = numbers[indices[0]], numbers[indices[-1]]
        spans.append(first if len(indices) == 1 else f"{first}–{last}")
    shown = ", ".join(spans[:_MOST_MEASURES_NAMED])
    return f"{shown} and more" if len(spans) > _MOST_MEASURES_NAMED else shown
