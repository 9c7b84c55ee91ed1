"""A marked MusicXML file is the file it was, but for marks that can be cut out again."""

import re
import time
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from lxml import etree

from builders.musicxml_samples import NOTES, SOUNDING, VARIANTS, document
from builders.musicxml_schema import schema_errors
from slurwright.errors import NotationError, RequestError, SlurwrightError
from slurwright.formats.marks import Mark
from slurwright.formats.marks.musicxml import mark_musicxml, unmark_musicxml

WORDS = ("0", "1-2", "T1", "1-2-3-4", "half <2> & 3", "♯2", "6̲")
MARKS = tuple(
    Mark(f"note:{at}", WORDS[at], "slur 3: 24 %" if at in {1, 4} else None, above=at != 2) for at in SOUNDING
)


def marked(data: bytes, marks: Any = MARKS, *, keep_existing: bool = True) -> bytes:
    return mark_musicxml(data, marks, keep_existing=keep_existing, where="tune.musicxml")


def unmarked(data: bytes) -> bytes:
    return unmark_musicxml(data, where="tune.musicxml")


def notes_of(data: bytes) -> list[Any]:
    return list(etree.fromstring(data, etree.XMLParser(load_dtd=False)).iter("{*}note"))


def fingerings(note: Any) -> list[str]:
    return ["".join(each.itertext()) for each in note.findall("{*}notations/{*}technical/{*}fingering")]


def readable(data: bytes) -> bytes:
    """For lxml, whose libxml2 may lack some encodings."""
    found = re.match(rb'<\?xml version="1.0" encoding="([^"]+)"\?>', data)
    if found:
        return data[found.end() :].decode(found[1].decode()).encode()
    return data


@pytest.mark.parametrize("name", VARIANTS)
@pytest.mark.parametrize("keep_existing", [True, False])
def test_marks_come_off_to_the_byte(name: str, keep_existing: bool) -> None:
    data = VARIANTS[name]()
    out = marked(data, keep_existing=keep_existing)
    assert out != data
    assert unmarked(out) == data
    assert marked(out, keep_existing=keep_existing) == out
    assert marked(out, MARKS[:2], keep_existing=keep_existing) == marked(data, MARKS[:2], keep_existing=keep_existing)
    assert unmarked(data) == data


@pytest.mark.parametrize("name", VARIANTS)
def test_every_mark_stands_at_its_note_in_every_encoding(name: str) -> None:
    data = VARIANTS[name]()
    notes = notes_of(readable(marked(data)))
    before = notes_of(readable(data))
    assert len(notes) == NOTES
    for mark in MARKS:
        at = int(mark.place.removeprefix("note:"))
        assert fingerings(notes[at]) == [*fingerings(before[at]), mark.fingering]
        (own,) = notes[at].findall("notations/technical[@id]")
        assert own.find("fingering").get("placement") == ("above" if mark.above else "below")
    assert fingerings(notes[6]) == []


@pytest.mark.parametrize("name", VARIANTS)
def test_valid_before_means_valid_after(name: str) -> None:
    data = readable(VARIANTS[name]())
    assert schema_errors(data) == []
    assert schema_errors(marked(data)) == []
    assert schema_errors(marked(data, keep_existing=False)) == []


def test_marking_inserts_and_takes_nothing() -> None:
    data = document().encode()
    out = marked(data)
    pieces = re.split(rb"<(notations|technical|direction) id=.*?</\1>", out)[::2]
    assert len(pieces) == 1 + len(MARKS) + sum(mark.sign is not None for mark in MARKS)
    assert b"".join(pieces) == data


def test_replaced_fingerings_are_hidden_from_readers_and_come_back() -> None:
    data = document().encode()
    notes = notes_of(marked(data, keep_existing=False))
    assert [fingerings(note) for note in notes[:6]] == [[mark.fingering] for mark in MARKS]
    only_first = marked(data, [Mark("note:4", "0")], keep_existing=False)
    assert fingerings(notes_of(only_first)[2]) == ["2"]
    assert unmarked(only_first) == data


def test_a_sign_alone_replaces_no_fingering() -> None:
    out = marked(document().encode(), [Mark("note:2", sign="slur 1: 60 %")], keep_existing=False)
    assert fingerings(notes_of(out)[2]) == ["2"]
    assert b"kept" not in out


def test_a_sign_stands_before_its_note_and_before_the_whole_chord() -> None:
    notes = notes_of(marked(document().encode()))
    grace, chord = notes[1].getprevious(), notes[3].getprevious()
    assert grace.findtext("direction-type/words") == chord.findtext("direction-type/words") == "slur 3: 24 %"
    assert grace.get("placement") == "below"
    assert notes[4].getprevious() is notes[3]
    assert [(child.tag, child.text) for child in chord][1:] == [("voice", "2"), ("staff", "2")]
    assert [(child.tag, child.text) for child in grace][1:] == [("voice", "1")]


