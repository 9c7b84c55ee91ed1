"""Marks sorted by their places, before a writer looks for them in a file."""

import re
from collections.abc import Sequence

from slurwright.errors import Fault, RequestError
from slurwright.formats.marks.mark import Mark

__all__ = ["by_place", "plain_line"]


def by_place(
    marks: Sequence[Mark], *, pattern: re.Pattern[str], allowed: str, where: str
) -> dict[str, tuple[Mark, re.Match[str]]]:
    """Which mark is wanted at which place, each place taken apart by the pattern of its format.

    Args:
        marks: what to write, at most one for a place.
        pattern: what a place of this format looks like.
        allowed: the same in words.
        where: the file's name for messages.

    Raises:
        RequestError: a place of another form, or two marks for one place; all of them at once.

    """
    wanted: dict[str, tuple[Mark, re.Match[str]]] = {}
    faults: list[Fault] = []
    for mark in marks:
        found = pattern.fullmatch(mark.place)
        if found is None:
            faults.append(Fault("not a place in this file", got=repr(mark.place), allowed=allowed, where=where))
        elif mark.place in wanted:
            faults.append(Fault("two marks for one note", got=mark.place, where=where))
        else:
            wanted[mark.place] = mark, found
    if faults:
        raise RequestError(faults=tuple(faults))
    return wanted


def plain_line(text: str, *, what: str) -> str:
    """Which single line of text is to be written.

    Args:
        text: words of a mark.
        what: what they are, for messages.

    Raises:
        RequestError: empty, or with a line end or another control character.

    """
    if not text.strip() or not text.isprintable():
        raise RequestError(
            f"a {what} cannot be written", got=repr(text), allowed="one line of text without control characters"
        )
    return text
