"""Lines and fields of Humdrum text: what kind each line is, which spine each field belongs to, our own spine.

Humdrum is lines of fields parted by tabs (published: D. Huron, "The Humdrum Toolkit: Reference Manual", 1995).
A line begins with ``!!`` (global comment, one field), ``!`` (local comment), ``*`` (interpretation), ``=`` (bar
line) or data. Spines split (``*^``), join (``*v``), change places (``*x``), begin (``*+``) and end (``*-``).

Our spine stands right of the notes that it belongs to, where other programs look for it; its second line is the
interpretation ``*slurwright``. A local comment of ours comes before a note that has a sign, or whose fingering by
others is hidden.
"""

from collections.abc import Sequence
from enum import StrEnum

from slurwright.errors import NotationError

__all__ = [
    "HIDDEN",
    "OWN_COMMENT",
    "OWN_HEADER",
    "OWN_INTERPRETATION",
    "LineKind",
    "check_fields",
    "followed",
    "kind_of",
    "split_lines",
    "without_spine",
]

OWN_HEADER = b"**fing"
OWN_INTERPRETATION = b"*slurwright"
OWN_COMMENT = b"!slurwright:"
HIDDEN = b"!slurwright hides "
"""What a fingering of others turns into: behind these words it waits in our comment."""
_OURS = -1


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


def followed(spines: Sequence[int], fields: Sequence[bytes]) -> list[int]:
    """Say which spine each field of the next line belongs to, after an interpretation line.

    Args:
        spines: spine of each field of this line, from 0; shape=(n,) [1].
        fields: its fields; shape=(n,).

    """
    after: list[int] = []
    newest = max(spines, default=0)
    swapping = -1
    for at, (spine, field) in enumerate(zip(spines, fields, strict=True)):
        if field == b"*-" or (field == b"*v" and at and fields[at - 1] == b"*v"):
            continue
        after.append(spine)
        if field == b"*^":
            after.append(spine)
        elif field == b"*+":
            newest += 1
            after.append(newest)
        elif field == b"*x":
            if swapping >= 0:
                after[swapping], after[-1] = after[-1], after[swapping]
                swapping = -1
            else:
                swapping = len(after) - 1
    return after


def check_fields(lines: Sequence[tuple[bytes, bytes]], *, where: str) -> None:
    """See that every line has as many fields as there are spines.

    Raises:
        NotationError: a line has more or fewer.

    """
    spines: list[int] = []
    for number, (line, _) in enumerate(lines, start=1):
        kind = kind_of(line)
        if kind in (LineKind.EMPTY, LineKind.GLOBAL):
            continue
        fields = line.split(b"\t")
        if kind is LineKind.EXCLUSIVE and not spines:
            spines = list(range(len(fields)))
        if len(fields) != len(spines):
            raise NotationError(
                "a Humdrum line has another number of fields than there are spines",
                got=f"{len(fields)} fields",
                allowed=str(len(spines)),
                where=f"{where}: line {number}" if where else f"line {number}",
            )
        if kind in (LineKind.INTERPRETATION, LineKind.END):
            spines = followed(spines, fields)


def without_spine(data: bytes) -> bytes:
    """Take our own spine out, byte for byte; text without one comes back as it is."""
    if OWN_INTERPRETATION not in data:
        return data
    kept: list[bytes] = []
    spines: list[int] = []
    hidden: dict[int, bytes] = {}
    all_lines = split_lines(data)
    lines = iter(enumerate(all_lines))
    for at, (line, ending) in lines:
        kind, fields, end = kind_of(line), line.split(b"\t"), ending
        if kind is LineKind.EXCLUSIVE:
            own = _own_column(fields, all_lines[at + 1][0] if at + 1 < len(all_lines) else b"")
            spines = [_OURS if column == own else column for column in range(len(fields))]
            if own is not None:
                _, (_, end) = next(lines)
        if kind in (LineKind.EMPTY, LineKind.GLOBAL) or _OURS not in spines or len(fields) != len(spines):
            kept += (line, ending)
            continue
        column = spines.index(_OURS)
        if fields[column].startswith(OWN_COMMENT):
            hidden = {i: field.removeprefix(HIDDEN) for i, field in enumerate(fields) if field.startswith(HIDDEN)}
            continue
        bare = [hidden.get(i, field) for i, field in enumerate(fields) if i != column]
        hidden = {}
        kept += (b"\t".join(bare), end)
        if kind in (LineKind.INTERPRETATION, LineKind.END):
            spines = followed(spines, fields)
    return b"".join(kept)


def _own_column(fields: Sequence[bytes], following: bytes) -> int | None:
    """Find our spine among the headers: the next line must name us in the same column."""
    names = following.split(b"\t")
    if len(names) != len(fields):
        return None
    return next((i for i, field in enumerate(fields) if field == OWN_HEADER and names[i] == OWN_INTERPRETATION), None)
