"""The same score in MusicXML and in MEI gives the same part; the conversion is by verovio (LGPL-3)."""

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest
import verovio

from slurwright.formats.mei import open_mei
from slurwright.formats.musicxml import open_musicxml
from slurwright.score import Note, Part

pytestmark = pytest.mark.oracle

_DEMO = Path(__file__).parents[3] / "src" / "slurwright" / "data" / "demo"
_PASSAGE = """\
<score-partwise version="4.0"><part-list><score-part id="P1"><part-name>Cornet</part-name></score-part></part-list>
<part id="P1">
<measure number="0" implicit="yes"><attributes><divisions>6</divisions><key><fifths>1</fifths></key>
 <time><beats>6</beats><beat-type>8</beat-type></time><clef><sign>G</sign><line>2</line></clef>
 <transpose><diatonic>-1</diatonic><chromatic>-2</chromatic></transpose></attributes>
 <direction placement="below"><direction-type><dynamics><pp/></dynamics></direction-type></direction>
 <note><pitch><step>D</step><octave>4</octave></pitch><duration>3</duration><voice>1</voice><type>eighth</type></note>
</measure>
<measure number="1"><barline location="left"><repeat direction="forward"/></barline>
 <note><pitch><step>G</step><octave>4</octave></pitch><duration>9</duration><tie type="start"/><voice>1</voice>
  <type>quarter</type><dot/><notations><tied type="start"/><slur number="1" type="start"/></notations></note>
 <note><pitch><step>G</step><octave>4</octave></pitch><duration>3</duration><tie type="stop"/><voice>1</voice>
  <type>eighth</type><beam number="1">begin</beam><notations><tied type="stop"/></notations></note>
 <note><pitch><step>F</step><alter>1</alter><octave>4</octave></pitch><duration>3</duration><voice>1</voice>
  <type>eighth</type><beam number="1">continue</beam></note>
 <note><grace slash="yes"/><pitch><step>A</step><octave>4</octave></pitch><voice>1</voice><type>eighth</type></note>
 <note><pitch><step>E</step><alter>-1</alter><octave>4</octave></pitch><duration>3</duration><voice>1</voice>
  <type>eighth</type><accidental>flat</accidental><beam number="1">end</beam>
  <notations><slur number="1" type="stop"/><articulations><accent/><tenuto/></articulations></notations></note>
</measure>
<measure number="2"><barline location="left"><ending number="1" type="start"/></barline>
 <direction><direction-type><wedge type="crescendo"/></direction-type></direction>
 <note><pitch><step>D</step><octave>5</octave></pitch><duration>12</duration><voice>1</voice><type>half</type></note>
 <direction><direction-type><wedge type="stop"/></direction-type></direction>
 <note><rest/><duration>6</duration><voice>1</voice><type>quarter</type></note>
 <barline location="right"><ending number="1" type="stop"/><repeat direction="backward"/></barline>
</measure>
<measure number="3"><barline location="left"><ending number="2" type="start"/></barline>
 <direction placement="below"><direction-type><dynamics><ff/></dynamics></direction-type></direction>
 <note><pitch><step>C</step><octave>5</octave></pitch><duration>2</duration><voice>1</voice><type>eighth</type>
  <time-modification><actual-notes>3</actual-notes><normal-notes>2</normal-notes></time-modification>
  <beam number="1">begin</beam><notations><tuplet type="start"/></notations></note>
 <note><pitch><step>B</step><octave>4</octave></pitch><duration>2</duration><voice>1</voice><type>eighth</type>
  <time-modification><actual-notes>3</actual-notes><normal-notes>2</normal-notes></time-modification>
  <beam number="1">continue</beam></note>
 <note><pitch><step>A</step><octave>4</octave></pitch><duration>2</duration><voice>1</voice><type>eighth</type>
  <time-modification><actual-notes>3</actual-notes><normal-notes>2</normal-notes></time-modification>
  <beam number="1">end</beam><notations><tuplet type="stop"/></notations></note>
 <note><pitch><step>G</step><octave>4</octave></pitch><duration>12</duration><voice>1</voice><type>half</type>
  <notations><fermata/></notations></note>
 <barline location="right"><bar-style>light-heavy</bar-style><ending number="2" type="stop"/></barline>
</measure></part></score-partwise>
"""


def mei_of(musicxml: str) -> bytes:
    verovio.enableLog(verovio.LOG_OFF)
    toolkit = verovio.toolkit()
    toolkit.setOptions({"xmlIdSeed": 1})
    assert toolkit.loadData(musicxml)
    return str(toolkit.getMEI()).encode()


def both(musicxml: str) -> tuple[Part, Part]:
    first, second = open_musicxml(musicxml.encode(), where=""), open_mei(mei_of(musicxml), where="")
    return first.part(first.headings[0]), second.part(second.headings[0])


def bare(note: Note) -> Note:
    return replace(note, place="")


@pytest.mark.parametrize(
    "musicxml",
    [
        pytest.param(lambda: next(_DEMO.glob("*.musicxml")).read_text("utf-8"), id="demo tune"),
        pytest.param(lambda: _PASSAGE, id="passage"),
    ],
)
def test_the_parts_are_the_same(musicxml: Callable[[], str]) -> None:
    one, other = both(musicxml())
    assert [bare(note) for note in other.notes] == [bare(note) for note in one.notes]
    assert other.slurs == one.slurs
    assert other.hairpins == one.hairpins
    for mine, theirs in zip(other.measures, one.measures, strict=True):
        assert replace(mine, new_section=False, number="") == replace(theirs, new_section=False, number="")
