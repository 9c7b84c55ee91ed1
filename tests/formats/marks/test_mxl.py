"""A marked packed file keeps every other member's bytes, and unmarking gives the very archive back."""

import io
import struct
import zipfile
import zlib

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from lxml import etree

from builders.musicxml_samples import SOUNDING, document
from slurwright.errors import NotationError, RequestError, SlurwrightError
from slurwright.formats.marks import Mark, mark_file, unmark_file
from slurwright.formats.marks.mxl import KEPT_MEMBER

ROOT = "scores/tune für F.musicxml"
CONTAINER = f'<container><rootfiles><rootfile full-path="{ROOT}"/></rootfiles></container>'
MARKS = tuple(Mark(f"note:{at}", "1-2", "slur 1: 40 %" if at == 2 else None) for at in SOUNDING)
WHEN = (2024, 5, 6, 7, 8, 10)
STORED, DEFLATED = zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED


class _Pipe(io.BytesIO):
    """A stream that cannot seek makes zipfile write data descriptors."""

    def seekable(self) -> bool:
        return False

    def seek(self, *_: int) -> int:
        raise io.UnsupportedOperation


def packed(
    *,
    method: int = DEFLATED,
    level: int | None = None,
    order: str = "cri",
    comment: bytes = b"",
    extra: bytes = b"",
    piped: bool = False,
    score: bytes | None = None,
) -> bytes:
    """An archive with a container file (c), the root file (r), a picture (i) and a mimetype (m), in any order."""
    contents = {
        "c": ("META-INF/container.xml", CONTAINER.encode()),
        "r": (ROOT, document().encode() if score is None else score),
        "i": ("images/cover.png", bytes(range(256)) * 9),
        "m": ("mimetype", b"application/vnd.recordare.musicxml"),
    }
    out = _Pipe() if piped else io.BytesIO()
    with zipfile.ZipFile(out, "w") as archive:
        archive.comment = comment
        for key in order:
            info = zipfile.ZipInfo(contents[key][0], WHEN)
            info.compress_type = STORED if key == "m" else method
            info.extra, info.comment = extra, b"member " + key.encode()
            archive.writestr(info, contents[key][1], compresslevel=level)
    return out.getvalue()


ARCHIVES = {
    "plain": packed(),
    "stored": packed(method=STORED),
    "hardest": packed(level=9),
    "lightest": packed(level=1),
    "root first": packed(order="rci"),
    "root last": packed(order="mcir"),
    "mimetype first": packed(order="mcri"),
    "archive comment": packed(comment=b"PK\x01\x02 not a directory"),
    "extra fields": packed(extra=struct.pack("<HH4s", 0x7777, 4, b"abcd")),
    "data descriptors": packed(piped=True),
    "bytes behind": packed() + b"\x00" * 7,
    "utf-16 root": packed(score=b"\xff\xfe" + document("UTF-16").encode("utf-16-le")),
}


def marked(data: bytes, *, keep_existing: bool = True) -> bytes:
    return mark_file(data, MARKS, format="musicxml", keep_existing=keep_existing, where="tune.mxl")


def unmarked(data: bytes) -> bytes:
    return unmark_file(data, format="musicxml", where="tune.mxl")


def opened(data: bytes) -> zipfile.ZipFile:
    return zipfile.ZipFile(io.BytesIO(data))


def raw(data: bytes, info: zipfile.ZipInfo) -> bytes:
    """A member's record: local header, names, extra fields and packed bytes."""
    start = info.header_offset
    names, extra = struct.unpack_from("<2H", data, start + 26)
    return data[start : start + 30 + names + extra + info.compress_size]


@pytest.mark.parametrize("name", ARCHIVES)
@pytest.mark.parametrize("keep_existing", [True, False])
def test_unmarking_gives_the_very_archive_back(name: str, keep_existing: bool) -> None:
    data = ARCHIVES[name]
    out = marked(data, keep_existing=keep_existing)
    assert unmarked(out) == data
    assert marked(out, keep_existing=keep_existing) == out
    assert unmarked(data) == data


@pytest.mark.parametrize("name", ARCHIVES)
def test_only_the_root_file_changes(name: str) -> None:
    data = ARCHIVES[name]
    out = marked(data)
    before, after = opened(data), opened(out)
    assert after.testzip() is None
    assert after.comment == before.comment
    assert after.namelist() == [*before.namelist(), KEPT_MEMBER]
    for old in before.infolist():
        new = after.getinfo(old.filename)
        assert (new.date_time, new.comment, new.extra, new.compress_type, new.external_attr) == (
            *(old.date_time, old.comment, old.extra, old.compress_type, old.external_attr),
        )
        if old.filename != ROOT:
            assert raw(out, new) == raw(data, old)
    assert after.read(ROOT) == mark_file(before.read(ROOT), MARKS, format="musicxml")


def repacked(data: bytes, *, change: bytes = b"", without: str = "") -> bytes:
    """The archive as another program would pack it again."""
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", DEFLATED) as archive:
        for info in opened(data).infolist():
            content = opened(data).read(info)
            if info.filename == ROOT and change:
                content = content.replace(b"Lantern", change)
            if info.filename != without:
                archive.writestr(info.filename, content)
    return out.getvalue()


@pytest.mark.parametrize("without", ["", KEPT_MEMBER])
@pytest.mark.parametrize("change", [b"", b"Evening"])
def test_marks_come_off_when_another_program_has_packed_the_file_again(without: str, change: bytes) -> None:
    again = unmarked(repacked(marked(ARCHIVES["plain"], keep_existing=False), change=change, without=without))
    assert opened(again).testzip() is None
    assert opened(again).namelist() == ["META-INF/container.xml", ROOT, "images/cover.png"]
    score = document().encode()
    assert opened(again).read(ROOT) == (score.replace(b"Lantern", change) if change else score)


