"""Marks in a compressed MusicXML file: its root file is rewritten, every other byte of the archive stays.

The archive is spliced too. The root file's record gives way to a new one in the same place; all other records stay
as they are, with their compressed bytes, times, comments and extra fields; the directory behind them says where
things are now. What gave way (the old record and the old directory) goes into one more member,
``META-INF/slurwright``, from which `unmark_mxl` puts the very archive together again: a second deflating might not
give the same bytes. If another program has changed or packed the archive anew since, the marks are cut from the
root file and the member goes.
"""

import io
import struct
import zipfile
import zlib
from collections.abc import Sequence
from dataclasses import dataclass

from slurwright.errors import NotationError
from slurwright.formats.marks.mark import Mark
from slurwright.formats.marks.musicxml import mark_musicxml, unmark_musicxml
from slurwright.formats.musicxml.container import score_bytes, score_name

__all__ = ["KEPT_MEMBER", "mark_mxl", "unmark_mxl"]

KEPT_MEMBER = "META-INF/slurwright"
"""Name of the member that holds what marking took out."""

_LOCAL = struct.Struct("<4s5H3I2H")
_ENTRY = struct.Struct("<4s6H3I5H2I")
_END = struct.Struct("<4s4H2IH")
_KEPT = struct.Struct("<8s3Q2I")
"""Magic, where the old record began, its length, the old archive's length, its check sum, the marked text's."""
_KEPT_MAGIC = b"SLURMXL1"
_HAS_DESCRIPTOR = 0x0008
_LARGE = 0xFFFFFFFF


@dataclass(frozen=True, slots=True)
class _Archive:
    """An archive cut into records, in the order of its directory."""

    data: bytes
    members: tuple[zipfile.ZipInfo, ...]
    entries: tuple[bytes, ...]
    """Each member's entry in the directory."""
    directory: int
    """Where the directory begins, which is where the last record ends [bytes]."""
    comment: bytes
    where: str

    def index(self, name: str) -> int | None:
        """Place of a member in the directory, if it has one of this name."""
        return next((at for at, each in enumerate(self.members) if each.filename == name), None)

    def record_end(self, at: int) -> int:
        """Where a member's record and what follows it before the next one ends [bytes]."""
        start = self.members[at].header_offset
        return min(
            (each.header_offset for each in self.members if each.header_offset > start), default=self.directory
        )


def mark_mxl(data: bytes, marks: Sequence[Mark], *, keep_existing: bool, where: str) -> bytes:
    """Which bytes is this compressed MusicXML file with these marks in place of any of ours that it had.

    Args:
        data: the archive.
        marks: what to write, at most one for a place.
        keep_existing: False hides fingerings of others on notes that get one of ours.
        where: the file's name for messages.

    Raises:
        NotationError: not such an archive, encrypted, too large, or its root file is not well-formed XML.
        RequestError: a place that is no note of this file, two marks for a place, or text that XML cannot hold.

    """
    archive = _open(unmark_mxl(data, where=where), where)
    root = _root(archive)
    score = score_bytes(archive.data, where=where)
    inner = _inner_name(where, archive.members[root].filename)
    text = mark_musicxml(score, marks, keep_existing=keep_existing, where=inner)
    return _rewritten(archive, root, text, added=_kept_record(archive, root, text))


def unmark_mxl(data: bytes, *, where: str) -> bytes:
    """Which bytes was this compressed MusicXML file before it was marked.

    Args:
        data: the archive.
        where: the file's name for messages.

    Raises:
        NotationError: not such an archive, encrypted, too large, or its root file is not well-formed XML.

    """
    archive = _open(data, where)
    root, kept = _root(archive), archive.index(KEPT_MEMBER)
    if kept is not None:
        original = _restored(archive, root, kept)
        if original is not None:
            return original
    score = score_bytes(data, where=where)
    text = unmark_musicxml(score, where=_inner_name(where, archive.members[root].filename))
    if kept is None and text == score:
        return data
    return _rewritten(archive, root, text, dropped=kept)


def _open(data: bytes, where: str) -> _Archive:
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as packed:
            members, comment, directory = tuple(packed.infolist()), packed.comment, packed.start_dir
    except (zipfile.BadZipFile, NotImplementedError, ValueError, OverflowError, struct.error) as error:
        raise NotationError("not a readable archive", got=str(error), where=where) from error
    entries: list[bytes] = []
    at = directory
    for _ in members:
        if data[at : at + 4] != b"PK\x01\x02" or at + _ENTRY.size > len(data):
            raise NotationError("the archive's directory is broken", where=where)
        fields = _ENTRY.unpack_from(data, at)
        end = at + _ENTRY.size + sum(fields[10:13])
        if _LARGE in (fields[8], fields[9], fields[16]):
            raise NotationError("large archives (zip64) cannot be marked", allowed="a plain zip archive", where=where)
        entries.append(data[at:end])
        at = end
    if data[at : at + 4] != b"PK\x05\x06":
        raise NotationError("large or signed archives cannot be marked", allowed="a plain zip archive", where=where)
    if len({member.filename for member in members}) < len(members):
        raise NotationError("two members of one name", where=where)
    archive = _Archive(data, members, tuple(entries), directory, comment, where)
    _check_records(archive)
    return archive


