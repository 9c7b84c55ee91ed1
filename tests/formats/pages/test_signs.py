from dataclasses import replace
from xml.etree import ElementTree as ET

from builders.stand import stand_part
from slurwright.formats.pages import PageRequest
from slurwright.formats.pages.mei_page import page_mei
from slurwright.score import Direction, DirectionKind, Hairpin, Jump, Part, Slur

MEI = "{http://www.music-encoding.org/ns/mei}"


def _signs(part: Part, tag: str) -> list[ET.Element]:
    return list(ET.fromstring(page_mei(PageRequest(part=part, title=""))).iter(f"{MEI}{tag}"))


def _at(part: Part, kind: DirectionKind, text: str, measure: int = 0, place: int = 0, **more: object) -> Direction:
    onset = part.measures[measure].onset_quarter + place
    return Direction(kind, measure, onset, text, **more)  # type: ignore[arg-type]


def test_words_and_metronome_mark_share_a_line() -> None:
    part = stand_part("w:C3")
    words = _at(part, DirectionKind.TEMPO, "Slow & calm")
    mark = _at(part, DirectionKind.TEMPO, "", tempo_unit="quarter.", tempo_per_minute=66.0)
    (tempo,) = _signs(replace(part, directions=(mark, words)), "tempo")
    assert "".join(tempo.itertext()) == "Slow & calm \ueca5\uecb7 = 66"


def test_a_tempo_without_a_drawn_unit_is_words() -> None:
    part = stand_part("w:C3")
    (tempo,) = _signs(replace(part, directions=(_at(part, DirectionKind.TEMPO, "Presto", tempo_qpm=180.0),)), "tempo")
    assert tempo.text == "Presto"
    assert len(tempo) == 0


def test_signs_hang_from_the_note_that_begins_there() -> None:
    part = stand_part("h:C3 h:D3")
    signs = (
        _at(part, DirectionKind.DYNAMIC, "p", place=2, above=False),
        _at(part, DirectionKind.WORDS, "x", place=1),
    )
    part = replace(part, directions=signs)
    assert [dynam.get("startid") for dynam in _signs(part, "dynam")] == ["#n1"]
    assert [words.get("tstamp") for words in _signs(part, "dir")] == ["2"]


def test_a_sign_at_the_end_of_a_measure_stays_in_it() -> None:
    part = stand_part("w:C3 | w:D3")
    words = Direction(DirectionKind.WORDS, 0, part.measures[1].onset_quarter, "attacca")
    assert [sign.get("tstamp") for sign in _signs(replace(part, directions=(words,)), "dir")] == ["5"]


def test_a_hairpin_to_a_bar_line_ends_in_its_own_measure() -> None:
    part = stand_part("w:C3 | w:D3 | w:E3")
    part = replace(part, hairpins=(Hairpin(part.notes[0].onset_quarter, part.notes[2].onset_quarter, grows=True),))
    (pin,) = _signs(part, "hairpin")
    assert (pin.get("startid"), pin.get("tstamp2"), pin.get("endid")) == ("#n0", "1m+5", None)


def test_a_hairpin_to_a_dynamic_ends_at_its_note_on_one_level() -> None:
    part = stand_part("w:C3 | w:D3")
    loud = _at(part, DirectionKind.DYNAMIC, "f", measure=1, above=False)
    pin = Hairpin(part.notes[0].onset_quarter, part.notes[1].onset_quarter, grows=True)
    part = replace(part, hairpins=(pin,), directions=(loud,))
    (drawn,), (dynam,) = _signs(part, "hairpin"), _signs(part, "dynam")
    assert drawn.get("endid") == "#n1"
    assert drawn.get("vgrp") == dynam.get("vgrp") != ""


def test_a_dynamic_inside_a_hairpin_has_a_level_of_its_own() -> None:
    part = stand_part("q:C3 q:D3 q:E3 q:F3")
    loud = _at(part, DirectionKind.DYNAMIC, "sfz", place=2, above=False)
    part = replace(part, hairpins=(Hairpin(part.notes[0].onset_quarter, loud.onset_quarter + 1, grows=True),))
    part = replace(part, directions=(loud,))
    assert _signs(part, "hairpin")[0].get("vgrp") != _signs(part, "dynam")[0].get("vgrp")


def test_ties_join_the_same_pitch() -> None:
    part = stand_part("w:C3~ | h:C3 h:D3")
    assert [(tie.get("startid"), tie.get("endid")) for tie in _signs(part, "tie")] == [("#n0", "#n1")]


def test_slurs_may_nest_and_be_dashed() -> None:
    part = replace(stand_part("q:C3 q:D3 q:E3 q:F3"), slurs=(Slur(0, 3), Slur(1, 2, dashed=True)))
    drawn = [(slur.get("startid"), slur.get("endid"), slur.get("lform")) for slur in _signs(part, "slur")]
    assert drawn == [("#n0", "#n3", None), ("#n1", "#n2", "dashed")]


def test_what_has_no_sign_is_said_in_words() -> None:
    part = stand_part("q:C3!half-muted q:D3!doit q:E3!staccato q:F3!trill")
    assert [words.text for words in _signs(part, "dir")] == ["half muted", "doit"]
    assert [sign.get("artic") for sign in _signs(part, "artic")] == ["stacc"]
    assert len(_signs(part, "trill")) == 1


def test_jumps_are_drawn_or_said_once() -> None:
    changes = {0: {"jumps": (Jump.SEGNO,)}, 1: {"jumps": (Jump.TO_CODA,)}, 2: {"jumps": (Jump.DAL_SEGNO,)}}
    part = stand_part("w:C3 | w:D3 | w:E3", measures=changes)
    assert [mark.get("func") for mark in _signs(part, "repeatMark")] == ["segno"]
    assert ["".join(words.itertext()).strip() for words in _signs(part, "dir")] == ["To Coda", "D.S. al Coda"]
    said = replace(part, directions=(_at(part, DirectionKind.WORDS, "D. S. al Coda", measure=2),))
    assert ["".join(words.itertext()).strip() for words in _signs(said, "dir")].count("D.S. al Coda") == 0


def test_a_stretch_that_is_played_often_says_so() -> None:
    part = stand_part("w:C3 | w:D3", measures={1: {"repeat_ends": 3}})
    assert ["".join(words.itertext()).strip() for words in _signs(part, "dir")] == ["3×"]


def test_what_the_file_hides_is_not_drawn() -> None:
    part = stand_part("h:C3 h:D3")
    hidden = (
        _at(part, DirectionKind.DYNAMIC, "p", above=False, printed=False),
        _at(
            part, DirectionKind.TEMPO, "", tempo_qpm=90.0, tempo_unit="quarter", tempo_per_minute=90.0, printed=False
        ),
        _at(part, DirectionKind.WORDS, "for playback", printed=False),
        _at(part, DirectionKind.REHEARSAL, "A", printed=False),
    )
    for tag in ("dynam", "tempo", "dir", "reh"):
        assert _signs(replace(part, directions=hidden), tag) == []
