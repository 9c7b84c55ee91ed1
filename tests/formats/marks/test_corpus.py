"""Real scores of many programs and years, marked and given back: every byte, and valid where they were valid.

The files are those that the package ``music21`` ships for tests; a fixed twelfth is taken here, all of them by
``benchmarks/mark_corpus.py``.
"""

import importlib.util
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from lxml import etree

from builders.musicxml_schema import schema_errors
from slurwright.errors import PartError
from slurwright.formats.marks import Mark, mark_file, unmark_file
from slurwright.formats.musicxml import open_musicxml
from slurwright.formats.musicxml.container import score_bytes

pytestmark = pytest.mark.oracle


def corpus() -> list[Path]:
    found = importlib.util.find_spec("music21")
    if found is None or found.origin is None:
        return []
    folder = Path(found.origin).parent / "corpus"
    return sorted(path for path in folder.rglob("*") if path.suffix in {".mxl", ".xml", ".musicxml"})


FILES = corpus()[::12]
SAMPLE = [path for path in FILES if path.stat().st_size < 20_000][::6]
BATCHES = 4
needs_corpus = pytest.mark.skipif(not FILES, reason="music21 and its corpus are not installed")


def tree_of(data: bytes) -> Any:
    return etree.fromstring(score_bytes(data), etree.XMLParser(load_dtd=False, no_network=True))


def marks_for(tree: Any, step: int) -> list[Mark]:
    sounding = [at for at, note in enumerate(tree.iter("note")) if note.find("rest") is None]
    return [
        Mark(f"note:{at}", "1-2" if at % 3 else "T1", f"slur {at}: 24 %" if at % 7 == 0 else None, above=at % 2 == 0)
        for at in sounding[::step]
    ]


def texts(tree: Any, path: str) -> list[str]:
    return ["".join(found.itertext()) for found in tree.iterfind(path)]


@needs_corpus
@pytest.mark.parametrize("batch", range(BATCHES))
def test_every_score_comes_back_to_the_byte_and_stays_valid(batch: int) -> None:
    valid = 0
    files = FILES[batch::BATCHES]
    for path in files:
        data = path.read_bytes()
        tree = tree_of(data)
        marks = marks_for(tree, 1 + len(data) % 4)
        keep = len(data) % 2 == 0
        out = mark_file(data, marks, format="musicxml", keep_existing=keep, where=path.name)
        assert unmark_file(out, format="musicxml", where=path.name) == data, path
        after = tree_of(out)
        assert texts(after, ".//technical[@id]/fingering") == [mark.fingering for mark in marks], path
        assert len(texts(after, ".//direction[@id]//words")) == sum(mark.sign is not None for mark in marks), path
        if not schema_errors(score_bytes(data)):
            valid += 1
            assert schema_errors(score_bytes(out)) == [], path
    assert valid > len(files) * 0.8


def variants(data: bytes) -> Iterator[tuple[str, bytes]]:
    """The same score as other programs would have written it."""
    tree = tree_of(data)
    plain: Any = etree.tostring(tree, encoding="unicode")
    yield "utf-16", b"\xff\xfe" + ('<?xml version="1.0" encoding="UTF-16"?>\n' + plain).encode("utf-16-le")
    yield "utf-16-be", b"\xfe\xff" + plain.encode("utf-16-be")
    yield "byte order mark", b"\xef\xbb\xbf" + plain.encode()
    yield "crlf", plain.replace("\n", "\r\n").encode()
    for encoding in ("iso-8859-1", "windows-1252", "us-ascii"):
        declared = f'<?xml version="1.0" encoding="{encoding}"?>\r\n' + plain
        yield encoding, declared.encode(encoding, "xmlcharrefreplace")
    yield "time-wise", etree.tostring(time_wise(tree), xml_declaration=True, encoding="utf-8")


def time_wise(tree: Any) -> Any:
    """Measures of parts turned into parts of measures (MusicXML 4.0, ``score-timewise``)."""
    out = etree.Element("score-timewise", tree.attrib)
    parts = tree.findall("part")
    out.extend(child for child in list(tree) if child.tag != "part")
    for column in zip(*(part.findall("measure") for part in parts), strict=False):
        measure = etree.SubElement(out, "measure", column[0].attrib)
        for part, content in zip(parts, column, strict=True):
            etree.SubElement(measure, "part", part.attrib).extend(list(content))
    return out


@needs_corpus
@pytest.mark.parametrize("path", SAMPLE, ids=lambda path: path.name)
def test_a_marked_score_reads_as_the_score(path: Path) -> None:
    """Our marks are no fingerings, words or places of the file."""
    data = path.read_bytes()
    before = open_musicxml(data, where="")
    out = mark_file(data, marks_for(tree_of(data), 2), format="musicxml")
    after = open_musicxml(out, where="")
    assert before.headings == after.headings
    for heading in before.headings:
        voice = f"{heading.voices[0]} top" if heading.voices else None
        try:
            part = before.part(heading, voice=voice)
        except PartError:
            continue
        assert after.part(heading, voice=voice) == part


@needs_corpus
@pytest.mark.parametrize("path", SAMPLE, ids=lambda path: path.name)
def test_every_form_of_a_score_comes_back_to_the_byte(path: Path) -> None:
    for name, data in variants(path.read_bytes()):
        tree = tree_of(data)
        marks = marks_for(tree, 3)
        for keep in (True, False):
            out = mark_file(data, marks, format="musicxml", keep_existing=keep)
            assert unmark_file(out, format="musicxml") == data, name
            assert mark_file(out, marks, format="musicxml", keep_existing=keep) == out, name
            assert texts(tree_of(out), ".//technical[@id]/fingering") == [mark.fingering for mark in marks], name


@needs_corpus
def test_a_huge_score_comes_back_to_the_byte() -> None:
    data = max((path.read_bytes() for path in FILES if path.suffix == ".xml"), key=len)
    text = data.decode("utf-16" if data[:2] in {b"\xff\xfe", b"\xfe\xff"} else "utf-8").replace("UTF-16", "UTF-8")
    first, last = text.index("<measure"), text.index("</part>")
    huge = (text[:first] + text[first:last] * (8_000_000 // (last - first)) + text[last:]).encode()
    assert len(huge) > 7_000_000
    marks = [Mark(f"note:{at}", "1-3") for at in sounding_among(huge)]
    out = mark_file(huge, marks, format="musicxml")
    assert out.count(b"<fingering ") >= len(marks)
    assert unmark_file(out, format="musicxml") == huge


def sounding_among(data: bytes) -> list[int]:
    return [int(mark.place.removeprefix("note:")) for mark in marks_for(tree_of(data), 40)]