def _check_records(archive: _Archive) -> None:
    """Refuse what a splice would break: records that overlap or do not begin where the directory says."""
    end = 0
    for member in sorted(archive.members, key=lambda each: each.header_offset):
        start = member.header_offset
        if archive.data[start : start + 4] != b"PK\x03\x04" or start < end or (end == 0 and start != 0):
            raise NotationError(
                "the archive's records do not follow one another", got=member.filename, where=archive.where
            )
        end = start + _LOCAL.size + member.compress_size
    if end > archive.directory:
        raise NotationError("the archive's last record is cut short", where=archive.where)


def _data_start(archive: _Archive, at: int) -> int:
    start = archive.members[at].header_offset
    fields = _LOCAL.unpack_from(archive.data, start)
    return int(start + _LOCAL.size + fields[9] + fields[10])


def _root(archive: _Archive) -> int:
    name = score_name(archive.data, where=archive.where)
    root = archive.index(name)
    if root is None or archive.members[root].compress_type not in (zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED):
        where = _inner_name(archive.where, name)
        raise NotationError("packed in a way that cannot be marked", allowed="stored or deflated", where=where)
    return root


def _inner_name(where: str, name: str) -> str:
    return f"{where}:{name}" if where else name


def _restored(archive: _Archive, root: int, kept: int) -> bytes | None:
    """The archive as it was, unless somebody has changed anything in it since."""
    start = _data_start(archive, kept)
    note = archive.data[start : start + archive.members[kept].compress_size]
    if len(note) < _KEPT.size or not note.startswith(_KEPT_MAGIC):
        return None
    _, start, length, total, check, marked_check = _KEPT.unpack_from(note)
    record, directory = note[_KEPT.size : _KEPT.size + length], note[_KEPT.size + length :]
    if start != archive.members[root].header_offset or marked_check != archive.members[root].CRC:
        return None
    between = archive.data[archive.record_end(root) : archive.members[kept].header_offset]
    original = b"".join((archive.data[:start], record, between, directory))
    return original if (len(original), zlib.crc32(original)) == (total, check) else None


def _kept_record(archive: _Archive, root: int, text: bytes) -> tuple[bytes, bytes]:
    """Record and directory entry of the member from which `_restored` works."""
    start, end = archive.members[root].header_offset, archive.record_end(root)
    data = archive.data
    head = _KEPT.pack(_KEPT_MAGIC, start, end - start, len(data), zlib.crc32(data), zlib.crc32(text))
    note = b"".join((head, data[start:end], data[archive.directory :]))
    name = KEPT_MEMBER.encode("ascii")
    # Two numbers of the version needed and the flags, stored; the time is the earliest that the format can say.
    common = (20, 0, zipfile.ZIP_STORED, 0, 0x0021, zlib.crc32(note), len(note), len(note), len(name), 0)
    record = _LOCAL.pack(b"PK\x03\x04", *common) + name + note
    return record, _ENTRY.pack(b"PK\x01\x02", 20, *common, 0, 0, 0, 0, 0) + name


def _rewritten(
    archive: _Archive,
    root: int,
    text: bytes,
    *,
    added: tuple[bytes, bytes] | None = None,
    dropped: int | None = None,
) -> bytes:
    """The archive with another root file, and with one member more or less; all else in its order and its bytes."""
    records: list[bytes] = []
    entries = dict(enumerate(archive.entries))
    offset = 0
    for at in sorted(entries, key=lambda each: archive.members[each].header_offset):
        if at == dropped:
            continue
        record = archive.data[archive.members[at].header_offset : archive.record_end(at)]
        if at == root:
            record, entries[at] = _root_record(archive, root, text)
        entries[at] = _entry_at(entries[at], offset)
        records.append(record)
        offset += len(record)
    directory = [entry for at, entry in entries.items() if at != dropped]
    if added is not None:
        records.append(added[0])
        directory.append(_entry_at(added[1], offset))
        offset += len(added[0])
    size, count = sum(map(len, directory)), len(directory)
    end = _END.pack(b"PK\x05\x06", 0, 0, count, count, size, offset, len(archive.comment)) + archive.comment
    return b"".join((*records, *directory, end))


def _entry_at(entry: bytes, offset: int) -> bytes:
    return entry[: _ENTRY.size - 4] + struct.pack("<I", offset) + entry[_ENTRY.size :]


def _root_record(archive: _Archive, root: int, text: bytes) -> tuple[bytes, bytes]:
    """New record and directory entry of the root file: name, time, extra fields and way of packing are kept."""
    method = archive.members[root].compress_type
    packed = text
    if method == zipfile.ZIP_DEFLATED:
        deflate = zlib.compressobj(zlib.Z_DEFAULT_COMPRESSION, zlib.DEFLATED, -zlib.MAX_WBITS)
        packed = deflate.compress(text) + deflate.flush()
    sums = (zlib.crc32(text), len(packed), len(text))
    start = archive.members[root].header_offset
    local = _LOCAL.unpack_from(archive.data, start)
    names = archive.data[start + _LOCAL.size : _data_start(archive, root)]
    head = _LOCAL.pack(*local[:2], local[2] & ~_HAS_DESCRIPTOR, *local[3:6], *sums, *local[9:])
    entry = archive.entries[root]
    old = _ENTRY.unpack_from(entry)
    new = _ENTRY.pack(*old[:3], old[3] & ~_HAS_DESCRIPTOR, *old[4:7], *sums, *old[10:])
    return head + names + packed, new + entry[_ENTRY.size :]
