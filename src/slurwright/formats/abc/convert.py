"""What the converter made of a tune: its MusicXML, its remarks as notices, its failure as an error."""

import re

from slurwright.errors import NotationError
from slurwright.score import Notice

__all__ = ["converted"]

_NOISE = re.compile(
    r"decoded from|skipped header: \(field X|skipped I-field|unhandled field: (?:r|V)\b|done in"
    r"|unhandled note decorations: \[\]"
)


def converted(xml: str, remarks: str, *, where: str) -> tuple[bytes, tuple[Notice, ...]]:
    """Give the document and the notices that came of a tune.

    Args:
        xml: what the converter wrote; empty where it gave the tune up.
        remarks: what it said, line by line.
        where: the tune's name for messages.

    Raises:
        NotationError: the converter gave it up; the error shows the line that it stopped at.

    """
    said = [line.removeprefix("-- ") for line in remarks.splitlines() if line.strip()]
    if not xml:
        raise NotationError(
            "this is not ABC that can be read", got=_shown(said), allowed="a tune in ABC 2.1 notation", where=where
        )
    return xml.encode("utf-8"), tuple(_notices(said, where))


def _shown(said: list[str]) -> str:
    """Show the line that the converter stopped at, marked where it stopped."""
    lines = [line for line in said if not _NOISE.match(line)]
    for at, line in enumerate(lines):
        if re.fullmatch(r"-*\^", line) and at:
            column = len(line) - 1
            text = lines[at - 1]
            return f"{text[:column]} >>> {text[column:]}".strip()
    return "; ".join(lines[-3:])


def _notices(said: list[str], where: str) -> list[Notice]:
    found: list[Notice] = []
    for at, line in enumerate(said):
        if _NOISE.match(line):
            continue
        if line.startswith("**misplaced symbol:"):
            near = said[at + 1].strip() if at + 1 < len(said) else ""
            found.append(
                Notice(f"passed over a symbol that means nothing there: {line[19:].strip()} near {near}", where)
            )
        elif not re.fullmatch(r"-*\^", line) and not (at and said[at - 1].startswith("**misplaced symbol:")):
            found.append(Notice(f"ABC: {line}", where))
    return found
