"""A small MusicXML score of our own with everything in it that marking has to get round, and its variants."""

from collections.abc import Callable

HEAD = '<?xml version="1.0" encoding="{encoding}"?>\n'

SCORE = """\
<!DOCTYPE score-partwise PUBLIC "-//Recordare//DTD MusicXML 4.0 Partwise//EN" "partwise.dtd">
<!-- Before the root: <note> does not count here. -->
<?layout before <note> the root?>
<score-partwise version="4.0">
  <work><work-title>Lantern Song for Horn &amp; Bell Å</work-title></work>
  <part-list><score-part id="P1"><part-name>Horn in F</part-name></score-part></part-list>
  <part id="P1">
    <measure number="1">
      <attributes><divisions>2</divisions><time><beats>4</beats><beat-type>4</beat-type></time></attributes>
      <direction><direction-type><words><![CDATA[<note>poco</note>]]></words></direction-type></direction>
      <note default-x="80.5" print-object='yes'>
        <pitch><step>C</step><octave>4</octave></pitch>
        <duration>2</duration>
        <voice>1</voice>
        <type>quarter</type>
      </note>
      <note><grace slash="yes"/><pitch><step>D</step><octave>4</octave></pitch><voice>1</voice><type>eighth</type>
        <!-- <lyric> --><notations><slur type="start" number="1"/></notations></note>
      <note>
        <pitch><step>E</step><octave>4</octave></pitch>
        <duration>2</duration>
        <voice>1</voice>
        <type>quarter</type>
        <staff>1</staff>
        <notations><slur type="stop" number="1"/><technical><fingering>2</fingering></technical></notations>
        <lyric><text>glow&#228;</text></lyric>
      </note>
      <note><pitch><step>G</step><octave>4</octave></pitch><duration>2</duration><voice>2</voice><staff>2</staff></note>
      <note><chord/><pitch><step>B</step><octave>4</octave></pitch><duration>2</duration><voice>2</voice><staff>2</staff>
        <notations>
          <technical><fingering placement="below">1 &amp; <![CDATA[2]]><?odd  &amp; ends?></fingering><up-bow/>
            <fingering/></technical>
        </notations>
        <lyric><text>la</text></lyric><play><ipa>a</ipa></play>
      </note >
      <note><chord/><pitch><step>D</step><octave>5</octave></pitch><duration>2</duration><voice>2</voice></note>
      <note><rest/><duration>2</duration></note>
    </measure>
  </part>
</score-partwise>
<!-- behind -->
"""
NOTES = 7
SOUNDING = (0, 1, 2, 3, 4, 5)


def document(encoding: str = "UTF-8", body: str = SCORE) -> str:
    return HEAD.format(encoding=encoding) + body


VARIANTS: dict[str, Callable[[], bytes]] = {
    "utf-8": lambda: document().encode(),
    "utf-8 with byte order mark": lambda: b"\xef\xbb\xbf" + document().encode(),
    "utf-8 undeclared": SCORE.encode,
    "utf-8 with CRLF": lambda: document().replace("\n", "\r\n").encode(),
    "utf-8 with bare CR": lambda: document().replace("\n", "\r").encode(),
    "utf-8 on one line": lambda: " ".join(document().split("\n")).encode(),
    "utf-16 little": lambda: b"\xff\xfe" + document("UTF-16").encode("utf-16-le"),
    "utf-16 big": lambda: b"\xfe\xff" + document("UTF-16").encode("utf-16-be"),
    "utf-16 big with CRLF": lambda: b"\xfe\xff" + document("utf-16").replace("\n", "\r\n").encode("utf-16-be"),
    "iso-8859-1": lambda: document("ISO-8859-1").encode("iso-8859-1"),
    "iso-8859-15": lambda: document("iso-8859-15").replace("Song", "€ Song").encode("iso-8859-15"),
    "windows-1252": lambda: document("Windows-1252").replace("Song", "“Song”").encode("windows-1252"),
    "us-ascii": lambda: document("US-ASCII").replace("Å", "&#xC5;").encode("ascii"),
    "koi8-r": lambda: document("KOI8-R").replace("Song Å", "Песня").replace("Å", "").encode("koi8-r"),
    "shift_jis": lambda: document("Shift_JIS").replace("Å", "提灯の歌 ソ表").encode("shift_jis"),
    "euc-jp": lambda: document("EUC-JP").replace("Å", "提灯の歌").encode("euc-jp"),
    "gb18030": lambda: document("GB18030").replace("Å", "灯笼歌 𝄞").encode("gb18030"),
    "big5": lambda: document("Big5").replace("Å", "燈籠歌 許功蓋").encode("big5"),
    "beyond the first plane": lambda: document().replace("Song", "𝄞 𝄢 Song").encode(),
}
