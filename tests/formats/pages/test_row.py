from dataclasses import replace
from xml.etree import ElementTree as ET

from builders.stand import stand_part
from slurwright.formats.pages import PageRequest, RowLabel, WeakSlurMark
from slurwright.formats.pages.mei_page import page_mei
from slurwright.formats.pages.row import has_tight_labels, labels_to_print, mark_texts

MEI = "{http://www.music-encoding.org/ns/mei}"


def _request(music: str, texts: str) -> PageRequest:
    part = stand_part(music)
    return PageRequest(
        part=part, title="", labels={index: RowLabel(text) for index, text in enumerate(texts.split()) if text != "."}
    )


def _row(request: PageRequest) -> list[tuple[str | None, str]]:
    harms = ET.fromstring(page_mei(request)).iter(f"{MEI}harm")
    return [(harm.get("startid"), " ".join("".join(harm.itertext()).split())) for harm in harms]


def test_the_continuation_of_a_tie_has_no_label() -> None:
    request = _request("w:C3~ | h:C3 h:D3", "1-3 1-3 0")
    assert list(labels_to_print(request)) == [0, 2]


def test_grace_notes_share_the_label_of_their_note() -> None:
    request = _request("gs:C3 gs:D3 q:E3 q:F3 h:G3", "1-3 1-2 2 1 0")
    assert _row(request) == [("#n2", "1-3 1-2 2"), ("#n3", "1"), ("#n4", "0")]


def test_grace_notes_at_the_end_of_a_measure_share_the_label_before() -> None:
    request = _request("h:E3 h:F3 gs:C3 gs:D3 | w:E3", "2 1 1-3 1-2 2")
    assert _row(request) == [("#n0", "2"), ("#n1", "1 1-3 1-2"), ("#n4", "2")]


def test_a_label_keeps_its_middle_under_its_note() -> None:
    request = _request("gs:C3 w:E3", "1-3 2")
    (harm,) = ET.fromstring(page_mei(request)).iter(f"{MEI}harm")
    words = "".join(harm.itertext())
    after = len(words) - len(words.rstrip("\u00a0"))
    assert after > 3, "as much air behind the fingering as the grace note takes before it"


def test_what_departs_is_marked_without_colour() -> None:
    request = replace(_request("h:C3 h:D3", "1-3 0"), labels={0: RowLabel("1-3"), 1: RowLabel("4", changed=True)})
    harms = list(ET.fromstring(page_mei(request)).iter(f"{MEI}harm"))
    assert [harm.get("type") for harm in harms] == ["normal", "changed"]
    assert [harm[0].get("fontweight") for harm in harms] == ["normal", "bold"]
    assert all("color" not in harm[0].attrib for harm in harms)


def test_crowded_bars_have_smaller_then_tighter_labels() -> None:
    plain = _request("q:C3 q:D3 h:E3", "1-2-3 1-2-3 1-2-3")
    crowded = _request("s:C3 " * 16, "1-2-3-4 " * 16)
    packed = _request("t:C3 " * 32, "1-2-3-4 " * 32)
    assert not has_tight_labels(plain)
    assert not has_tight_labels(crowded)
    assert has_tight_labels(packed)
    assert {text for _, text in _row(packed)} == {"1234"}
    sizes = [
        int(next(ET.fromstring(page_mei(request)).iter(f"{MEI}harm"))[0].get("fontsize", "").rstrip("%"))
        for request in (plain, crowded)
    ]
    assert sizes[0] > sizes[1] >= 50


def test_a_weak_slur_says_its_number_and_risk_over_its_first_note() -> None:
    request = replace(_request("q:C3 q:D3 h:E3", ""), weak=(WeakSlurMark(4, 1, 2, "42 %"),))
    (box,) = ET.fromstring(page_mei(request)).iter(f"{MEI}dir")
    assert (box.get("startid"), box.get("place")) == ("#n1", "above")
    assert "".join(box.itertext()).strip() == "S4 42 %"


def test_marks_that_crowd_a_measure_hold_their_number_alone() -> None:
    part = stand_part("e:F3 e:Bb3 e:F3 e:Bb3 h:F3 | h:F3 h:Bb3")
    weak = tuple(WeakSlurMark(number, note, note + 1, "20 %") for number, note in enumerate((0, 1, 2, 5), start=1))
    request = PageRequest(part=part, title="", weak=weak)
    assert mark_texts(request) == {1: "S1", 2: "S2", 3: "S3", 4: "S4 20 %"}
