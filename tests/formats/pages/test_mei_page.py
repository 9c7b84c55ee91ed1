from dataclasses import replace
from xml.etree import ElementTree as ET

import pytest
import verovio

from builders.pages import in_treble, page_request, rich_part
from builders.stand import stand_part
from slurwright.formats.pages import PageRequest, RowStyle
from slurwright.formats.pages.look import engraver_options
from slurwright.formats.pages.mei_page import page_mei
from slurwright.pitch import Clef
from slurwright.score import Part, TimeSignature

MEI = "{http://www.music-encoding.org/ns/mei}"
XML_ID = "{http://www.w3.org/XML/1998/namespace}id"


def _tree(part: Part) -> ET.Element:
    return ET.fromstring(page_mei(PageRequest(part=part, title="T")))


def _all(tree: ET.Element, tag: str) -> list[ET.Element]:
    return list(tree.iter(f"{MEI}{tag}"))


def test_every_note_is_there_under_its_own_name() -> None:
    part = rich_part()
    notes = _all(_tree(part), "note")
    assert [note.get(XML_ID) for note in notes] == [f"n{index}" for index in range(len(part.notes))]
    assert [f"{note.get('pname')}{note.get('oct')}" for note in notes] == [
        f"{note.written.step.lower()}{note.written.octave}" for note in part.notes
    ]


@pytest.mark.parametrize("part", [rich_part(), in_treble(rich_part())], ids=["bass", "treble"])
def test_the_engraver_understands_all_of_it(part: Part) -> None:
    verovio.enableLog(verovio.LOG_WARNING)
    toolkit = verovio.toolkit()
    request = page_request(part)
    assert toolkit.setOptions(engraver_options(request.paper, follow_breaks=False))
    assert toolkit.loadData(page_mei(request))
    assert toolkit.getPageCount() == 1
    assert toolkit.getLog() == ""


def test_the_same_part_gives_the_same_text() -> None:
    assert page_mei(page_request()) == page_mei(page_request())


def test_only_needed_accidentals_are_printed() -> None:
    part = stand_part("q:Bb2 q:B2 q:B2 q:Bb2 | q:Bb2 q:F#3 q:F#2 q:F3")
    shown = {note.get(XML_ID): [sign.get("accid") for sign in note] for note in _all(_tree(part), "note")}
    assert shown == {
        "n0": [],
        "n1": ["n"],
        "n2": [],
        "n3": ["f"],
        "n4": [],
        "n5": ["s"],
        "n6": ["s"],
        "n7": ["n"],
    }


def test_long_rests_are_counted_and_numbers_go_on() -> None:
    tree = _tree(stand_part("w:C3 | - | - | - | w:C3"))
    assert [rest.get("num") for rest in _all(tree, "multiRest")] == ["3"]
    assert [measure.get("n") for measure in _all(tree, "measure")] == ["1", "2", "5"]


def test_a_lone_empty_measure_has_a_whole_rest() -> None:
    tree = _tree(stand_part("w:C3 | - | w:C3"))
    assert len(_all(tree, "mRest")) == 1
    assert not _all(tree, "multiRest")


def test_endings_hold_their_measures() -> None:
    tree = _tree(rich_part())
    endings = {ending.get("n"): [m.get("n") for m in ending.iter(f"{MEI}measure")] for ending in _all(tree, "ending")}
    assert endings == {"1.": ["14", "15"], "2.": ["19"]}


def test_bars_are_closed_as_they_are_written() -> None:
    measures = {m.get("n"): (m.get("left"), m.get("right")) for m in _all(_tree(rich_part()), "measure")}
    assert measures["9"] == ("rptstart", None)
    assert measures["12"] == (None, "rptend")
    assert measures["20"] == (None, "dbl")
    assert measures["22"] == (None, "end")


def test_a_new_clef_stands_at_the_end_of_the_measure_before() -> None:
    (clef,) = _all(_tree(rich_part()), "clef")
    assert (clef.get("shape"), clef.get("line")) == ("C", "4")


def test_key_and_time_change_where_they_do() -> None:
    tree = _tree(stand_part("w:C3 | w:C3 | h.:C3", measures={1: {"key": _key(3)}, 2: {"time": TimeSignature(3, 4)}}))
    changes = [dict(change.attrib) for change in _all(tree, "scoreDef")]
    assert changes == [
        {"keysig": "2f", "meter.count": "4", "meter.unit": "4"},
        {"keysig": "3s"},
        {"meter.count": "3", "meter.unit": "4"},
    ]


def _key(fifths: int) -> object:
    return replace(rich_part().measures[0].key, fifths=fifths)


def test_an_upbeat_is_no_short_measure() -> None:
    part = stand_part("q:F2 | w:Bb2", measures={0: {"number": "0"}})
    first = _all(_tree(part), "measure")[0]
    assert (first.get("n"), first.get("metcon")) == ("0", "false")


def test_a_file_that_asks_for_systems_gets_them() -> None:
    tree = _tree(stand_part("w:C3 | w:C3 | w:C3", measures={2: {"new_section": True}}))
    section = _all(tree, "section")[0]
    assert [child.tag.removeprefix(MEI) for child in section] == ["measure", "measure", "sb", "measure"]


@pytest.mark.parametrize("clef", Clef)
def test_every_clef_can_be_drawn(clef: Clef) -> None:
    (staff,) = _all(_tree(stand_part("w:C4", clef=clef)), "staffDef")
    letters = {Clef.TREBLE: "G2", Clef.ALTO: "C3", Clef.TENOR: "C4", Clef.BASS: "F4"}
    assert f"{staff.get('clef.shape')}{staff.get('clef.line')}" == letters[clef]


def test_triplets_have_a_bracket_only_where_no_beam_holds_them() -> None:
    tree = _tree(stand_part("e3:C3 e3:D3 e3:E3 q3:C3 e3:D3 h:E3"))
    assert [(t.get("num"), t.get("bracket.visible")) for t in _all(tree, "tuplet")] == [("3", "false"), ("3", "true")]


def test_row_styles_choose_what_is_printed() -> None:
    request = page_request()
    every = _all(ET.fromstring(page_mei(request)), "harm")
    tied = sum(note.tied_from_previous for note in request.part.notes)
    graces = sum(note.grace for note in request.part.notes)
    assert len(every) == len(request.part.notes) - tied - graces
    few = _all(ET.fromstring(page_mei(replace(request, row_style=RowStyle.CHANGES))), "harm")
    wanted = {index for index, label in request.labels.items() if label.changed}
    wanted |= {note for mark in request.weak for note in (mark.first_note, mark.last_note)}
    assert {harm.get("startid") for harm in few} == {f"#n{index}" for index in wanted}
