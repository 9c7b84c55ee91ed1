"""Single facts about a written document, each as another program would look for it."""

from dataclasses import replace
from fractions import Fraction
from typing import Any

import pytest
from lxml import etree

from builders.converters import abc_here
from builders.musicxml_schema import schema_errors
from builders.stand import stand_part
from slurwright.errors import RequestError
from slurwright.formats.abc import open_abc
from slurwright.formats.musicxml import open_musicxml
from slurwright.formats.musicxml_writer import write_musicxml
from slurwright.pitch import SoundingPitch, Transposition
from slurwright.score import Beam, Direction, DirectionKind, Hairpin, Jump, Part, Slur


def tree(part: Part, **fingerings: Any) -> Any:
    data = write_musicxml(part, **fingerings)
    assert schema_errors(data) == []
    return etree.fromstring(data, etree.XMLParser(load_dtd=False))


def changed(part: Part, index: int, **fields: Any) -> Part:
    notes = list(part.notes)
    notes[index] = replace(notes[index], **fields)
    return replace(part, notes=tuple(notes))


def texts(root: Any, path: str) -> list[str]:
    return [found.text for found in root.iterfind(path)]


TUNE = stand_part("q:Bb2 e:C3 e:D3 h:F3 | w:r | h:G3 q:F#3 q:F3")


def test_the_same_part_gives_the_same_bytes() -> None:
    data = write_musicxml(TUNE)
    assert data == write_musicxml(TUNE)
    assert data.startswith(b'<?xml version="1.0" encoding="UTF-8"?>\n<!DOCTYPE score-partwise PUBLIC')
    assert data.endswith(b"</score-partwise>\n")


def test_fingerings_stand_first_to_play_then_alternates_and_replace_the_own_ones() -> None:
    part = changed(changed(TUNE, 0, fingerings=("9",)), 1, fingerings=("8",))
    notes = tree(part, fingerings={0: ("1-3", "4"), 2: ()}).findall(".//note")
    assert [(f.text, f.get("alternate")) for f in notes[0].iter("fingering")] == [("1-3", None), ("4", "yes")]
    assert texts(notes[1], "notations/technical/fingering") == ["8"]
    assert notes[2].find(".//fingering") is None


def test_accidentals_are_worked_out_where_the_source_prints_none() -> None:
    notes = tree(TUNE).findall(".//note")
    assert [note.findtext("accidental") for note in notes if note.find("pitch") is not None] == [
        *([None] * 5),
        "sharp",
        "natural",
    ]


def test_printed_accidentals_of_the_source_are_left_as_they_are() -> None:
    notes = tree(changed(TUNE, 5, shown_accidental="sharp")).findall(".//note")
    assert [note.findtext("accidental") for note in notes if note.find("accidental") is not None] == ["sharp"]


@pytest.mark.parametrize(
    ("steps", "semitones", "written"),
    [
        (0, 0, ("0", "0", None)),
        (-1, -2, ("-1", "-2", None)),
        (-8, -14, ("-1", "-2", "-1")),
        (-7, -12, ("0", "0", "-1")),
        (-4, -7, ("-4", "-7", None)),
        (2, 3, ("2", "3", None)),
        (8, 14, ("1", "2", "1")),
    ],
)
def test_a_transposition_is_split_into_octaves_and_the_rest(
    steps: int, semitones: int, written: tuple[str, str, str | None]
) -> None:
    transposition = Transposition(steps, semitones)
    measures = tuple(replace(measure, transposition=transposition) for measure in TUNE.measures)
    root = tree(replace(TUNE, measures=measures, states_transposition=True))
    (found,) = root.iter("transpose")
    assert tuple(found.findtext(tag) for tag in ("diatonic", "chromatic", "octave-change")) == written


def test_a_part_that_does_not_say_how_it_sounds_states_no_transposition() -> None:
    assert list(tree(replace(TUNE, states_transposition=False)).iter("transpose")) == []


def test_beams_of_all_levels_follow_from_the_first() -> None:
    part = stand_part("e.:C3 s:D3 s:E3 e:F3 s:G3 s:A3 t:B3 t:C4 e:D4 h:r")
    wanted = [
        Beam.BEGIN,
        Beam.END,
        Beam.BEGIN,
        Beam.CONTINUE,
        Beam.END,
        Beam.BEGIN,
        Beam.CONTINUE,
        Beam.CONTINUE,
        Beam.END,
    ]
    notes = tuple(replace(note, beam=beam) for note, beam in zip(part.notes, wanted, strict=True))
    beams = [
        [(beam.get("number"), beam.text) for beam in note.iter("beam")]
        for note in tree(replace(part, notes=notes)).iter("note")
    ]
    assert beams == [
        [("1", "begin")],
        [("1", "end"), ("2", "backward hook")],
        [("1", "begin"), ("2", "forward hook")],
        [("1", "continue")],
        [("1", "end"), ("2", "backward hook")],
        [("1", "begin"), ("2", "begin")],
        [("1", "continue"), ("2", "continue"), ("3", "begin")],
        [("1", "continue"), ("2", "end"), ("3", "end")],
        [("1", "end")],
        [],
    ]


