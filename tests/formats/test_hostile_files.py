"""A file made to do harm is refused in words, or done with, in the time that an honest file of its size takes.

The whole way of a file is walked: sniffed, opened, each part read, marked at the places that the reader named,
written as MusicXML, and unmarked. Whatever happens is a value or an error of ours.
"""

import io
import struct
import time
import zipfile

import pytest

from builders.converters import abc_here, never
from builders.damage import damaged
from builders.musicxml_samples import document
from builders.musicxml_schema import schema_errors
from builders.notation_samples import ABC, MEI, midi_file
from slurwright.errors import SlurwrightError
from slurwright.formats.marks import Mark, mark_file, unmark_file
from slurwright.formats.musicxml_writer import write_musicxml
from slurwright.formats.sniff import notation_of, open_score

SECONDS = 20.0
"""No file here needs more than two on an idle machine."""
CONTAINER = '<container><rootfiles><rootfile full-path="a.xml"/></rootfiles></container>'


def walked(data: bytes, *, name: str = "", whole: bool = False) -> int:
    """Go the whole way; give how many parts could be read."""
    notation = notation_of(data, name=name)
    score = open_score(data, name=name, to_mei=never, to_musicxml=abc_here)
    read = 0
    for heading in score.headings[:4]:
        try:
            part = score.part(heading)
        except SlurwrightError:
            continue
        read += 1
        marks = [Mark(note.place, "1-2", "slur 1: 40 %" if note.index % 3 == 0 else None) for note in part.notes]
        written = write_musicxml(part)
        if whole:
            assert schema_errors(written) == []
        clean = unmark_file(data, format=notation)
        out = mark_file(data, marks, format=notation, keep_existing=len(data) % 2 == 0)
        assert unmark_file(out, format=notation) == clean
    return read


def refusal(data: bytes) -> str:
    """In which words the file is refused; empty if all or some of it could be read."""
    try:
        read = walked(data, name="given")
    except SlurwrightError as error:
        return str(error) or "refused without a word"
    return "" if read else "no part could be read"


def packed(score: bytes, *, container: str = CONTAINER) -> bytes:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("META-INF/container.xml", container)
        archive.writestr("a.xml", score)
    return out.getvalue()


def many_members() -> bytes:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as archive:
        archive.writestr("META-INF/container.xml", CONTAINER)
        for at in range(20_000):
            archive.writestr(f"{at}", b"")
    return out.getvalue()


ENTITIES = "".join(f'<!ENTITY e{at} "{f"&e{at - 1};" * 10 if at else "lol"}">' for at in range(12))
SCORE = document()
NOTE = "<note><pitch><step>C</step><octave>4</octave></pitch><duration>{}</duration></note>"
MIDI_HEAD = b"MThd\x00\x00\x00\x06\x00\x00\x00\x01\x01\xe0"
REFUSED = {
    "entities in entities": f"<!DOCTYPE a [{ENTITIES}]><score-partwise>&e11;</score-partwise>".encode(),
    "a file from outside": b'<!DOCTYPE a [<!ENTITY x SYSTEM "file:///etc/hostname">]><score-partwise/>',
    "a document type from outside": b'<!DOCTYPE a [<!ENTITY % x SYSTEM "http://localhost/x"> %x;]><score-partwise/>',
    "an archive that swells": packed(b"<a>" + b" " * 300_000_000 + b"</a>"),
    "an archive in itself": packed(packed(SCORE.encode())),
    "a way out of the archive": packed(b"<a/>", container=CONTAINER.replace("a.xml", "../../etc/passwd")),
    "twenty thousand members": many_members(),
    "entities in the container": packed(b"<a/>", container=f"<!DOCTYPE a [{ENTITIES}]><container>&e11;</container>"),
    "a million elements inside each other": b"<score-partwise>" + b"<a>" * 1_000_000,
    "depth that closes": b"<score-partwise>" + b"<a>" * 300_000 + b"</a>" * 300_000 + b"</score-partwise>",
    "nothing but markup": b"<" * 2_000_000,
    "a header and no tracks": b"MThd\x00\x00\x00\x06\x00\x01\xff\xff\x01\xe0",
    "a track longer than the file": MIDI_HEAD + b"MTrk\xff\xff\xff\xff\x00\x90\x40\x40",
    "no division": midi_file().replace(struct.pack(">HHH", 1, 2, 480), struct.pack(">HHH", 1, 2, 0)),
}


