"""Which writer of marks serves a format; each is imported only when a file of its format comes."""

from collections.abc import Sequence
from importlib import import_module
from typing import Protocol, cast

from slurwright.errors import RequestError
from slurwright.formats.marks.mark import Mark

__all__ = ["MARKED_FORMATS", "mark_file", "unmark_file"]

MARKED_FORMATS: tuple[str, ...] = ("abc", "humdrum", "mei", "midi", "musicxml")
"""Formats whose files can be given back marked, named as `ScoreFile.format` names them."""

_ZIP_MAGIC = (b"PK\x03\x04", b"PK\x05\x06")


class _Mark(Protocol):
    def __call__(self, data: bytes, marks: Sequence[Mark], *, keep_existing: bool, where: str) -> bytes: ...


class _Unmark(Protocol):
    def __call__(self, data: bytes, *, where: str) -> bytes: ...


def mark_file(
    data: bytes,
    marks: Sequence[Mark],
    *,
    format: str,  # noqa: A002  the readers' own word
    keep_existing: bool = True,
    where: str = "",
) -> bytes:
    """Which bytes is this file with these marks written into it.

    Marks of ours that stand in the file already are replaced.

    Args:
        data: the file as it came.
        marks: what to write, at most one for a place.
        format: one of `MARKED_FORMATS`; a compressed MusicXML file is "musicxml" too.
        keep_existing: True leaves fingerings of others beside ours; False replaces them on notes that get a
            fingering of ours, in a way that `unmark_file` undoes.
        where: the file's name for messages.

    Raises:
        NotationError: the file cannot be read.
        RequestError: no such format, a place that the file does not have, or two marks for one place.

    """
    write = cast(_Mark, getattr(_module(format, data), f"mark_{_name(format, data)}"))
    return write(data, marks, keep_existing=keep_existing, where=where)


def unmark_file(data: bytes, *, format: str, where: str = "") -> bytes:  # noqa: A002  the readers' own word
    """Which bytes was this file before it was marked.

    A file without marks of ours comes back as it is.

    Args:
        data: the file as it came.
        format: one of `MARKED_FORMATS`.
        where: the file's name for messages.

    Raises:
        NotationError: the file cannot be read, or its marks were damaged.
        RequestError: no such format.

    """
    cut = cast(_Unmark, getattr(_module(format, data), f"unmark_{_name(format, data)}"))
    return cut(data, where=where)


def _name(notation: str, data: bytes) -> str:
    if notation not in MARKED_FORMATS:
        raise RequestError("no such notation format", got=repr(notation), allowed=", ".join(MARKED_FORMATS))
    return "mxl" if notation == "musicxml" and data.startswith(_ZIP_MAGIC) else notation


def _module(notation: str, data: bytes) -> object:
    return import_module(f"slurwright.formats.marks.{_name(notation, data)}")
