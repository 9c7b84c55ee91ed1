"""MEI is read with everything in it; what cannot be read is refused in words."""

from fractions import Fraction

import pytest

from builders.damage import damaged
from builders.notation_samples import MEI
from slurwright.errors import NotationError, PartError, SlurwrightError
from slurwright.formats.mei import open_mei
from slurwright.pitch import Clef, Transposition
from slurwright.score import Beam, DirectionKind, Hairpin, Jump, Key, Part, Slur, TimeSignature, Tuplet

_OPEN = (
    '<mei xmlns="http://www.music-encoding.org/ns/mei" meiversion="5.0"><music><body><mdiv><score>'
    '<scoreDef meter.count="4" meter.unit="4"><staffGrp><staffDef n="1" clef.shape="G" clef.line="2" {staff}/>'
    "</staffGrp></scoreDef><section>"
)
_CLOSE = "</section></score></mdiv></body></music></mei>"


def document(*measures: str, staff: str = "") -> str:
    return _OPEN.format(staff=staff) + "".join(measures) + _CLOSE


def measure(layer: str, controls: str = "", attributes: str = "") -> str:
    return f'<measure {attributes}><staff n="1"><layer n="1">{layer}</layer></staff>{controls}</measure>'


def read(text: str, *, at: int = -1, voice: str | None = None) -> Part:
    score = open_mei(text.encode(), where="tune.mei")
    return score.part(score.headings[at], voice=voice)


def note(name: str, *, dur: str = "4", more: str = "") -> str:
    return f'<note pname="{name[0]}" oct="{name[1]}" dur="{dur}" {more}/>'


def test_the_tune_is_read() -> None:
    score = open_mei(MEI.encode(), where="tune.mei")
    assert [heading.name for heading in score.headings] == ["Cornet", "Euphonium"]
    part = score.part(score.headings[1])
    assert (part.title, part.composer) == ("Ferry Bell", "A. Harbourer")
    assert [str(n.written) for n in part.notes] == [
        *("Bb2", "C3", "D3", "E3", "F3", "Eb3", "Eb3", "F3", "G3", "F3", "Bb2"),
    ]
    assert part.slurs == (Slur(0, 2), Slur(7, 8))
    assert part.hairpins == (Hairpin(Fraction(0), Fraction(3), grows=True),)
    assert [n.beam for n in part.notes][1:3] == [Beam.BEGIN, Beam.END]
    assert part.notes[2].articulations == {"staccato"}
    assert part.notes[9].articulations == {"fermata"}
    assert part.notes[3].shown_accidental == "natural"
    assert part.notes[0].fingerings == ("1",)
    assert part.notes[4].grace
    assert part.notes[4].grace_slash
    assert (part.notes[5].tied_to_next, part.notes[6].tied_from_previous) == (True, True)
    assert part.notes[7].value.tuplet == Tuplet(3, 2, starts=True)
    assert part.rests[0].duration_quarter == Fraction(1, 3)
    assert (part.notes[0].dynamic, part.notes[5].dynamic) == (-2.0, 1.0)
    assert part.notes[0].tempo_qpm == 84.0
    first = part.measures[0]
    assert (first.key, first.clef, first.time) == (Key(-2), Clef.BASS, TimeSignature(3, 4))
    assert [m.repeat_starts for m in part.measures] == [True, False, False, False]
    assert [m.repeat_ends for m in part.measures] == [0, 0, 2, 0]
    assert [m.endings for m in part.measures] == [(), (), (1,), (2,)]
    assert part.measures[3].final_bar


def test_a_transposing_staff() -> None:
    part = read(MEI, at=0)
    assert part.measures[0].transposition == Transposition(-1, -2)
    assert str(part.notes[0].sounding) == "D4"
    assert part.states_transposition
    assert [rest.value for rest in part.rests] == [None, None, None]


def test_places_are_ids_or_where_the_note_stands() -> None:
    places = [n.place for n in read(MEI).notes]
    assert places[:6] == ["#n1", "#n2", "#n3", "#n4", "@5:2:1:1", "#n5"]
    assert len(set(places)) == len(places)
    with pytest.raises(NotationError, match="ID n1 already defined"):
        read(MEI.replace('xml:id="n2"', 'xml:id="n1"'))