def test_a_fingering_stands_in_the_notations_that_are_there() -> None:
    """Some programs read the first `<notations>` only."""
    notes = notes_of(marked(document().encode()))
    assert [child.tag for child in notes[4]][-3:] == ["notations", "lyric", "play"]
    assert [child.tag for child in notes[4].find("notations")] == ["technical", "technical"]
    assert notes[0][-1].get("id") == "slurwright-n0"


@pytest.mark.parametrize("keep_existing", [True, False])
@pytest.mark.parametrize(
    ("inside", "place"),
    [
        ("<notations><x/></notations><notations><y/></notations>", "notations[1]"),
        ("<notations/><notations><y/></notations>", "notations[2]"),
        ("<notations print-object='no'><x/></notations><notations><y/></notations>", "notations[2]"),
        ("<notations print-object='no'><x/></notations>", "notations[2]"),
        ("<notations/>", "notations[2]"),
        ("<!-- x --><notations><x/></notations>", "notations[1]"),
        ("<staff>1</staff><lyric><text>a</text></lyric>", "staff/following-sibling::*[1]"),
        ("<lyric><text>a</text></lyric>", "pitch/following-sibling::*[1]"),
    ],
)
def test_which_notations_take_the_fingering(inside: str, place: str, keep_existing: bool) -> None:
    data = f"<a><note><pitch/>{inside}</note></a>".encode()
    out = marked(data, [Mark("note:0", "1")], keep_existing=keep_existing)
    (note,) = notes_of(out)
    (found,) = note.xpath(place)
    assert found.findtext("technical/fingering") == "1"
    assert unmarked(out) == data


def test_what_the_encoding_lacks_is_written_as_a_character_reference() -> None:
    out = marked(VARIANTS["iso-8859-1"](), [Mark("note:0", "2♯")])
    assert b"2&#9839;</fingering>" in out
    assert fingerings(notes_of(out)[0]) == ["2♯"]


def test_prefixed_elements_get_prefixed_marks() -> None:
    note = "<m:note><m:pitch/></m:note>"
    body = f'<m:score-partwise xmlns:m="urn:x"><m:part><m:measure>{note}</m:measure></m:part></m:score-partwise>'
    out = marked(body.encode(), [Mark("note:0", "1", "slur 1: 5 %")])
    (marked_note,) = notes_of(out)
    assert fingerings(marked_note) == ["1"]
    assert marked_note.getprevious().tag == "{urn:x}direction"
    assert unmarked(out) == body.encode()


def test_time_wise_scores_count_notes_in_document_order() -> None:
    part = '<part id="P{}"><note><pitch><step>C</step><octave>4</octave></pitch><duration>1</duration></note></part>'
    measure = '<measure number="{}">' + part.format(1) + part.format(2) + "</measure>"
    names = "".join(f'<score-part id="P{at}"><part-name/></score-part>' for at in (1, 2))
    body = f"<score-timewise><part-list>{names}</part-list>{measure.format(1)}{measure.format(2)}</score-timewise>"
    out = marked(body.encode(), [Mark("note:2", "1", "slur 1: 5 %"), Mark("note:1", "2")])
    assert [fingerings(note) for note in notes_of(out)] == [[], ["2"], ["1"], []]
    assert schema_errors(out) == []
    assert unmarked(out) == body.encode()


@pytest.mark.parametrize(
    "note",
    [
        "<note><pitch/></note>",
        "<note\n><pitch/></note\n>",
        "<note a='>' b=\"'>/\"><pitch/></note>",
        "<note><!-- </note> <lyric> --><pitch/><!-- > --></note>",
        "<note><?p </note> ?><pitch/></note>",
        "<note><pitch/><footnote><![CDATA[</note><lyric>]]></footnote></note>",
        "<note><pitch/><lyric/><notations/></note>",
        "<note><lyric/></note>",
        "<note><pitch/><notehead>x</notehead><x:note-like xmlns:x='u'/></note>",
    ],
)
def test_odd_notes(note: str) -> None:
    data = f"<score>{note}<note/><note><pitch/></note><notes/></score>".encode()
    for keep_existing in (True, False):
        out = marked(data, [Mark("note:0", "1", "s"), Mark("note:2", "2")], keep_existing=keep_existing)
        first, empty, last = notes_of(out)
        assert fingerings(first) == ["1"]
        assert len(empty) == 0
        assert fingerings(last) == ["2"]
        assert unmarked(out) == data
        assert marked(data, [Mark("note:0", "1")], keep_existing=keep_existing).count(b"fingering") == 2


