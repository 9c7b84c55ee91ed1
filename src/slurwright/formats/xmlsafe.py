"""Is this XML safe to read, and what does it hold? Parsing for every XML notation, with hostile input in mind.

Nothing is fetched, no document type is loaded, entity declarations of the document's own are refused before the
tree is built, and depth and size are limited. Any encoding that Python knows is understood.
"""

import codecs
import re
from xml.parsers import expat

from lxml import etree

from slurwright.errors import NotationError

__all__ = ["MOST_XML_BYTES", "Element", "parse_xml"]

Element = etree._Element  # noqa: SLF001  (lxml names its element type so)
MOST_XML_BYTES = 160 * 1024 * 1024
"""A score of several hundred pages stays well below this [bytes]."""
_CHUNK = 1 << 16
_DECLARED = re.compile(rb"""^\s*<\?xml[^>]*?encoding\s*=\s*["']([A-Za-z0-9._:-]+)["'][^>]*\?>""")
_EXPAT_KNOWS = {"utf-8", "utf-16", "iso8859-1", "ascii", "utf8"}


class _PrologSeenError(Exception):
    """Raised to stop expat at the root element: entities can only be declared before it."""


def parse_xml(data: bytes, *, where: str = "") -> Element:
    """Build the tree of an XML document.

    Args:
        data: the whole document.
        where: name of the file, for messages.

    Raises:
        NotationError: broken, hostile or oversized XML.

    """
    if len(data) > MOST_XML_BYTES:
        raise NotationError(
            "the file is too large", got=f"{len(data):,} bytes", allowed=f"up to {MOST_XML_BYTES:,}", where=where
        )
    data = _readable(data, where)
    _refuse_entities(data, where)
    parser = etree.XMLParser(
        resolve_entities=False,
        load_dtd=False,
        no_network=True,
        huge_tree=False,
        remove_comments=True,
        remove_pis=True,
    )
    try:
        return etree.fromstring(data, parser)
    except etree.XMLSyntaxError as error:
        raise NotationError(f"not well-formed XML: {error.msg}", where=where) from error
    except ValueError as error:
        raise NotationError(f"not readable as XML: {error}", where=where) from error


def _readable(data: bytes, where: str) -> bytes:
    """Give bytes whose encoding every XML parser knows; most files come back as they are."""
    if not data.strip():
        raise NotationError("the file is empty", where=where)
    declared = _DECLARED.match(data)
    if declared is None:
        return data
    name = declared.group(1).decode("ascii")
    try:
        codec = codecs.lookup(name).name
    except LookupError as error:
        raise NotationError("unknown encoding", got=name, where=where) from error
    if codec in _EXPAT_KNOWS:
        return data
    try:
        text = data.decode(codec)
    except (UnicodeDecodeError, UnicodeError) as error:
        raise NotationError(f"the text is not in its declared encoding: {error}", got=name, where=where) from error
    return text[declared.end() :].encode("utf-8", "surrogatepass")


def _refuse_entities(data: bytes, where: str) -> None:
    """Read up to the root element and refuse any entity that the document declares."""
    parser = expat.ParserCreate()

    def declared(name: str, *_: object) -> None:
        raise NotationError(
            "the document declares its own entities, which no score needs",
            got=f"entity {name!r}",
            allowed="plain XML",
            where=where,
        )

    def root(*_: object) -> None:
        raise _PrologSeenError

    parser.EntityDeclHandler = declared
    parser.StartElementHandler = root
    try:
        for start in range(0, len(data), _CHUNK):
            parser.Parse(data[start : start + _CHUNK], False)  # noqa: FBT003  (positional in expat)
        parser.Parse(b"", True)  # noqa: FBT003
    except _PrologSeenError:
        return
    except expat.ExpatError as error:
        raise NotationError(f"not well-formed XML: {error}", where=where) from error
