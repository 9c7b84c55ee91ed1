"""Marks in ABC text: an annotation before the note, behind a remark that says that it is ours.

A place is a byte of the unmarked file, and behind a dot the rank inside a group of grace notes, before which the
marks of the group stand. ABC has no percent sign outside comments and no double quote inside quotes: "%" is
written "pct" and a double quote as a single one.
"""

import re
from collections.abc import Iterable, Sequence

from slurwright.errors import RequestError
from slurwright.formats.abc.letters import Letter, letters_of
from slurwright.formats.abc.own import ANNOTATION_START, REPLACED_START, without_marks
from slurwright.formats.abc.tunes import decoded, tunes_of
from slurwright.formats.marks.mark import Mark
from slurwright.formats.marks.wanted import by_place, plain_line

__all__ = ["mark_abc", "unmark_abc"]

_PLACE = re.compile(r"(\d{1,9})(?:\.(\d{1,4}))?", re.ASCII)


def mark_abc(data: bytes, marks: Sequence[Mark], *, keep_existing: bool, where: str) -> bytes:
    """Which bytes is this ABC text with these marks in place of any of ours that it had.

    Args:
        data: the text.
        marks: what to write, at most one for a place.
        keep_existing: False hides fingering decorations on notes that get a fingering of ours.
        where: the file's name for messages.

    Raises:
        NotationError: not a text.
        RequestError: a place that is no note of this text, two marks for a place, or text that cannot be written.

    """
    bare = without_marks(data)
    wanted = by_place(marks, pattern=_PLACE, allowed="byte of a note, as the reader gives it", where=where)
    if not wanted:
        return bare
    text, encoding = decoded(bare, where=where)
    letters = _letters(text, encoding, where)
    splices: dict[tuple[int, int, int], tuple[int, bytes]] = {}
    for place, (mark, found) in wanted.items():
        letter = letters.get(place)
        if letter is None:
            raise RequestError("no note stands at this place of the text", got=place, where=where)
        start, rank = int(found[1]), int(found[2] or 0)
        splices[start, 1, rank] = start, _annotations(mark, encoding)
        if mark.fingering is not None and not keep_existing:
            for low, high in letter.fingerings:
                first, last = (len(text[:edge].encode(encoding)) for edge in (low, high))
                splices[first, 0, rank] = last, REPLACED_START + bare[first:last] + b"]"
    pieces: list[bytes] = []
    done = 0
    for (start, _, _), (end, new) in sorted(splices.items()):
        pieces += (bare[done:start], new)
        done = end
    return b"".join((*pieces, bare[done:]))


def unmark_abc(data: bytes, *, where: str) -> bytes:  # noqa: ARG001  every writer of marks is asked alike
    """Which bytes was this ABC text before it was marked.

    Args:
        data: the text.
        where: the file's name for messages.

    """
    return without_marks(data)


def _letters(text: str, encoding: str, where: str) -> dict[str, Letter]:
    """Every note of the text by its place."""
    found: dict[str, Letter] = {}
    bytes_until, characters = 0, 0
    for letter in sorted(_all_letters(text, where), key=lambda letter: (letter.offset, letter.rank)):
        bytes_until += len(text[characters : letter.offset].encode(encoding))
        characters = letter.offset
        found[f"{bytes_until}.{letter.rank}" if letter.grace else str(bytes_until)] = letter
    return found


def _all_letters(text: str, where: str) -> Iterable[Letter]:
    for tune in tunes_of(text, where=where):
        voices, _ = letters_of(tune, where=where)
        for voice in voices:
            yield from voice.letters


def _annotations(mark: Mark, encoding: str) -> bytes:
    sides = ("^", "_") if mark.above else ("_", "^")
    new = b""
    for side, text, what in ((sides[0], mark.fingering, "fingering"), (sides[1], mark.sign, "sign")):
        if text is not None:
            words = plain_line(text, what=what).replace("%", "pct").replace('"', "'").replace("\\", "/")
            new += ANNOTATION_START + f'"{side}{words}"'.encode(encoding, "replace")
    return new