@pytest.mark.parametrize(
    "head",
    [
        '<!DOCTYPE a SYSTEM "<!-- <note>">',
        "<!DOCTYPE a [<!NOTATION n SYSTEM '<note/> <?'> <!-- <note> --> <!ELEMENT note (b)>]>",
        "<?x <note/> ?><!-- <note/> -->\n",
    ],
)
def test_names_in_the_document_type_are_no_tags(head: str) -> None:
    data = f"{head}<a><note><pitch/></note></a>".encode()
    out = marked(data, [Mark("note:0", "1", "s")])
    assert out.startswith(f"{head}<a><direction ".encode())
    assert unmarked(out) == data


def test_marks_are_found_again_when_another_program_has_laid_out_the_file_anew() -> None:
    data = document().encode()
    tree = etree.fromstring(marked(data, keep_existing=False), etree.XMLParser(remove_blank_text=True))
    for technical in tree.iter("technical"):
        if technical.get("id"):
            technical.text = "\n   "
            technical[0].tail = "\n "
    laid_out: Any = etree.tostring(tree, pretty_print=True, encoding="UTF-16")
    again = unmarked(laid_out)
    assert [fingerings(note) for note in notes_of(again)] == [fingerings(note) for note in notes_of(data)]
    assert "slurwright" not in again.decode("utf-16")


def test_what_others_add_to_our_notations_stays() -> None:
    out = marked(document().encode(), [Mark("note:0", "1")]).replace(
        b"</technical></notations>", b"</technical><fermata/></notations>"
    )
    left = notes_of(unmarked(out))[0]
    assert fingerings(left) == []
    assert left.find("notations/fermata") is not None


@pytest.mark.parametrize(
    ("data", "problem"),
    [
        (b"", "not well-formed XML"),
        (b"MThd\x00\x00", "not well-formed XML"),
        (document().encode()[:-200], "not well-formed XML"),
        (document().encode()[:800], "not well-formed XML"),
        (document("utf-8").encode("iso-8859-1"), "cannot be decoded"),
        (document("klingon-1").encode("iso-8859-1"), "cannot be decoded"),
        (document("hex").encode("iso-8859-1"), "cannot be decoded"),
        (b"\xff\xfe" + document("UTF-16").encode("utf-16-le")[:-1], "cannot be decoded"),
        (b'<!DOCTYPE a [<!ENTITY b "c">]><a/>', "entities declared in the file are refused"),
        (b'<!DOCTYPE a [<!ENTITY % b SYSTEM "file:///etc/passwd"> %b;]><a/>', "entities declared in the file"),
        (
            document("iso-2022-jp").replace("Å", "\x1b$B%=\x1b(B\x1b(B").encode("ascii"),
            "does not give the same bytes back",
        ),
    ],
)
def test_what_cannot_be_marked_is_said(data: bytes, problem: str) -> None:
    with pytest.raises(NotationError, match=problem) as caught:
        marked(data)
    assert "tune.musicxml" in str(caught.value)
    with pytest.raises(NotationError, match=problem):
        unmarked(data)


@pytest.mark.parametrize(
    ("marks", "problem"),
    [
        ([Mark("note:7", "1")], "no such note in the file; got note:7; allowed: 0 to 6"),
        ([Mark("note:-1", "1")], "not a place in this file"),
        ([Mark("note:01", "1")], "not a place in this file"),
        ([Mark("measure:1", "1"), Mark("", "1")], "'measure:1'(.|\n)*''"),
        ([Mark("note:1", "1"), Mark("note:1", "2")], "two marks for one note"),
        ([Mark("note:6", "1")], "no pitch stands here"),
        ([Mark("note:1", "")], "a fingering cannot be written"),
        ([Mark("note:1", "1", "two\nlines")], "a sign cannot be written"),
        ([Mark("note:1", "\x00")], "a fingering cannot be written"),
        ([Mark("note:1", "\ud800")], "a fingering cannot be written"),
    ],
)
def test_marks_that_make_no_sense_are_refused(marks: list[Mark], problem: str) -> None:
    with pytest.raises(RequestError, match=problem):
        marked(document().encode(), marks)


def test_a_note_without_content_is_refused() -> None:
    for note in (b"<note/>", b"<note></note>", b"<note><!-- x --></note>"):
        with pytest.raises(RequestError, match="no pitch stands here"):
            marked(b"<a>" + note + b"<note><pitch/></note></a>", [Mark("note:0", "1")])


def test_no_marks_take_the_old_ones_off() -> None:
    data = document().encode()
    assert marked(marked(data), []) == data


