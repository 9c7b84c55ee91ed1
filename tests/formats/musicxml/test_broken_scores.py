"""Broken, hostile and contradictory files: each is refused with its place, none harms or is half read."""

import io
import zipfile
from collections.abc import Callable
from contextlib import suppress

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from builders.musicxml_samples import VARIANTS
from slurwright.errors import NotationError, SlurwrightError
from slurwright.formats.musicxml import open_musicxml
from slurwright.score import line_of

SCORE = """\
<score-partwise version="4.0">
  <part-list><score-part id="P1"><part-name>Cornet</part-name></score-part></part-list>
  <part id="P1"><measure number="1">
    <attributes><divisions>2</divisions><time><beats>4</beats><beat-type>4</beat-type></time></attributes>
    <note><pitch><step>C</step><octave>4</octave></pitch><duration>4</duration><voice>1</voice><type>half</type></note>
    <note><pitch><step>D</step><octave>4</octave></pitch><duration>4</duration><voice>1</voice><type>half</type></note>
  </measure></part>
</score-partwise>
"""


def read(text: str | bytes) -> None:
    data = text.encode() if isinstance(text, str) else text
    score = open_musicxml(data, where="test.musicxml")
    for heading in score.headings:
        line_of(score.part(heading))


@pytest.mark.parametrize(
    ("old", "new", "message"),
    [
        ("<divisions>2", "<divisions>0", "divisions makes no sense; got '0'"),
        ("<divisions>2", "<divisions>-2", "divisions makes no sense; got '-2'"),
        ("<divisions>2", "<divisions>two", "divisions makes no sense; got 'two'"),
        ("<divisions>2", "<divisions>1e99", "divisions makes no sense"),
        ("<divisions>2", "<divisions>NaN", "divisions makes no sense"),
        ("<divisions>2</divisions>", "", "a duration comes before any divisions"),
        ("<beat-type>4", "<beat-type>0", "beat type makes no sense; got '0'"),
        ("<beat-type>4", "<beat-type>3", "beat type makes no sense; got '3'"),
        ("<beats>4", "<beats>four", "beats of a time signature make no sense"),
        ("<beats>4", "<beats>0", "beats of a time signature make no sense"),
        ("<duration>4</duration>", "", "duration of a note makes no sense; got ''"),
        ("<duration>4", "<duration>0", "duration of a note makes no sense; got '0'"),
        ("<duration>4", "<duration>-4", "duration of a note makes no sense"),
        ("<step>C", "<step>H", "letter makes no sense; got 'H'"),
        ("<octave>4", "<octave>99", "octave makes no sense; got '99'"),
        ("<step>C</step>", "<step>C</step><alter>9</alter>", "alteration makes no sense"),
        ("<pitch><step>C</step><octave>4</octave></pitch>", "", "neither a pitch nor a rest"),
    ],
)
def test_values_that_make_no_sense_are_named_with_their_place(old: str, new: str, message: str) -> None:
    with pytest.raises(NotationError, match=f"test.musicxml, part Cornet, measure 1: .*{message}"):
        read(SCORE.replace(old, new))


def test_all_faults_come_at_once() -> None:
    with pytest.raises(NotationError) as caught:
        read(SCORE.replace("<duration>4", "<duration>0").replace("<beat-type>4", "<beat-type>0"))
    assert len(caught.value.faults) == 3


def test_very_many_faults_are_counted() -> None:
    note = "<note><pitch><step>C</step><octave>4</octave></pitch></note>"
    with pytest.raises(NotationError, match="and 82 more faults"):
        read(SCORE.replace("</measure>", note * 100 + "</measure>").replace("<duration>4</duration>", ""))


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("", "the file is empty"),
        ("  \n", "the file is empty"),
        ("not xml", "not well-formed"),
        (SCORE[:200], "not well-formed"),
        (SCORE.replace("</part>", "</prat>"), "not well-formed"),
        ("<html><body/></html>", "not a MusicXML score; got <html>"),
        ('<?xml version="1.0" encoding="x-none"?>' + SCORE, "unknown encoding; got x-none"),
        ("<a>" * 5000 + "</a>" * 5000, "not well-formed"),
        ("\x00\x01\x02", "not well-formed"),
        (SCORE.replace("<part id", "<note/><part id"), "outside the measures"),
    ],
    ids=range(10),
)
def test_what_is_no_score_is_refused(text: str, message: str) -> None:
    with pytest.raises(NotationError, match=message):
        read(text)


HOSTILE = {
    "entity bomb": '<!DOCTYPE a [<!ENTITY a "ha"><!ENTITY b "&a;&a;&a;&a;">]>',
    "external entity": '<!DOCTYPE a [<!ENTITY x SYSTEM "file:///etc/passwd">]>',
    "parameter entity": '<!DOCTYPE a [<!ENTITY % x SYSTEM "file:///etc/passwd"> %x;]>',
    "unparsed entity": '<!DOCTYPE a [<!NOTATION n SYSTEM "n"><!ENTITY x SYSTEM "file:///etc/passwd" NDATA n>]>',
}


