"""Which tunes are no music by their mere shape, so that the converter need not try: ours, far above any real tune.

The time of the converter grows with the cube of how deep signs stand in each other and with the square of a bar's
length.
"""

import re

from slurwright.errors import Fault
from slurwright.formats.abc.letters import FIELD_LINE, TOKENS
from slurwright.formats.abc.tunes import SourceLine, Tune

__all__ = ["LARGEST_BOOK_BYTES", "MOST_CHARACTERS", "bound_faults"]

LARGEST_BOOK_BYTES = 8_000_000
"""Most that is read of a book of tunes; ours, tens of thousands of tunes [bytes]."""
MOST_CHARACTERS = 60_000
"""Most that is converted; ours, some five thousand bars, which take the converter half a minute [1]."""
_DEEPEST = 8
_LONGEST_BAR = 2_000
_LONGEST_REST = 999
_LONG_REST = re.compile(r"[XZ](\d+)")
_OPENS = {"chord_open", "grace_open"}
_CLOSES = {"chord_close", "grace_close"}


def bound_faults(tune: Tune, *, where: str) -> tuple[Fault, ...]:
    """Say where a tune is longer, or has longer bars and rests or deeper nesting, than music has.

    Args:
        tune: the tune.
        where: its name for messages.

    """
    if len(tune.text) > MOST_CHARACTERS:
        got, allowed = f"{len(tune.text):,} characters", f"up to {MOST_CHARACTERS:,}"
        return (Fault("the tune is longer than music is", got=got, allowed=allowed, where=where),)
    faults: list[Fault] = []
    in_bar = 0
    for line in tune.body:
        if FIELD_LINE.match(line.text):
            continue
        place = f"{where}: line {line.number}" if where else f"line {line.number}"
        deepest, longest, in_bar = _shape(line, in_bar)
        if deepest > _DEEPEST:
            problem = "chords or grace notes stand in each other, deeper than music has"
            faults.append(Fault(problem, got=f"{deepest} deep", allowed=f"up to {_DEEPEST}", where=place))
        if longest > _LONGEST_BAR:
            problem = "a bar of more notes than music has"
            faults.append(Fault(problem, got=f"{longest:,}", allowed=f"up to {_LONGEST_BAR:,}", where=place))
            in_bar = 0
        faults.extend(
            Fault(
                "a rest of more measures than music has",
                got=found[0][:20],
                allowed=f"up to {_LONGEST_REST}",
                where=place,
            )
            for found in _LONG_REST.finditer(line.text)
            if len(found[1]) > len(str(_LONGEST_REST))
        )
    return tuple(faults)


def _shape(line: SourceLine, in_bar: int) -> tuple[int, int, int]:
    """How deep signs stand in each other, how long the longest bar gets, how much of a bar is left over."""
    depth = deepest = 0
    longest = in_bar
    for token in TOKENS.finditer(line.text):
        kind = token.lastgroup
        if kind == "comment":
            break
        if kind == "bar":
            in_bar = 0
        elif token["note"] or kind == "rest":
            in_bar += 1
            longest = max(longest, in_bar)
        elif kind in _OPENS:
            depth += 1
            deepest = max(deepest, depth)
        elif kind in _CLOSES:
            depth = max(0, depth - 1)
    return deepest, longest, in_bar
