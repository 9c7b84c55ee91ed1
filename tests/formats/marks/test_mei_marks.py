"""Marks in MEI come off to the byte, stand in their note's measure, and name or place their note."""

import re
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from lxml import etree

from builders.notation_samples import MEI
from slurwright.errors import NotationError, RequestError
from slurwright.formats.marks import Mark, mark_file, unmark_file
from slurwright.formats.mei import open_mei
from slurwright.score import Part

PREFIXED = re.sub(r"<(/?)(?=[a-zA-Z])", r"<\1m:", MEI).replace("xmlns=", "xmlns:m=")
VARIANTS = {
    "plain": MEI.encode(),
    "crlf": MEI.replace("\n", "\r\n").encode(),
    "utf-16": MEI.replace("UTF-8", "UTF-16").encode("utf-16"),
    "latin": MEI.replace("UTF-8", "ISO-8859-1").replace("Ferry", "Fähre").encode("latin-1"),
    "no ids": re.sub(r' xml:id="n\d"', "", MEI).replace('<slur staff="2" startid="#n1" endid="#n3"/>', "").encode(),
    "prefixed": PREFIXED.encode(),
    "comments": MEI.replace("<measure", "<!-- <measure><note/> --><measure").encode(),
}
WORDS = st.text(st.characters(blacklist_categories=("C", "Z")), min_size=1, max_size=8)


def part_of(data: bytes) -> Part:
    score = open_mei(data, where="tune.mei")
    return score.part(score.headings[-1])


def marks_for(part: Part) -> list[Mark]:
    return [
        Mark(note.place, "1-2 & 3", "slur 3: 24 %" if at % 3 == 0 else None, above=at % 2 == 0)
        for at, note in enumerate(part.notes)
    ]


def marked(data: bytes, marks: Any, *, keep_existing: bool = True) -> bytes:
    return mark_file(data, marks, format="mei", keep_existing=keep_existing, where="tune.mei")


@pytest.mark.parametrize("name", VARIANTS)
@pytest.mark.parametrize("keep_existing", [True, False])
def test_marks_come_off_to_the_byte(name: str, keep_existing: bool) -> None:
    data = VARIANTS[name]
    marks = marks_for(part_of(data))
    out = marked(data, marks, keep_existing=keep_existing)
    assert out != data
    assert unmark_file(out, format="mei") == data
    assert marked(out, marks, keep_existing=keep_existing) == out
    assert marked(out, marks[:2]) == marked(data, marks[:2])
    assert unmark_file(data, format="mei") == data


@pytest.mark.parametrize("name", VARIANTS)
def test_the_music_stays_and_so_do_the_places(name: str) -> None:
    data = VARIANTS[name]
    part = part_of(data)
    assert part_of(marked(data, marks_for(part))) == part


@pytest.mark.parametrize("name", VARIANTS)
def test_every_mark_stands_in_its_notes_measure(name: str) -> None:
    data = VARIANTS[name]
    part = part_of(data)
    root = etree.fromstring(marked(data, marks_for(part)))
    for number, measure in enumerate(root.iter("{*}measure")):
        own = [
            f
            for f in measure.findall("{*}fing")
            if "slurwright" in str(f.get("{http://www.w3.org/XML/1998/namespace}id"))
        ]
        assert len(own) == sum(note.measure == number for note in part.notes)
        assert {fing.text for fing in own} == {"1-2 & 3"}
        ids = {note.get("{http://www.w3.org/XML/1998/namespace}id") for note in measure.iter("{*}note")}
        assert all(fing.get("startid", "")[1:] in ids or fing.get("tstamp") for fing in own)
    assert len(list(root.iter("{*}dir"))) == len(range(0, len(part.notes), 3))


def test_a_note_without_id_is_marked_by_its_place() -> None:
    data = VARIANTS["no ids"]
    part = part_of(data)
    out = marked(data, [Mark(part.notes[2].place, "2-3", above=False)])
    assert b'<fing xml:id="slurwright-f0" staff="2" layer="1" tstamp="2.5" place="below">2-3</fing></measure>' in out


def test_fingerings_of_others_stay_or_are_hidden() -> None:
    data = MEI.encode()
    assert b'<fing startid="#n1">1</fing>' in marked(data, [Mark("#n1", "4")])
    hidden = marked(data, [Mark("#n1", "4")], keep_existing=False)
    assert b'<?slurwright-kept <fing startid="#n1">1</fing>?>' in hidden
    assert part_of(hidden).notes[0].fingerings == ()
    assert unmark_file(hidden, format="mei") == data


@settings(max_examples=40, deadline=None)
@given(WORDS, WORDS, st.booleans())
def test_any_words_are_written_and_come_off(fingering: str, sign: str, above: bool) -> None:
    for name in ("plain", "latin"):
        data = VARIANTS[name]
        out = marked(data, [Mark("#n2", fingering, sign, above=above)])
        assert unmark_file(out, format="mei") == data
        written = [f.text for f in etree.fromstring(out).iter("{*}fing")]
        assert fingering in written


@pytest.mark.parametrize(
    ("marks", "words"),
    [
        ([Mark("n1", "1")], "not a place"),
        ([Mark("#none", "1")], "no such note"),
        ([Mark("@99:1:1:1", "1")], "no such note"),
        ([Mark("#n1", "1"), Mark("#n1", "2")], "two marks"),
        ([Mark("#n1", "a\nb")], "cannot be written"),
    ],
)
def test_wrong_requests_are_said(marks: list[Mark], words: str) -> None:
    with pytest.raises(RequestError, match=words):
        marked(MEI.encode(), marks)


def test_broken_documents_are_refused() -> None:
    with pytest.raises(NotationError, match="well-formed"):
        marked(MEI[:700].encode(), [Mark("#n1", "1")])