def test_accidentals_hold_through_the_measure_and_over_ties() -> None:
    part = read(
        document(
            measure(note("f4", more='accid="s"') + note("f4") + note("f5") + note("f4", more='tie="i"')),
            measure(note("f4", more='tie="t"') + note("f4") + note("f4", more='accid.ges="s"') + note("g4")),
            staff='keysig="1f"',
        )
    )
    assert [n.written.alter for n in part.notes] == [1, 1, 0, 1, 1, 0, 1, 0]


def test_a_tie_element_carries_its_accidental() -> None:
    part = read(
        document(
            measure(note("f4", dur="1", more='xml:id="a" accid="s"'), '<tie startid="#a" endid="#b"/>'),
            measure(note("f4", dur="1", more='xml:id="b"')),
        )
    )
    assert [str(n.sounding) for n in part.notes] == ["F#4", "F#4"]
    assert part.notes[1].tied_from_previous


def test_words_signs_and_jumps() -> None:
    part = read(
        document(
            measure(
                note("c4", dur="1"),
                '<reh tstamp="1">A</reh><dir staff="1" tstamp="2">cantabile</dir>'
                '<dynam staff="1" tstamp="1">sfz</dynam>'
                '<repeatMark func="segno" tstamp="1"/><breath staff="1" tstamp="5"/><trill staff="1" tstamp="1"/>',
            ),
            measure(note("d4", dur="1"), '<dir tstamp="4">D.S. al Fine</dir><tempo tstamp="1">Andante</tempo>'),
            measure(note("d4", dur="1"), '<dir tstamp="4">Fine</dir>', 'right="dbl"'),
        )
    )
    assert [d.text for d in part.directions if d.kind is DirectionKind.REHEARSAL] == ["A"]
    assert [d.text for d in part.directions if d.kind is DirectionKind.WORDS] == ["cantabile"]
    assert [d.text for d in part.directions if d.kind is DirectionKind.TEMPO] == ["Andante"]
    assert [m.jumps for m in part.measures] == [(Jump.SEGNO,), (Jump.DAL_SEGNO,), (Jump.FINE,)]
    assert part.notes[0].articulations == {"breath"}
    assert part.notes[0].ornaments == {"trill"}
    assert part.measures[2].double_bar


def test_changes_of_key_clef_and_time() -> None:
    part = read(
        document(
            measure('<clef shape="F" line="4"/>' + note("c3", dur="1")),
            '<scoreDef meter.count="3" meter.unit="8" keysig="3s"/>',
            measure(note("f3", dur="4", more='dots="1"')),
            '<staffDef n="1" clef.shape="C" clef.line="4"/>',
            measure('<rest dur="8"/><note pname="c" oct="3" dur="4"/>'),
        )
    )
    assert [m.clef for m in part.measures] == [Clef.BASS, Clef.BASS, Clef.TENOR]
    assert [m.time.beat_type for m in part.measures] == [4, 8, 8]
    assert [str(n.written) for n in part.notes] == ["C3", "F#3", "C#3"]


def test_an_octave_clef_is_a_transposition() -> None:
    part = read(document(measure(note("c3", dur="1")), staff='clef.dis="8" clef.dis.place="below"'))
    assert (str(part.notes[0].written), str(part.notes[0].sounding)) == ("C4", "C3")


def test_long_rests_and_repeated_measures() -> None:
    part = read(
        document(
            measure(note("c4", dur="1")),
            measure("<mRpt/>"),
            measure('<multiRest num="4"/>', attributes='n="3"'),
            measure("<mRest/>"),
        )
    )
    assert len(part.measures) == 7
    assert [m.number for m in part.measures][2:6] == ["3", "4", "5", "6"]
    assert [n.onset_quarter for n in part.notes] == [0, 4]
    assert part.notes[1].place == ""
    assert any("repeat sign" in notice.what for notice in part.notices)


def test_tuplet_spans() -> None:
    events = "".join(note("c4", dur="8", more=f'xml:id="t{i}"') for i in range(3)) + note(
        "c4", dur="2", more='dots="1"'
    )
    part = read(document(measure(events, '<tupletSpan startid="#t0" endid="#t2" num="3" numbase="2"/>')))
    assert [n.duration_quarter for n in part.notes] == [Fraction(1, 3)] * 3 + [3]
    assert part.notes[2].value.tuplet == Tuplet(3, 2, ends=True)


