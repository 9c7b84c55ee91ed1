"""Which tunes a text of ABC holds, and which of its lines are music.

Follows the ABC music standard 2.1 (published: abcnotation.com, December 2011): a tune begins with ``X:``, its
header ends with ``K:``, and it ends at an empty line. A text without ``X:`` is one typed tune; what its header
lacks is put in front. Where ``L:`` is missing, the unit is a 16th in metres below 3/4, else an eighth.
"""

import re
from dataclasses import dataclass
from fractions import Fraction

from slurwright.errors import NotationError
from slurwright.score import Notice

__all__ = ["SourceLine", "Tune", "decoded", "tunes_of"]

_FIELD = re.compile(r"[A-Za-z+]:")
_PASSED_OVER = re.compile(r"(?:[mrs]:|%%|I:)")
_INCLUDE = re.compile(r"(?:%%|I:)\s*abc-include", re.IGNORECASE)
_BLOCK = re.compile(r"%%\s*begin(\w+)")
_HEADER_FIELDS = "ABCDFGHILMNOPQRSTUVWXZmr"


@dataclass(frozen=True, slots=True)
class SourceLine:
    """A line with where it begins."""

    offset: int
    """Place of its first character in the text, from 0."""
    number: int
    text: str


@dataclass(frozen=True, slots=True)
class Tune:
    """One tune, ready to be converted."""

    number: str
    """What stands after ``X:``; empty for a typed tune."""
    title: str
    header: tuple[SourceLine, ...]
    body: tuple[SourceLine, ...]
    text: str
    """What the converter is given: dangerous and foreign lines left out, missing fields put in."""
    notices: tuple[Notice, ...]


def decoded(data: bytes, *, where: str) -> tuple[str, str]:
    """Turn bytes into text and say by which encoding: UTF-8, else Windows western.

    Raises:
        NotationError: the bytes are no text.

    """
    for encoding in ("utf-8", "cp1252", "latin-1"):
        try:
            text = data.decode(encoding)
        except UnicodeDecodeError:
            continue
        if "\0" in text:
            break
        return text, encoding
    raise NotationError("not a text of ABC", got=repr(data[:12]), allowed="text in UTF-8 or Latin-1", where=where)


def tunes_of(text: str, *, where: str) -> tuple[Tune, ...]:
    """Part a text into tunes.

    Raises:
        NotationError: nothing in it is music.

    """
    lines = _lines(text)
    starts = [at for at, line in enumerate(lines) if line.text.startswith("X:")]
    if not starts:
        return (_tune("", [], _trimmed(lines), where),)
    preamble = [line for line in lines[: starts[0]] if _FIELD.match(line.text) or line.text.startswith("%%")]
    tunes: list[Tune] = []
    for at, end in zip(starts, [*starts[1:], len(lines)], strict=True):
        own = lines[at:end]
        stop = next((i for i, line in enumerate(own) if not line.text.strip()), len(own))
        tunes.append(_tune(own[0].text[2:].split("%")[0].strip() or "?", preamble, own[:stop], where))
    return tuple(tunes)


def _lines(text: str) -> list[SourceLine]:
    lines: list[SourceLine] = []
    offset = 0
    for number, raw in enumerate(re.split(r"(?<=\n)|(?<=\r)(?!\n)", text), start=1):
        bare = raw.rstrip("\r\n")
        start = offset + len(bare) - len(bare.lstrip(" \t\ufeff"))
        if raw:
            lines.append(SourceLine(start, number, bare.strip(" \t\ufeff")))
        offset += len(raw)
    return lines


def _trimmed(lines: list[SourceLine]) -> list[SourceLine]:
    """Drop empty lines in front and everything from the first empty line after music."""
    filled = [at for at, line in enumerate(lines) if line.text]
    if not filled:
        return []
    own = lines[filled[0] :]
    stop = next((at for at, line in enumerate(own) if not line.text), len(own))
    return own[:stop]


def _tune(number: str, preamble: list[SourceLine], lines: list[SourceLine], where: str) -> Tune:
    notices: list[Notice] = []
    live = _live(lines, notices, where)
    end = next((at for at, line in enumerate(live) if line.text.startswith("K:")), None)
    typed_header = 0
    while typed_header < len(live) and _is_header_field(live[typed_header].text):
        typed_header += 1
    header = live[: end + 1] if end is not None else live[:typed_header]
    body = live[len(header) :]
    front = [line.text for line in (*_live(preamble, notices, where), *header)]
    text = "\n".join([*_completed(front, notices, where, typed=not number), *(line.text for line in body)])
    title = next((line.text[2:].split("%")[0].strip() for line in header if line.text.startswith("T:")), "")
    return Tune(number, title, tuple(header), tuple(body), _tamed(text), tuple(notices))


def _is_header_field(text: str) -> bool:
    return text.startswith("%") or (len(text) > 1 and text[1] == ":" and text[0] in _HEADER_FIELDS)


def _live(lines: list[SourceLine], notices: list[Notice], where: str) -> list[SourceLine]:
    """Leave out what the converter must not see: other files, typesetting blocks, symbol lines, macros."""
    kept: list[SourceLine] = []
    block = ""
    for line in lines:
        place = f"{where}: line {line.number}" if where else f"line {line.number}"
        begins = _BLOCK.match(line.text)
        if block:
            if re.match(rf"%%\s*end{re.escape(block)}\b", line.text):
                block = ""
        elif begins:
            block = begins[1]
        elif _INCLUDE.match(line.text):
            notices.append(Notice("another file is not read in from here", place))
        elif line.text[:2] in ("m:", "s:"):
            kind = "a macro" if line.text[0] == "m" else "a symbol line"
            notices.append(Notice(f"{kind} is not understood and passed over", place))
        elif line.text and not line.text.startswith("r:"):
            kept.append(line)
    return kept


def _completed(front: list[str], notices: list[Notice], where: str, *, typed: bool) -> list[str]:
    """Put in the fields that a tune needs: number, unit length, key."""
    key = [text for text in front if text.startswith("K:")]
    rest = [text for text in front if not text.startswith("K:")]
    if not any(text.startswith("X:") for text in rest):
        rest.insert(0, "X:1")
    missing: list[str] = []
    if not any(text.startswith("L:") for text in rest):
        unit = _unit_of(next((text for text in rest if text.startswith("M:")), ""))
        rest.append(f"L:{unit}")
        if typed:
            missing.append(f"L:{unit}")
    if not key:
        key = ["K:C"]
        missing.append("K:C")
    if missing:
        notices.append(
            Notice(
                f"the tune has no {' and no '.join(m[:2] for m in missing)}, so {' '.join(missing)} is taken", where
            )
        )
    return [*rest, *key]


def _unit_of(metre: str) -> str:
    found = re.match(r"M:\s*\(?\s*([\d+ ]+)\)?\s*/\s*(\d+)", metre)
    if not found:
        return "1/8"
    beats = sum(int(number) for number in re.findall(r"\d+", found[1]))
    unit = int(found[2])
    return "1/16" if unit and Fraction(beats, unit) < Fraction(3, 4) else "1/8"


def _tamed(text: str) -> str:
    """Take out what the converter stumbles over: the plus sign of ``transpose=+2``, changes of staff."""
    text = re.sub(r"((?:transpose|\bt)\s*=?\s*)\+(?=\d)", r"\1", text)
    return re.sub(r"\[I:\s*staff\b[^\]]*\]", "", text)
