"""Which bytes of a MusicXML file are the score: plain XML as it is, or the root file of a packed .mxl.

A packed file is read with caps on the number of its files, on each size, on how far it unpacks, and on the bytes
that really come out; what its directory claims is not trusted. (Published: MusicXML 4.0, "Compressed .mxl files".)
"""

import io
import zipfile
import zlib

from slurwright.errors import NotationError
from slurwright.formats.xmlsafe import MOST_XML_BYTES, parse_xml

__all__ = ["is_packed", "score_bytes", "score_name"]

_MOST_FILES = 2_000
_MOST_RATIO = 400
_FREE_BYTES = 4 * 1024 * 1024
"""Below this the ratio does not matter [bytes]."""
_MOST_CONTAINER_BYTES = 1024 * 1024
_CONTAINER = "META-INF/container.xml"


def is_packed(data: bytes) -> bool:
    """Say whether the bytes are a packed .mxl (a zip archive)."""
    return data[:4] in {b"PK\x03\x04", b"PK\x05\x06"}


def score_bytes(data: bytes, *, where: str = "") -> bytes:
    """Give the XML of the score.

    Raises:
        NotationError: the archive is broken, hostile, or names no score.

    """
    if not is_packed(data):
        return data
    archive = _opened(data, where)
    return _unpacked(archive, _root_name(archive, where), MOST_XML_BYTES, where)


def score_name(data: bytes, *, where: str = "") -> str:
    """Name the file inside a packed .mxl that holds the score.

    Raises:
        NotationError: the archive is broken, hostile, or names no score.

    """
    return _root_name(_opened(data, where), where)


def _opened(data: bytes, where: str) -> zipfile.ZipFile:
    try:
        archive = zipfile.ZipFile(io.BytesIO(data))
    except (zipfile.BadZipFile, NotImplementedError, ValueError, OSError) as error:
        raise NotationError(f"the packed file is broken or cut short: {error}", where=where) from error
    if len(archive.infolist()) > _MOST_FILES:
        raise NotationError(
            "the packed file holds too many files",
            got=f"{len(archive.infolist()):,}",
            allowed=f"up to {_MOST_FILES:,}",
            where=where,
        )
    return archive


def _root_name(archive: zipfile.ZipFile, where: str) -> str:
    """Follow META-INF/container.xml; without one take the only score-like file."""
    names = archive.namelist()
    if _CONTAINER in names:
        tree = parse_xml(_unpacked(archive, _CONTAINER, _MOST_CONTAINER_BYTES, where), where=f"{where}:{_CONTAINER}")
        for rootfile in tree.iter("{*}rootfile"):
            path, kind = rootfile.get("full-path", ""), rootfile.get("media-type", "")
            if path and kind in {"", "application/vnd.recordare.musicxml+xml", "text/xml", "application/xml"}:
                if path in names:
                    return path
                raise NotationError("the packed file names a score that it does not hold", got=path, where=where)
        raise NotationError("the packed file names no score", where=f"{where}:{_CONTAINER}")
    loose = [n for n in names if n.lower().endswith((".musicxml", ".xml")) and not n.startswith("META-INF/")]
    if len(loose) == 1:
        return loose[0]
    raise NotationError("the packed file does not say which of its files is the score", where=where)


def _unpacked(archive: zipfile.ZipFile, name: str, most: int, where: str) -> bytes:
    """Read one file of the archive, counting what really comes out."""
    info = archive.getinfo(name)
    limit = min(most, max(_FREE_BYTES, info.compress_size * _MOST_RATIO))
    problem = ""
    try:
        if info.flag_bits & 0x1:
            problem = "it is encrypted"
        else:
            with archive.open(info) as stream:
                content = stream.read(limit + 1)
            if len(content) <= limit:
                return content
            problem = f"it unpacks to more than {limit:,} bytes"
    except (
        zipfile.BadZipFile,
        zlib.error,
        EOFError,
        NotImplementedError,
        RuntimeError,
        OSError,
        ValueError,
    ) as error:
        raise NotationError(f"the packed file is broken or cut short: {error}", where=f"{where}:{name}") from error
    raise NotationError(f"the packed file is refused: {problem}", where=f"{where}:{name}")