JUNK = st.binary(max_size=2) | st.sampled_from([b"<", b">", b"&", b"/"])
LAYOUT = st.sampled_from(["", "\n", "\r\n\t", " <!-- <note> --> ", "<?x </note> ?>"])
CHILD = st.sampled_from(
    [
        "<chord/>",
        "<duration>4</duration>",
        "<voice>2</voice>",
        "<staff >1</staff>",
        "<lyric><text>é</text></lyric>",
        "<notations/>",
        "<notations><technical><fingering>3</fingering><fingering a='>'>𝄞?&gt;</fingering></technical></notations>",
        "<notations><technical><open-string/></technical></notations>",
        "<grace/>",
        "<listen/>",
        "<x>a<y/>b</x>",
    ]
)


@st.composite
def scores(draw: st.DrawFn) -> tuple[bytes, int]:
    prefix = draw(st.sampled_from(["", "m:"]))
    count = draw(st.integers(1, 6))
    parts = [f"<{prefix}score xmlns:m='u'>"]
    for _ in range(count):
        children = ["<pitch><step>C</step></pitch>", *draw(st.lists(CHILD, max_size=5))]
        body = "".join(draw(LAYOUT) + child for child in children) + draw(LAYOUT)
        parts += (draw(LAYOUT), re.sub(r"<(/?)(?=\w)", rf"<\1{prefix}", f"<note a='1'>{body}</note>"))
    parts += (draw(LAYOUT), f"</{prefix}score>")
    encoding = draw(st.sampled_from(["utf-8", "utf-16-le", "utf-16-be", "utf-8-sig", "utf-32"]))
    start = "\ufeff" if encoding.endswith("e") else ""
    return (start + "".join(parts)).encode(encoding), count


@settings(max_examples=60, deadline=None)
@given(scores(), st.data(), st.booleans())
def test_law_marks_come_off_and_stand_at_their_notes(
    score: tuple[bytes, int], data: st.DataObject, keep: bool
) -> None:
    source, count = score
    chosen = data.draw(st.sets(st.integers(0, count - 1)))
    text = st.text(st.characters(min_codepoint=32, exclude_categories=["C", "Z"]), min_size=1, max_size=6)
    marks = [Mark(f"note:{at}", data.draw(text), data.draw(st.none() | text)) for at in sorted(chosen)]
    out = marked(source, marks, keep_existing=keep)
    assert unmarked(out) == source
    assert marked(out, marks[::-1], keep_existing=keep) == out
    before = [fingerings(note) for note in notes_of(source)]
    after = [fingerings(note) for note in notes_of(out)]
    for mark in marks:
        at = int(mark.place.removeprefix("note:"))
        before[at] = sorted([*(before[at] if keep else []), mark.fingering or ""])
        after[at] = sorted(after[at])
    assert after == before


@settings(max_examples=200, deadline=None)
@given(st.sampled_from(sorted(VARIANTS)), st.data())
def test_law_damaged_files_are_refused_or_come_back(name: str, data: st.DataObject) -> None:
    broken = bytearray(VARIANTS[name]())
    for _ in range(data.draw(st.integers(1, 3))):
        at = data.draw(st.integers(0, len(broken) - 1))
        broken[at : at + data.draw(st.integers(0, 2))] = data.draw(
            st.binary(max_size=2) | st.sampled_from([b"<", b">", b"&", b"/"])
        )
    source = bytes(broken)
    try:
        clean = unmarked(source)
        out = marked(source, [Mark("note:0", "1-2"), Mark("note:4", "0")], keep_existing=False)
    except SlurwrightError:
        return
    assert unmarked(out) == clean == source


HOSTILE = {
    "empty directions with our id": b'<direction id="slurwright-1"/>',
    "odd directions with our id": b'<direction id="slurwright-1" a=">"></direction>',
    "long ids": b'<technical a="' + b"id= " * 50 + b'"/>',
    "kept by nobody": b"<?slurwright-kept ?>",
    "comments": b"<!-- <note> -->",
    "notes in a chord": b"<note><chord/><pitch/></note>",
    "deep": b"<x>",
}


@pytest.mark.parametrize("name", HOSTILE)
def test_time_grows_no_faster_than_the_file(name: str) -> None:
    """A file made to trap a pattern is done in the time that an honest one of its size takes."""
    piece = HOSTILE[name]
    count = (200_000 if name == "deep" else 1_000_000) // len(piece)
    inside = piece * count + (b"</x>" * count if name == "deep" else b"")
    data = b"<a><note><pitch/>" + inside + b"</note><note><pitch/></note></a>"
    if name == "notes in a chord":
        data = b"<a>" + inside + b"<note><pitch/></note></a>"
        marks = [Mark(f"note:{at}", "1", "s") for at in range(0, count, 10)]
    else:
        marks = [Mark("note:0", "1", "s")]
    start = time.process_time()
    out = marked(data, marks, keep_existing=False)
    unmarked(out)
    assert time.process_time() - start < 20
