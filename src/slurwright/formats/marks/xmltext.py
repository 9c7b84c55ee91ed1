"""An XML file as text that goes back to the very same bytes, so that it can be edited by splicing.

Parsing and writing again would lose what a parser throws away: attribute quotes, line ends, the order of
namespaces, comments beside the root. So the file stays text. A parser is run over it all the same, to be sure
that it is well formed: only then do the patterns of `scan` see tags and nothing else.
"""

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from xml.parsers import expat

from slurwright.errors import NotationError, RequestError
from slurwright.formats.own_elements import OWN_ID

__all__ = ["SKIPPED", "Splice", "Tag", "XmlText", "escaped", "kept_aside", "open_xml", "own_cuts", "scan", "spliced"]

_BOMS = (
    (b"\x00\x00\xfe\xff", "utf-32-be"),
    (b"\xff\xfe\x00\x00", "utf-32-le"),
    (b"\xef\xbb\xbf", "utf-8"),
    (b"\xff\xfe", "utf-16-le"),
    (b"\xfe\xff", "utf-16-be"),
)
"""Byte order marks, longest first: the start of UTF-32 looks like UTF-16."""

_OPENINGS = (
    (b"\x00\x00\x00<", "utf-32-be"),
    (b"<\x00\x00\x00", "utf-32-le"),
    (b"\x00<", "utf-16-be"),
    (b"<\x00", "utf-16-le"),
)
"""What a file without a byte order mark begins with, as the XML recommendation's appendix on encodings lists it."""

_DECLARATION = re.compile(rb"""<\?xml\s[^>]*?\bencoding\s*=\s*["']([A-Za-z][A-Za-z0-9._-]*)["']""")
_WIDE = re.compile(r"(?i)(utf|ucs|iso-10646-ucs)[-_]?(16|32|2|4)")
_FORBIDDEN = re.compile("[^\t\u0020-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")

SKIPPED = r"!--.*?-->|!\[CDATA\[.*?\]\]>|\?.*?\?>"
"""Pattern of what may hold tag-like text without being a tag, less its first "<"; needs ``re.DOTALL``."""

_TAG = re.compile(
    rf"""<(?:{SKIPPED}|(?P<close>/?)(?P<name>[^\s/>!?]+)(?P<attributes>(?:[^"'<>/]|"[^"]*"|'[^']*')*)(?P<empty>/?)>)""",
    re.DOTALL,
)


@dataclass(frozen=True, slots=True)
class XmlText:
    """A well-formed XML file: its text with every line end and byte order mark, and its encoding."""

    text: str
    encoding: str
    body: int
    """Where the root element begins; names before it may look like tags or comments [characters]."""

    def to_bytes(self, text: str) -> bytes:
        """Encode a changed text as this file is encoded; what the encoding lacks becomes character references."""
        return text.encode(self.encoding, "xmlcharrefreplace")


@dataclass(frozen=True, slots=True)
class Tag:
    """One tag in the text."""

    name: str
    """Local name, without its prefix."""
    prefix: str
    """With its colon; empty without one."""
    attributes: str
    opens: bool
    """True for a start tag and for an empty element."""
    closes: bool
    """True for an end tag and for an empty element."""
    start: int
    end: int
    """From the ``<`` to behind the ``>`` [characters]."""


@dataclass(frozen=True, slots=True)
class Splice:
    """Characters ``start`` to ``end`` of a text give way to ``text``; nothing is lost where both are equal."""

    start: int
    end: int
    text: str


def open_xml(data: bytes, *, where: str) -> XmlText:
    """Which text do these bytes hold, and is it well-formed XML that can be given back unchanged.

    Args:
        data: the whole file.
        where: the file's name for messages.

    Raises:
        NotationError: not XML, an encoding that is unknown or does not give the same bytes back, or entities
            declared in the file.

    """
    encoding = _encoding_of(data)
    try:
        text = data.decode(encoding)
        exact = text.encode(encoding) == data
    except (LookupError, UnicodeError) as error:
        raise NotationError("the text cannot be decoded", got=f"{encoding}: {error}", where=where) from error
    if not exact:
        raise NotationError(
            "this encoding does not give the same bytes back",
            got=encoding,
            allowed="UTF-8, or another encoding in which every character has one form",
            where=where,
        )
    plain = data if encoding == "utf-8" else text.encode("utf-8")
    return XmlText(text, encoding, len(plain[: _root_start(plain, where)].decode("utf-8")))