def test_syllables_know_their_place_in_the_word() -> None:
    part = TUNE
    for index, text in enumerate(["A", "lan-", "ter-", "na", "-", "x"]):
        part = changed(part, index, lyrics=(text,))
    syllables = [(x.findtext("syllabic"), x.findtext("text")) for x in tree(part).iter("lyric")]
    assert syllables == [
        ("single", "A"),
        ("begin", "lan"),
        ("middle", "ter"),
        ("end", "na"),
        ("single", "-"),
        ("single", "x"),
    ]


def test_overlapping_slurs_get_numbers_of_their_own_and_stops_come_first() -> None:
    part = replace(TUNE, slurs=(Slur(0, 2), Slur(1, 3), Slur(2, 4, dashed=True)))
    notes = [note for note in tree(part).iter("note") if note.find("pitch") is not None]
    ends = [[(s.get("type"), s.get("number"), s.get("line-type")) for s in note.iter("slur")] for note in notes]
    assert ends[:5] == [
        [("start", "1", None)],
        [("start", "2", None)],
        [("stop", "1", None), ("start", "1", "dashed")],
        [("stop", "2", None)],
        [("stop", "1", None)],
    ]


def test_more_slurs_at_once_than_the_standard_numbers_are_refused() -> None:
    bar = " ".join(["s:C3"] * 16)
    part = stand_part(f"{bar} | {bar}", slurs=[(i, 31 - i) for i in range(16)])
    assert schema_errors(write_musicxml(part)) == []
    with pytest.raises(RequestError, match="too many slurs at once; got one more at note 16; allowed: 16 at a time"):
        write_musicxml(stand_part(f"{bar} | {bar} | {bar}", slurs=[(i, 35 - i) for i in range(17)]))


def test_a_glissando_leads_to_the_next_note() -> None:
    notes = list(tree(changed(TUNE, 0, ornaments=frozenset({"glissando"}))).iter("note"))
    assert [[g.get("type") for g in note.iter("glissando")] for note in notes[:3]] == [["start"], ["stop"], []]


def test_signs_that_the_standard_lacks_go_by_their_own_names() -> None:
    part = changed(TUNE, 0, articulations=frozenset({"growl"}), ornaments=frozenset({"wobble", "tremolo-9"}))
    root = tree(part)
    assert texts(root, ".//other-articulation") == ["growl"]
    assert texts(root, ".//other-ornament") == ["tremolo-9", "wobble"]


def test_a_sign_between_two_onsets_stands_before_the_sounding_note_with_an_offset() -> None:
    pin = Hairpin(Fraction(5, 2), Fraction(7, 2), grows=True)
    root = tree(replace(TUNE, hairpins=(pin,)))
    start, stop = root.findall(".//direction")
    assert [x.findtext("offset") for x in (start, stop)] == ["1", "3"]
    assert start.getnext() is stop
    assert stop.getnext().findtext("pitch/step") == "F"
    assert root.findtext(".//divisions") == "2"


def test_what_ends_at_a_bar_line_ends_in_the_measure_before_it() -> None:
    root = tree(replace(TUNE, hairpins=(Hairpin(Fraction(0), Fraction(4), grows=False),)))
    first = root.find(".//measure")
    assert [wedge.get("type") for wedge in first.iter("wedge")] == ["diminuendo", "stop"]


@pytest.mark.parametrize(
    ("jump", "shown", "sound"),
    [
        (Jump.SEGNO, "segno", {"segno": "segno"}),
        (Jump.CODA, "coda", {"coda": "coda"}),
        (Jump.TO_CODA, "coda", {"tocoda": "coda"}),
        (Jump.DA_CAPO, "D.C.", {"dacapo": "yes"}),
        (Jump.DAL_SEGNO, "D.S.", {"dalsegno": "segno"}),
        (Jump.FINE, "Fine", {"fine": "yes"}),
    ],
)
def test_a_jump_is_seen_and_played(jump: Jump, shown: str, sound: dict[str, str]) -> None:
    measures = (TUNE.measures[0], replace(TUNE.measures[1], jumps=(jump,)), TUNE.measures[2])
    root = tree(replace(TUNE, measures=measures))
    (direction,) = root.findall(".//measure[@number='2']/direction")
    (sign,) = direction.find("direction-type")
    assert (sign.text or sign.tag) == shown
    assert dict(direction.find("sound").attrib) == sound
    lands = jump in {Jump.SEGNO, Jump.CODA}
    assert (direction.getnext() is not None and direction.getnext().tag == "note") is lands
    again = open_musicxml(etree.tostring(root), where="")
    assert [measure.jumps for measure in again.part(again.headings[0]).measures] == [(), (jump,), ()]