def test_a_change_made_inside_the_marked_archive_is_not_undone() -> None:
    out = marked(ARCHIVES["stored"])
    changed = bytearray(out.replace(b"Lantern", b"Evening"))
    info = opened(out).getinfo(ROOT)
    check = struct.pack("<I", info.CRC)
    new = struct.pack("<I", zlib.crc32(opened(out).read(ROOT).replace(b"Lantern", b"Evening")))
    changed = bytearray(bytes(changed).replace(check, new))
    again = unmarked(bytes(changed))
    assert b"Evening Song" in opened(again).read(ROOT)
    assert b"slurwright" not in again


def test_a_kept_member_with_nonsense_in_it_is_dropped() -> None:
    for content in (b"", b"x", b"SLURMXL1", b"SLURMXL1" + bytes(range(200))):
        out = io.BytesIO(ARCHIVES["plain"])
        with zipfile.ZipFile(out, "a") as archive:
            archive.writestr(KEPT_MEMBER, content)
        again = unmarked(out.getvalue())
        assert opened(again).namelist() == opened(ARCHIVES["plain"]).namelist()
        assert opened(again).read(ROOT) == document().encode()


def with_flags(data: bytes, flags: int) -> bytes:
    info = opened(data).getinfo(ROOT)
    out = bytearray(data)
    struct.pack_into("<H", out, info.header_offset + 6, flags)
    entry = data.index(b"PK\x01\x02", opened(data).start_dir + 10)
    struct.pack_into("<H", out, entry + 8, flags)
    return bytes(out)


def twice(data: bytes) -> bytes:
    out = io.BytesIO(data)
    with zipfile.ZipFile(out, "a") as archive, pytest.warns(UserWarning, match="Duplicate"):
        archive.writestr(ROOT, "<a/>")
    return out.getvalue()


def large() -> bytes:
    """An archive whose directory states the root file's size in the fields for large archives."""
    source = packed(order="cr")
    info, end = opened(source).getinfo(ROOT), source.rindex(b"PK\x05\x06")
    data = bytearray(source[:end])
    entry = data.rindex(b"PK\x01\x02")
    extra = struct.pack("<HHQQ", 1, 16, info.file_size, info.compress_size)
    struct.pack_into("<II", data, entry + 20, 0xFFFFFFFF, 0xFFFFFFFF)
    struct.pack_into("<H", data, entry + 30, len(extra))
    names = entry + 46 + len(ROOT.encode())
    data[names:names] = extra
    tail = bytearray(source[end:])
    struct.pack_into("<I", tail, 12, len(data) - opened(source).start_dir)
    return bytes(data + tail)


@pytest.mark.parametrize(
    ("data", "problem"),
    [
        (ARCHIVES["plain"][:-30], "broken or cut short|not a readable archive"),
        (ARCHIVES["plain"][:200], "broken or cut short|not a readable archive"),
        (packed(order="ri").replace(b".musicxml", b".musicxm_"), "does not say which|holds no score|names no score"),
        (packed(order="ci"), "does not hold"),
        (with_flags(ARCHIVES["plain"], 0x801), "encrypted"),
        (twice(ARCHIVES["plain"]), "two members of one name"),
        (packed(score=b"\x00" * 100_000_000), "unpacks to more than"),
        (packed(score=b"not a score"), "not well-formed XML"),
        (packed(method=zipfile.ZIP_BZIP2), "packed in a way that cannot be marked"),
        (b"PK\x03\x04 and then nothing", "broken or cut short|not a readable archive"),
        (b"PK\x05\x06" + bytes(18), "does not say which"),
    ],
)
def test_what_cannot_be_marked_is_said(data: bytes, problem: str) -> None:
    with pytest.raises(NotationError, match=problem) as caught:
        marked(data)
    assert "tune.mxl" in str(caught.value)


def test_bytes_before_the_archive_are_refused() -> None:
    with pytest.raises(NotationError, match="do not follow one another"):
        unmarked(b"PK\x03\x04" + ARCHIVES["plain"])


def test_zip64_is_refused() -> None:
    assert opened(large()).read(ROOT) == document().encode()
    with pytest.raises(NotationError, match="zip64"):
        unmarked(large())


def test_errors_name_the_file_inside() -> None:
    with pytest.raises(RequestError, match=r"^tune\.mxl:scores/tune für F\.musicxml: no such note"):
        mark_file(ARCHIVES["plain"], [Mark("note:99", "1")], format="musicxml", where="tune.mxl")


@settings(max_examples=150, deadline=None)
@given(st.sampled_from(sorted(ARCHIVES)), st.booleans(), st.data())
def test_law_damaged_archives_are_refused_or_come_back(name: str, was_marked: bool, data: st.DataObject) -> None:
    broken = bytearray(marked(ARCHIVES[name]) if was_marked else ARCHIVES[name])
    for _ in range(data.draw(st.integers(1, 3))):
        at = data.draw(st.integers(0, len(broken) - 1))
        broken[at] = data.draw(st.integers(0, 255))
    try:
        clean = unmarked(bytes(broken))
        out = marked(clean)
    except SlurwrightError:
        return
    assert unmarked(out) == clean
    etree.fromstring(opened(clean).read(ROOT), etree.XMLParser(load_dtd=False))
