"""Which notation is this file in: by what it holds first, by its name second.

Each reader is imported only when a file of its notation comes.
"""

import re
from collections.abc import Callable, Sequence

from slurwright.errors import NotationError
from slurwright.formats.scorefile import ScoreFile

__all__ = ["READ_FORMATS", "notation_of", "open_score"]

READ_FORMATS = "MusicXML (.musicxml .xml .mxl), ABC (.abc or typed), MEI (.mei), Humdrum (.krn), MIDI (.mid)"
"""What can be read, in words."""

_ENDINGS = {
    "musicxml": "musicxml",
    "xml": "musicxml",
    "mxl": "musicxml",
    "abc": "abc",
    "mei": "mei",
    "krn": "humdrum",
    "kern": "humdrum",
    "hmd": "humdrum",
    "mid": "midi",
    "midi": "midi",
    "smf": "midi",
}
_HEAD_BYTES = 1 << 16
_ROOT = re.compile(r"<(?:[A-Za-z_][\w.-]*:)?([A-Za-z_][\w.-]*)[\s>/]")
_PROLOG = re.compile(r"<\?.*?(?:\?>|$)|<!--.*?(?:-->|$)|<![A-Z][^\[>]*(?:\[.*?\]\s*)?(?:>|$)", re.DOTALL)
_ROOTS = {
    "score-partwise": "musicxml",
    "score-timewise": "musicxml",
    "mei": "mei",
    "meiCorpus": "mei",
}
_ABC_FIELD = re.compile(r"^(?:X:\s*\d|K:\s*\S|%abc)", re.MULTILINE)
_ABC_ASIDE = re.compile(r'"[^"\n]*"|![^!\n]*!|\[[A-Za-z]:[^\]\n]*\]|^[A-Za-z]:.*$|%.*$', re.MULTILINE)
_ABC_SIGNS = frozenset("ABCDEFGabcdefgzZxXyT0123456789/()[]{}|:<>,'^_=~.-&$\\`uv")
_ABC_SHARE = 0.97


def open_score(
    data: bytes,
    *,
    name: str,
    to_mei: Callable[[bytes, str], str],
    to_musicxml: Callable[[Sequence[str], str], Sequence[tuple[str, str]]],
) -> ScoreFile:
    """Open a notation file, whichever it is.

    Args:
        data: the file's bytes, or typed ABC.
        name: its name, for messages and for what its ending says; typed text may have any.
        to_mei: converts Humdrum to MEI; see `slurwright.formats.humdrum.open_humdrum`.
        to_musicxml: converts ABC to MusicXML; see `slurwright.formats.abc.open_abc`.

    Raises:
        NotationError: empty, unknown, or not readable in its notation.

    """
    if not data.strip(b"\0 \t\r\n"):
        raise NotationError("the file is empty", allowed=READ_FORMATS, where=name)
    notation = notation_of(data, name=name)
    if notation == "musicxml":
        from slurwright.formats.musicxml import open_musicxml  # noqa: PLC0415

        return open_musicxml(data, where=name)
    if notation == "mei":
        from slurwright.formats.mei import open_mei  # noqa: PLC0415

        return open_mei(data, where=name)
    if notation == "midi":
        from slurwright.formats.midi import open_midi  # noqa: PLC0415

        return open_midi(data, where=name)
    if notation == "humdrum":
        from slurwright.formats.humdrum import open_humdrum  # noqa: PLC0415

        return open_humdrum(data, where=name, to_mei=to_mei)
    from slurwright.formats.abc import open_abc  # noqa: PLC0415

    return open_abc(data, where=name, to_musicxml=to_musicxml)


def notation_of(data: bytes, *, name: str) -> str:
    """Say which notation a file is in: "musicxml", "abc", "mei", "humdrum" or "midi".

    Raises:
        NotationError: neither its content nor its name says.

    """
    by_name = _ENDINGS.get(name.lower().rpartition(".")[2])
    found = _by_magic(data) or _by_text(data, by_name) or by_name
    if found is None:
        raise NotationError(
            "this is no notation that can be read", got=_shown(data), allowed=READ_FORMATS, where=name
        )
    return found


def _by_magic(data: bytes) -> str | None:
    if data.startswith(b"PK\x03\x04"):
        return "musicxml"
    if data.startswith(b"MThd"):
        return "midi"
    return None


def _by_text(data: bytes, by_name: str | None) -> str | None:
    text = _head(data)
    if text.lstrip().startswith("<"):
        return _by_root(text, by_name)
    if "\0" in text:
        return None
    first = next((line for line in text.splitlines() if line.strip() and not line.startswith("!!")), "")
    if first.startswith("**"):
        return "humdrum"
    if _ABC_FIELD.search(text) or _looks_like_abc(text):
        return "abc"
    return None


def _head(data: bytes) -> str:
    head = data[:_HEAD_BYTES]
    if head.startswith((b"\xff\xfe", b"\xfe\xff")):
        return head.decode("utf-16", "replace").removeprefix("\ufeff")
    if head.startswith(b"<\0"):
        return head.decode("utf-16-le", "replace")
    if head.startswith(b"\0<"):
        return head.decode("utf-16-be", "replace")
    return head.decode("utf-8", "replace").removeprefix("\ufeff")


def _by_root(text: str, by_name: str | None) -> str | None:
    """Name the notation of an XML document; an unknown root is left to the reader that the file's name asks for."""
    root = _ROOT.search(_PROLOG.sub("", text) + " ")
    if root and root[1] in _ROOTS:
        return _ROOTS[root[1]]
    return by_name if by_name in ("musicxml", "mei") else None


def _looks_like_abc(text: str) -> bool:
    """Say whether text without any header is music: nearly all of its signs are ABC's, and a note is among them."""
    signs = [sign for sign in _ABC_ASIDE.sub("", text) if not sign.isspace()]
    if not any(sign in "ABCDEFGabcdefg" for sign in signs):
        return False
    return sum(sign in _ABC_SIGNS for sign in signs) >= _ABC_SHARE * len(signs)


def _shown(data: bytes) -> str:
    text = _head(data).strip()
    return repr(text[:40]) if text and text.isprintable() else repr(data[:16])