def _encoding_of(data: bytes) -> str:
    for start, encoding in _BOMS + _OPENINGS:
        if data.startswith(start):
            return encoding
    found = _DECLARATION.match(data.lstrip(b" \t\r\n")[:200])
    declared = found[1].decode("ascii").lower() if found else "utf-8"
    # A file that says UTF-16 in plain bytes was transcoded and kept its first line: it is UTF-8.
    return "utf-8" if declared == "utf8" or _WIDE.fullmatch(declared) else declared


def _root_start(data: bytes, where: str) -> int:
    """Parse all of it; give the place where the root element begins [bytes]."""
    parser = expat.ParserCreate("utf-8")
    starts: list[int] = []

    def root(*_: object) -> None:
        starts.append(parser.CurrentByteIndex)
        parser.StartElementHandler = None

    def refuse_entity(name: str, *_: object) -> None:
        raise NotationError("entities declared in the file are refused", got=f"<!ENTITY {name} …>", where=where)

    parser.EntityDeclHandler = refuse_entity
    parser.StartElementHandler = root
    try:
        parser.Parse(data, True)  # noqa: FBT003  expat takes no keywords
    except expat.ExpatError as error:
        raise NotationError(
            "not well-formed XML",
            got=expat.ErrorString(error.code),
            where=f"{where}, line {error.lineno}, column {error.offset + 1}".removeprefix(", "),
        ) from error
    return starts[0]


def scan(text: str, start: int) -> Iterator[Tag]:
    """Which tags follow from a place in well-formed text; comments and the like are passed over.

    Args:
        text: well-formed XML.
        start: where to begin, between tags [characters].

    """
    for found in _TAG.finditer(text, start):
        if found["name"] is not None:
            prefix, colon, name = found["name"].rpartition(":")
            close, empty = bool(found["close"]), bool(found["empty"])
            yield Tag(
                name,
                prefix + colon,
                found["attributes"],
                opens=not close,
                closes=close or empty,
                start=found.start(),
                end=found.end(),
            )


def spliced(text: str, splices: Iterable[Splice]) -> str:
    """Which text comes of cutting and inserting at several places, none of which overlap.

    Splices at one place are made in the order in which they come.
    """
    pieces: list[str] = []
    done = 0
    for splice in sorted(splices, key=lambda each: each.start):
        pieces += (text[done : splice.start], splice.text)
        done = splice.end
    pieces.append(text[done:])
    return "".join(pieces)


def own_cuts(matches: Iterable[re.Match[str]]) -> Iterator[Splice]:
    """Which cuts undo our marks.

    Args:
        matches: of a pattern whose groups are ``own``, an element of ours, and ``kept``, what one of others is kept
            in; a match of neither is passed over.

    """
    for found in matches:
        if found["kept"] is not None:
            yield Splice(found.start(), found.end(), found["kept"].replace("?&gt;", "?>").replace("&amp;", "&"))
        elif found["own"] is not None:
            yield Splice(found.start(), found.end(), "")


def kept_aside(element: str) -> str:
    """Which processing instruction keeps an element of others, so that it can come back.

    Args:
        element: the element as it stands in the file.

    """
    return f"<?{OWN_ID}kept {element.replace('&', '&amp;').replace('?>', '?&gt;')}?>"


def escaped(text: str, *, what: str) -> str:
    """Which characters stand for this text between two tags.

    Args:
        text: one line of words.
        what: what the text is, for messages.

    Raises:
        RequestError: empty, or with a line end or another character that XML cannot hold.

    """
    bad = _FORBIDDEN.search(text)
    if bad or not text.strip():
        raise RequestError(
            f"a {what} cannot be written", got=repr(text), allowed="one line of text without control characters"
        )
    return text.replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;")