def divisi() -> str:
    one, two = note("c4", dur="1"), note("e4", dur="1")
    layers = f'<staff n="1"><layer n="1">{two}</layer><layer n="2">{one}</layer></staff>'
    return document(measure(two), f"<measure>{layers}</measure>", measure(two))


def test_voices() -> None:
    with pytest.raises(PartError, match="voice 1, voice 2"):
        read(divisi())
    assert [str(n.written) for n in read(divisi(), voice="2").notes] == ["E4", "C4", "E4"]
    assert [str(n.written) for n in read(divisi(), voice="1").notes] == ["E4", "E4", "E4"]
    assert [str(n.written) for n in read(divisi(), voice="bottom").notes] == ["E4", "C4", "E4"]
    with pytest.raises(PartError, match="no such voice"):
        read(divisi(), voice="7")


def test_chords() -> None:
    text = document(measure(f'<chord dur="1">{note("c4")}{note("g4")}{note("e4")}</chord>'))
    with pytest.raises(PartError, match="several notes at once"):
        read(text)
    assert str(read(text, voice="top").notes[0].written) == "G4"
    assert str(read(text, voice="bottom").notes[0].written) == "C4"
    assert read(text, voice="top").notes[0].duration_quarter == 4


def test_editorial_choices() -> None:
    part = read(document(measure(f"<app><lem>{note('c4', dur='1')}</lem><rdg>{note('d4', dur='1')}</rdg></app>")))
    assert [str(n.written) for n in part.notes] == ["C4"]


def test_movements_and_parts() -> None:
    body = document(measure(note("c4", dur="1")))
    division = body[body.index("<mdiv>") : body.index("</mdiv>") + 7]
    two = body.replace(division, division + division.replace('pname="c"', 'pname="d"'))
    score = open_mei(two.encode(), where="")
    assert [heading.name for heading in score.headings] == ["Movement 1: Staff 1", "Movement 2: Staff 1"]
    assert str(score.part(score.headings[1]).notes[0].written) == "D4"
    parts = body.replace("<score>", "<parts><part>").replace("</score>", "</part></parts>")
    assert str(read(parts).notes[0].written) == "C4"


_BOMB = '<!DOCTYPE mei [<!ENTITY a "aaaa"><!ENTITY b "&a;&a;&a;&a;">]><mei xmlns="http://www.music-encoding.org/ns/mei">&b;</mei>'


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", "empty"),
        (_BOMB, "entities"),
        ("<mei", "not well-formed"),
        ("<html/>", "not an MEI score"),
        ("<mei/>", "no score"),
        (MEI[:900], "not well-formed"),
        (MEI.replace('encoding="UTF-8"', 'encoding="EBCDIC-NONE"'), "unknown encoding"),
    ],
)
def test_what_cannot_be_opened_is_said(text: str, words: str) -> None:
    with pytest.raises(NotationError, match=words):
        open_mei(text.encode(), where="tune.mei")


@pytest.mark.parametrize(
    ("layer", "words"),
    [
        (note("h4"), "no pitch name"),
        (note("c4", dur="5"), "note value"),
        ('<note pname="c" dur="4"/>', "octave"),
        (note("c4", more='accid="q"'), "accidental"),
        ("<mRpt/>", "there is none"),
        ("<beatRpt/>", "cannot be read"),
        ("<beam>" * 50 + note("c4") + "</beam>" * 50, "too deeply"),
        (f'<tuplet num="0" numbase="2">{note("c4")}</tuplet>', "tuplet"),
    ],
)
def test_faults_are_gathered_and_placed(layer: str, words: str) -> None:
    with pytest.raises(NotationError, match=words) as caught:
        read(document(measure(layer + note("c4"), attributes='n="12"')))
    assert "measure 12" in str(caught.value)


def test_a_zero_beat_type_is_refused() -> None:
    with pytest.raises(NotationError, match="beat type"):
        read(document('<scoreDef meter.count="4" meter.unit="0"/>', measure(note("c4"))))


def test_no_notes() -> None:
    with pytest.raises(PartError, match="no notes"):
        read(document(measure("<mRest/>")))


def test_damaged_files_never_raise_anything_else() -> None:
    for copy in damaged(MEI.encode(), count=300, seed=7):
        try:
            score = open_mei(copy, where="tune.mei")
            for heading in score.headings:
                score.part(heading)
        except SlurwrightError:
            continue