def test_words_that_state_a_jump_are_not_said_twice() -> None:
    measures = (*TUNE.measures[:2], replace(TUNE.measures[2], jumps=(Jump.DAL_SEGNO,)))
    words = Direction(DirectionKind.WORDS, 2, Fraction(12), "D.S. al Coda")
    root = tree(replace(TUNE, measures=measures, directions=(words,)))
    assert texts(root, ".//words") == ["D.S. al Coda"]
    assert root.find(".//sound").get("dalsegno") == "segno"


def test_hidden_marks_are_played_and_not_printed() -> None:
    hidden = (
        Direction(DirectionKind.TEMPO, 0, Fraction(0), "", tempo_qpm=72.5, printed=False),
        Direction(DirectionKind.DYNAMIC, 0, Fraction(0), "pp", printed=False),
        Direction(DirectionKind.DYNAMIC, 0, Fraction(0), "sfz", printed=False),
        Direction(DirectionKind.WORDS, 0, Fraction(0), "psst", printed=False),
    )
    root = tree(replace(TUNE, directions=hidden))
    assert [dict(sound.attrib) for sound in root.iter("sound")] == [{"tempo": "72.5"}, {"dynamics": "35"}]
    assert texts(root, ".//words") == [None, None]
    assert not list(root.iter("dynamics"))


def test_an_upbeat_is_a_measure_that_does_not_count() -> None:
    first = replace(TUNE.measures[0], number="0", duration_quarter=Fraction(4))
    short = stand_part("q:C3 | w:D3", measures={0: {"number": "0"}})
    assert tree(short).find(".//measure").get("implicit") == "yes"
    assert tree(replace(TUNE, measures=(first, *TUNE.measures[1:]))).find(".//measure").get("implicit") is None


def test_gaps_that_no_rest_fills_are_skipped() -> None:
    root = tree(replace(TUNE, rests=(), notes=TUNE.notes[:1]))
    assert texts(root.find(".//measure[@number='1']"), "forward/duration") == ["3"]
    assert root.find(".//measure[@number='2']/note/rest").get("measure") == "yes"


def test_words_of_a_broken_file_cannot_break_the_document() -> None:
    part = replace(TUNE, title="A\x00B\ud800\uffff<&>\n", name="\x1b[31m", part_id="1 bad id")
    measures = (replace(part.measures[0], number="\x07"), *part.measures[1:])
    root = tree(replace(part, measures=measures))
    assert root.findtext(".//work-title") == "A B  <&> "
    assert root.find("part").get("id") == "P1"


def test_divisions_beyond_any_program_are_counted_measure_by_measure() -> None:
    """Rhythms of different primes in each measure, as a played file may bring."""
    primes = (101, 103, 107)
    notes = tuple(
        replace(
            TUNE.notes[0], index=at, measure=at, onset_quarter=Fraction(4 * at), duration_quarter=4 - Fraction(1, p)
        )
        for at, p in enumerate(primes)
    )
    root = tree(replace(TUNE, notes=notes, rests=(), slurs=()))
    assert texts(root, ".//divisions") == [str(p) for p in primes]
    assert texts(root, ".//forward/duration") == ["1", "1", "1"]


def test_a_tune_typed_in_abc_comes_out_as_musicxml() -> None:
    opened = open_abc(
        b"X:1\nT:Weir Steps\nM:3/4\nL:1/8\nQ:1/4=96\nK:Bb clef=bass\n(B,2 CD) F2|!f!(3GAG F4|]\n",
        where="",
        to_musicxml=abc_here,
    )
    part = opened.part(opened.headings[0])
    root = tree(part)
    again = open_musicxml(etree.tostring(root), where="")
    back = again.part(again.headings[0])
    assert [str(note.sounding) for note in back.notes] == [str(note.sounding) for note in part.notes]
    assert [note.onset_quarter for note in back.notes] == [note.onset_quarter for note in part.notes]
    assert back.slurs == part.slurs
    assert back.notes[0].tempo_qpm == 96.0
    assert back.notes[0].sounding == SoundingPitch.named("Bb3")
