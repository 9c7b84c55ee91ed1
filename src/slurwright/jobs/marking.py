"""The player's own file back, marked: every note's fingering, every weak slur's sign."""

from slurwright.errors import RequestError
from slurwright.formats.marks import Mark, mark_file
from slurwright.formats.pages.request import RowStyle
from slurwright.jobs.words import slur_sign
from slurwright.plan.study import Study

__all__ = ["marked_file", "marks_of"]


def marks_of(study: Study, *, row_style: RowStyle = RowStyle.ALL) -> tuple[Mark, ...]:
    """Say what is to be written at which note of the file, once for each place in it.

    A tied note is marked where it begins. A weak slur's sign stands at the note that it leaves.

    Args:
        study: the studied part.
        row_style: every note, or only departures from the normal fingering and the notes of weak slurs.
    """
    fingerings: dict[str, list[str]] = {}
    signs: dict[str, list[str]] = {}
    weak_sounds: set[int] = set()
    for number, report in enumerate(study.weak, start=1):
        move = study.line.moves[report.move]
        signs.setdefault(_place(study, move.source, -1), []).append(slur_sign(number, report))
        weak_sounds |= {move.source, move.target}
    for sound, way in zip(study.line.sounds, study.plan.ways, strict=True):
        if row_style is RowStyle.ALL or not way.normal or sound.index in weak_sounds:
            fingerings.setdefault(_place(study, sound.index, 0), []).append(way.fingering)
    return tuple(
        Mark(place, fingering=_each_once(fingerings.get(place)), sign=_each_once(signs.get(place)))
        for place in dict.fromkeys([*fingerings, *signs])
    )


def _place(study: Study, sound: int, which: int) -> str:
    return study.part.notes[study.line.sounds[sound].notes[which]].place


def _each_once(words: list[str] | None) -> str | None:
    """One text for a note that is played several times: what all passes share, or each in order."""
    return ", ".join(dict.fromkeys(words)) if words else None


def marked_file(
    data: bytes,
    study: Study,
    *,
    notation: str,
    row_style: RowStyle = RowStyle.ALL,
    keep_existing: bool = True,
    where: str = "",
) -> bytes:
    """Write a study into the file that its part came from.

    Args:
        data: the file as it came.
        study: the studied part.
        notation: the file's format, as its reader names it.
        row_style: which notes are marked.
        keep_existing: leave fingerings that stand in the file; False replaces them on marked notes.
        where: the file's name for messages.

    Raises:
        RequestError: notes of this part cannot be found again in the file.
    """
    marks = marks_of(study, row_style=row_style)
    if any(not mark.place for mark in marks):
        raise RequestError(
            "the notes of this part cannot be found again in the file, so it cannot be marked",
            allowed="pages and a MusicXML copy can still be made of it",
            where=where,
        )
    return mark_file(data, marks, format=notation, keep_existing=keep_existing, where=where)
