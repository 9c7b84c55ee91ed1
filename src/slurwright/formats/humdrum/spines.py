"""Lines and fields of Humdrum text: what kind each line is, and our own spine, added and taken away.

Humdrum is lines of fields parted by tabs (published: D. Huron, "The Humdrum Toolkit: Reference Manual", 1995).
A line begins with ``!!`` (global comment, one field), ``!`` (local comment), ``*`` (interpretation), ``=`` (bar
line) or data. Our spine is the last one; its second line is the interpretation ``*slurwright``.
"""

from enum import StrEnum

__all__ = ["OWN_COMMENT", "OWN_HEADER", "OWN_INTERPRETATION", "LineKind", "kind_of", "split_lines", "without_spine"]

OWN_HEADER = b"\t**fing"
OWN_INTERPRETATION = b"*slurwright"
OWN_COMMENT = b"!slurwright: "


class LineKind(StrEnum):
    """What a line is."""

    EMPTY = "empty"
    GLOBAL = "global"
    COMMENT = "comment"
    EXCLUSIVE = "exclusive"
    END = "end"
    INTERPRETATION = "interpretation"
    BAR = "bar"
    DATA = "data"


def split_lines(data: bytes) -> list[tuple[bytes, bytes]]:
    """Give every line as (text, line ending); nothing is lost."""
    lines = [(raw[:-1], b"\r\n") if raw.endswith(b"\r") else (raw, b"\n") for raw in data.split(b"\n")]
    last, ending = lines.pop()
    if last or ending == b"\r\n":
        lines.append((last + (b"\r" if ending == b"\r\n" else b""), b""))
    return lines


def kind_of(line: bytes) -> LineKind:
    """Say what a line is."""
    if not line.strip():
        return LineKind.EMPTY
    if line.startswith(b"!!"):
        return LineKind.GLOBAL
    if line.startswith(b"!"):
        return LineKind.COMMENT
    if line.startswith(b"**") and all(field.startswith(b"**") for field in line.split(b"\t")):
        return LineKind.EXCLUSIVE
    if line.startswith(b"*"):
        return LineKind.END if all(field == b"*-" for field in line.split(b"\t")) else LineKind.INTERPRETATION
    return LineKind.BAR if line.startswith(b"=") else LineKind.DATA


def without_spine(data: bytes) -> bytes:
    """Take our own spine out, byte for byte; text without one comes back as it is."""
    if OWN_INTERPRETATION not in data:
        return data
    kept: list[bytes] = []
    inside = False
    lines = split_lines(data)
    at = 0
    while at < len(lines):
        line, ending = lines[at]
        kind = kind_of(line)
        fields, _, own = line.rpartition(b"\t")
        if kind is LineKind.EXCLUSIVE and line.endswith(OWN_HEADER) and _names_ours(lines, at + 1):
            inside = True
            at += 1
            kept += (fields, lines[at][1])
        elif not inside or kind in (LineKind.EMPTY, LineKind.GLOBAL):
            kept += (line, ending)
        elif not (kind is LineKind.COMMENT and own.startswith(OWN_COMMENT)):
            kept += (fields, ending)
            inside = kind is not LineKind.END
        at += 1
    return b"".join(kept)


def _names_ours(lines: list[tuple[bytes, bytes]], at: int) -> bool:
    return at < len(lines) and lines[at][0].endswith(b"\t" + OWN_INTERPRETATION)