@pytest.mark.parametrize("name", REFUSED)
def test_hostile_files_are_refused_at_once(name: str) -> None:
    start = time.process_time()
    assert refusal(REFUSED[name])
    assert time.process_time() - start < SECONDS


def score_of(measure: str) -> bytes:
    names = '<part-list><score-part id="P1"><part-name/></score-part></part-list>'
    body = f'<part id="P1"><measure number="1">{measure}</measure></part>'
    return f"<score-partwise>{names}{body}</score-partwise>".encode()


ATTRIBUTES = "<attributes><divisions>{}</divisions></attributes>"
SURVIVED = {
    "huge numbers": score_of(ATTRIBUTES.format(999999999) + NOTE.format(1) + NOTE.format(999999999)),
    "numbers beyond": score_of(ATTRIBUTES.format("9" * 5000) + NOTE.format("1e400")),
    "no divisions": score_of(ATTRIBUTES.format(0) + NOTE.format(0)),
    "odd fractions": score_of(ATTRIBUTES.format("0.000007") + NOTE.format("0.31415926")),
    "no beats": score_of(
        "<attributes><time><beats>0</beats><beat-type>0</beat-type></time></attributes>" + NOTE.format(1)
    ),
    "fifty thousand repeats": score_of(
        ATTRIBUTES.format(1)
        + NOTE.format(1)
        + "<barline><repeat direction='backward' times='64'/></barline>" * 50_000
    ),
    "a thousand open slurs": score_of(
        ATTRIBUTES.format(1)
        + "".join(
            NOTE.format(1).replace("</note>", f"<notations><slur type='start' number='{at}'/></notations></note>")
            for at in range(1000)
        )
    ),
    "one chord of ten thousand": score_of(
        ATTRIBUTES.format(1) + NOTE.format(1) + NOTE.format(1).replace("<pitch>", "<chord/><pitch>") * 10_000
    ),
    "names a megabyte long": SCORE.replace("Horn in F", "Horn" * 250_000).encode(),
    "brackets in brackets": b"X:1\nK:C\n" + b"[" * 200 + b"C" + b"]" * 200,
    "slurs in slurs": b"X:1\nK:C\n" + b"(" * 500 + b"C" + b")" * 500,
    "one long bar": b"X:1\nL:1/8\nK:C\n" + b"CDEF" * 300,
    "a length beyond": b"X:1\nK:C\nC999999999999/7 D4|",
}


@pytest.mark.parametrize("name", SURVIVED)
def test_nonsense_of_any_size_is_read_or_refused_in_time(name: str) -> None:
    start = time.process_time()
    assert refusal(SURVIVED[name]) != "refused without a word"
    assert time.process_time() - start < SECONDS


SAMPLES = {
    "musicxml": SCORE.encode(),
    "mxl": packed(SCORE.encode()),
    "abc": ABC.encode(),
    "mei": MEI.encode(),
    "midi": midi_file(),
}


def test_the_samples_go_the_whole_way() -> None:
    assert {
        name: walked(data, whole=True) > 0 for name, data in SAMPLES.items() if name not in {"musicxml", "mxl"}
    } == {
        "abc": True,
        "mei": True,
        "midi": True,
    }


@pytest.mark.parametrize("name", SAMPLES)
def test_damaged_files_go_the_whole_way_or_are_refused(name: str) -> None:
    for seed, broken in enumerate(damaged(SAMPLES[name], count=20, seed=len(name))):
        assert refusal(broken) != "refused without a word", seed