@pytest.mark.parametrize("name", HOSTILE)
def test_entities_of_its_own_are_refused_unread(name: str) -> None:
    with pytest.raises(NotationError, match="declares its own entities"):
        read(HOSTILE[name] + SCORE)


@pytest.mark.parametrize("encoding", ["utf-16", "shift_jis"])
def test_entities_are_refused_in_any_encoding(encoding: str) -> None:
    text = f'<?xml version="1.0" encoding="{encoding}"?>' + HOSTILE["entity bomb"] + SCORE
    with pytest.raises(NotationError, match="declares its own entities"):
        read(text.encode(encoding))


def test_a_document_type_is_never_fetched() -> None:
    read('<!DOCTYPE score-partwise SYSTEM "file:///no/such/file.dtd">' + SCORE)


@pytest.mark.parametrize("name", VARIANTS)
def test_every_encoding_reads_alike(name: str) -> None:
    score = open_musicxml(VARIANTS[name](), where=name)
    part = score.part(score.headings[0], voice="1")
    assert [str(note.written) for note in part.notes] == ["C4", "D4", "E4"]
    assert part.notes[2].fingerings == ("2",)


def test_a_namespace_does_no_harm() -> None:
    read(SCORE.replace("<score-partwise", '<score-partwise xmlns="urn:some:thing"'))
    prefixed = (
        SCORE.replace("<", "<m:")
        .replace("<m:/", "</m:")
        .replace("m:score-partwise v", 'm:score-partwise xmlns:m="u" v')
    )
    read(prefixed)


CONTAINER = '<container><rootfiles><rootfile full-path="{}"/></rootfiles></container>'


def packed(files: dict[str, bytes], *, level: int = 6) -> bytes:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED, compresslevel=level) as archive:
        for name, data in files.items():
            archive.writestr(name, data)
    return out.getvalue()


def good(name: str = "score.musicxml", data: bytes = SCORE.encode()) -> dict[str, bytes]:
    return {"META-INF/container.xml": CONTAINER.format(name).encode(), name: data}


def test_a_packed_score_reads_as_its_root_file() -> None:
    read(packed(good()))
    read(packed({"other.xml": b"<other/>"} | good("in/side.xml")))


def test_a_packed_score_without_a_container_is_its_only_score() -> None:
    read(packed({"song.xml": SCORE.encode(), "cover.png": b"png"}))


PACKED: dict[str, tuple[Callable[[], bytes], str]] = {
    "cut short": (lambda: packed(good())[:-30], "broken or cut short"),
    "nothing inside": (lambda: packed({}), "does not say which"),
    "two scores and no container": (lambda: packed({"a.xml": b"<a/>", "b.xml": b"<b/>"}), "does not say which"),
    "a root file that is not there": (
        lambda: packed({"META-INF/container.xml": CONTAINER.format("gone.xml").encode()}),
        "names a score that it does not hold; got gone.xml",
    ),
    "a container without root files": (lambda: packed({"META-INF/container.xml": b"<container/>"}), "names no score"),
    "a bomb": (lambda: packed(good(data=b" " * 60_000_000)), "unpacks to more than"),
    "a bomb in the container": (
        lambda: packed({"META-INF/container.xml": b" " * 3_000_000}),
        "unpacks to more than",
    ),
    "too many files": (lambda: packed({f"{n}.txt": b"" for n in range(2001)}), "too many files"),
    "broken inside": (lambda: packed(good(data=SCORE.encode()[:300])), "not well-formed"),
}


@pytest.mark.parametrize("name", PACKED)
def test_bad_packed_files_are_refused(name: str) -> None:
    make, message = PACKED[name]
    with pytest.raises(NotationError, match=message):
        read(make())


def test_a_size_that_lies_is_found_out() -> None:
    """The directory says 500 bytes, the data are 50 million."""
    data = bytearray(packed(good(data=b"<a>" + b" " * 50_000_000)))
    true = (50_000_003).to_bytes(4, "little")
    while (place := data.find(true)) >= 0:
        data[place : place + 4] = (500).to_bytes(4, "little")
    with pytest.raises(NotationError):
        read(bytes(data))


@given(st.integers(0, len(SCORE) - 1), st.sampled_from(["", "<", ">", "0", "-1", "&", '"', "9" * 30, "é", "</note>"]))
@settings(max_examples=150, deadline=None)
def test_damage_anywhere_never_gives_anything_but_our_own_errors(place: int, text: str) -> None:
    with suppress(SlurwrightError):
        read(SCORE[:place] + text + SCORE[place + 1 :])


@given(st.binary(min_size=1, max_size=40), st.integers(0, 500))
@settings(max_examples=80, deadline=None)
def test_damage_to_a_packed_file_never_gives_anything_but_our_own_errors(noise: bytes, place: int) -> None:
    data = packed(good())
    place %= len(data)
    with suppress(SlurwrightError):
        read(data[:place] + noise + data[place + len(noise) :])
