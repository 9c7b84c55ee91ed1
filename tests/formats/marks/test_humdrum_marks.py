"""Marks in Humdrum are a spine of our own that comes off to the byte and follows the others' paths."""

from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from builders.notation_samples import HUMDRUM
from slurwright.devices.notation import humdrum_to_mei
from slurwright.errors import NotationError, RequestError
from slurwright.formats.humdrum import open_humdrum
from slurwright.formats.marks import Mark, mark_file, unmark_file

PLACES = ["12:1", "13:1", "15:1", "21:1", "24:1", "25:1", "26:1", "28:1"]
"""Notes of the lower part of the sample."""
MARKS = [Mark(place, "1-2", "slur 3: 24 %" if at % 3 == 0 else None) for at, place in enumerate(PLACES)]
VARIANTS = {
    "plain": HUMDRUM.encode(),
    "crlf": HUMDRUM.replace("\n", "\r\n").encode(),
    "no last line end": HUMDRUM.rstrip("\n").encode(),
    "cut short": HUMDRUM[: HUMDRUM.index("==")].encode(),
    "latin": HUMDRUM.replace("Ferry", "Fähre").encode("latin-1"),
    "after the end": (HUMDRUM + "!! the end\n\n!!!ENC: us\n").encode(),
    "twice": (HUMDRUM + HUMDRUM).encode(),
    "fingered": HUMDRUM.replace("**dynam", "**fing").encode(),
}
WORDS = st.text(st.characters(blacklist_categories=("C", "Z")), min_size=1, max_size=8)


def marked(data: bytes, marks: Any = MARKS, *, keep_existing: bool = True) -> bytes:
    return mark_file(data, marks, format="humdrum", keep_existing=keep_existing, where="tune.krn")


@pytest.mark.parametrize("name", VARIANTS)
@pytest.mark.parametrize("keep_existing", [True, False])
def test_marks_come_off_to_the_byte(name: str, keep_existing: bool) -> None:
    data = VARIANTS[name]
    out = marked(data, keep_existing=keep_existing)
    assert out != data
    assert unmark_file(out, format="humdrum") == data
    assert marked(out, keep_existing=keep_existing) == out
    assert marked(out, MARKS[:2]) == marked(data, MARKS[:2])
    assert unmark_file(data, format="humdrum") == data


@pytest.mark.parametrize("name", VARIANTS)
def test_every_line_gets_one_field_more(name: str) -> None:
    bare = [line for line in VARIANTS[name].decode("latin-1").splitlines() if line and not line.startswith("!!")]
    out = [
        line for line in marked(VARIANTS[name]).decode("latin-1").splitlines() if line and not line.startswith("!!")
    ]
    ours = [line for line in out if "\t*slurwright" not in line and "\t!slurwright: " not in line]
    assert [line.count("\t") for line in ours] == [line.count("\t") + 1 for line in bare]


def test_the_spine_stands_beside_its_notes() -> None:
    lines = marked(VARIANTS["plain"]).decode().split("\n")
    assert lines[2] == "**kern\t**fing\t**dynam\t**kern"
    assert lines[3] == "*\t*slurwright\t*\t*"
    assert "!\t!slurwright: slur 3: 24 %\t!\t!" in lines
    assert "(4BB-\t1-2\tp\t4d" in lines
    assert ".\t.\t.\t8dJ" in lines
    upper = marked(VARIANTS["plain"], [Mark("19:3", "2"), Mark("24:3", "1")]).decode().split("\n")
    assert upper[2] == "**kern\t**dynam\t**kern\t**fing"
    assert "2r\tf\t4f\t4d\t2" in upper
    assert "*\t*\t*v\t*v\t*" in upper


def test_notes_of_several_parts_share_a_spine_behind_all() -> None:
    lines = marked(VARIANTS["plain"], [Mark("12:1", "2"), Mark("13:3", "1")]).decode().split("\n")
    assert lines[2].endswith("**kern\t**fing")


def test_a_spine_that_ends_early_takes_ours_with_it() -> None:
    data = b"**kern\t**kern\n4c\t4e\n*-\t*\n4f\n*-\n"
    out = marked(data, [Mark("2:1", "0")])
    assert out == b"**kern\t**fing\t**kern\n*\t*slurwright\t*\n4c\t0\t4e\n*-\t*-\t*\n4f\n*-\n"
    assert unmark_file(out, format="humdrum") == data


def test_joins_over_several_spines_are_not_broken() -> None:
    data = b"**kern\t**kern\n4c\t4e\n*v\t*v\n4f\n*-\n"
    out = marked(data, [Mark("2:1", "0")])
    assert b"*v\t*v\t*\n" in out
    assert unmark_file(out, format="humdrum") == data


def test_fingerings_of_others_stay_or_are_hidden() -> None:
    data = VARIANTS["fingered"]
    assert b"(4BB-\t4\tp\t4d" in marked(data, [Mark("12:1", "4")])
    hidden = marked(data, [Mark("12:1", "4")], keep_existing=False)
    assert b"!\t!slurwright:\t!slurwright hides p\t!\n(4BB-\t4\t.\t4d\n" in hidden
    assert unmark_file(hidden, format="humdrum") == data


def test_the_music_stays_and_so_do_the_places() -> None:
    data = VARIANTS["plain"]
    parts = []
    for source in (data, marked(data)):
        score = open_humdrum(source, where="", to_mei=humdrum_to_mei)
        parts.append(score.part(score.headings[1]))
    assert parts[0] == parts[1]
    assert [note.place for note in parts[0].notes] == PLACES


def test_another_program_reads_marked_text() -> None:
    """A reader that knows nothing of us finds the same notes."""
    foreign = marked(VARIANTS["plain"]).replace(b"slurwright", b"someone")
    score = open_humdrum(foreign, where="", to_mei=humdrum_to_mei)
    assert [str(note.written) for note in score.part(score.headings[1]).notes][:4] == ["Bb2", "C3", "D3", "Eb3"]


@settings(max_examples=60, deadline=None)
@given(WORDS, WORDS)
def test_any_words_come_off(fingering: str, sign: str) -> None:
    for name in ("plain", "crlf", "latin"):
        out = marked(VARIANTS[name], [Mark("12:1", fingering, sign), Mark("28:1", fingering)])
        assert unmark_file(out, format="humdrum") == VARIANTS[name]


@pytest.mark.parametrize(
    ("marks", "words"),
    [
        ([Mark("#n1", "1")], "not a place"),
        ([Mark("99:1", "1")], "no note stands"),
        ([Mark("12:9", "1")], "no note stands"),
        ([Mark("11:1", "1")], "no note stands"),
        ([Mark("14:1", "1")], "no note stands"),
        ([Mark("12:1", "1"), Mark("12:1", "2")], "two marks"),
        ([Mark("12:1", "1"), Mark("12:3", "2")], "two marks"),
        ([Mark("12:1", "a\tb")], "cannot be written"),
    ],
)
def test_wrong_requests_are_said(marks: list[Mark], words: str) -> None:
    with pytest.raises(RequestError, match=words):
        marked(VARIANTS["plain"], marks)


def test_a_line_of_data_without_spines_is_no_humdrum() -> None:
    with pytest.raises(NotationError, match="number of fields"):
        marked(b"C D E\n", [Mark("1:1", "1")])
