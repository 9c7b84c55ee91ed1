"""Humdrum is read by way of MEI; every place is the line and field of its note."""

from collections.abc import Callable

import pytest

from builders.notation_samples import HUMDRUM
from slurwright.devices.notation import humdrum_to_mei
from slurwright.errors import NotationError, PartError
from slurwright.formats.humdrum import open_humdrum
from slurwright.formats.humdrum.spines import LineKind, kind_of, split_lines
from slurwright.pitch import Clef
from slurwright.score import Hairpin, Key, Part, Slur


@pytest.fixture(scope="module")
def part() -> Part:
    score = open_humdrum(HUMDRUM.encode(), where="tune.krn", to_mei=humdrum_to_mei)
    assert [heading.name for heading in score.headings] == ["Cornet", "Euphonium"]
    return score.part(score.headings[1])


def test_the_tune_is_read(part: Part) -> None:
    assert [str(note.written) for note in part.notes] == ["Bb2", "C3", "D3", "Eb3", "Eb3", "F3", "G3", "Ab3"]
    assert part.slurs == (Slur(0, 1),)
    assert part.hairpins == (Hairpin(part.notes[1].onset_quarter, part.notes[2].onset_quarter, grows=True),)
    assert part.notes[2].articulations == {"fermata"}
    assert part.notes[5].grace
    assert part.notes[3].tied_to_next
    assert (part.notes[0].dynamic, part.notes[3].dynamic) == (-2.0, 1.0)
    assert part.notes[0].tempo_qpm == 84.0
    assert part.measures[0].key == Key(-2)
    assert part.measures[0].clef is Clef.BASS
    assert part.title == "Ferry Bell"


def test_every_place_is_the_notes_own_token(part: Part) -> None:
    lines = [line.split("\t") for line in HUMDRUM.split("\n")]
    for note in part.notes:
        line, field = (int(number) for number in note.place.split(":"))
        assert note.written.step in lines[line - 1][field - 1].upper()


def never(_data: bytes, _where: str) -> str:
    raise AssertionError("nothing to convert")


def says(mei: str) -> Callable[[bytes, str], str]:
    return lambda _data, _where: mei


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", "not Humdrum"),
        ("CDEF", "not Humdrum"),
        ("**dynam\np\n*-\n", "no notes"),
        ("**kern\t**kern\n4c\n*-\t*-\n", "another number of fields"),
        ("**kern\n4c\t4d\n*-\n", "line 2"),
    ],
)
def test_what_is_no_humdrum_is_not_even_converted(text: str, words: str) -> None:
    with pytest.raises(NotationError, match=words):
        open_humdrum(text.encode(), where="tune.krn", to_mei=never)


def test_spine_paths_are_followed() -> None:
    text = "**kern\n*^\n4c\t4e\n*v\t*v\n4d\n*+\n*\t**kern\n4c\t4g\n*\t*-\n4e\n*-\n"
    with pytest.raises(NotationError, match="not an MEI score"):
        open_humdrum(text.encode(), where="", to_mei=says("<ok/>"))


def test_a_converter_that_gives_nonsense_is_caught() -> None:
    with pytest.raises(NotationError, match="XML"):
        open_humdrum(HUMDRUM.encode(), where="", to_mei=says("no"))


def test_chords_are_refused() -> None:
    score = open_humdrum(b"**kern\n*clefF4\n*M4/4\n=1\n1c 1e\n==\n*-\n", where="", to_mei=humdrum_to_mei)
    with pytest.raises(PartError, match="several notes at once"):
        score.part(score.headings[0])


def test_lines() -> None:
    kinds = [
        kind_of(line.encode())
        for line in ("", "!! a", "!\t!", "**kern\t**dynam", "*\t*^", "*-\t*-", "=1\t=1", "4c\t.")
    ]
    assert kinds == [
        LineKind.EMPTY,
        LineKind.GLOBAL,
        LineKind.COMMENT,
        LineKind.EXCLUSIVE,
        LineKind.INTERPRETATION,
        LineKind.END,
        LineKind.BAR,
        LineKind.DATA,
    ]


@pytest.mark.parametrize("text", [b"", b"a", b"a\n", b"a\r\nb\r\n", b"a\r\nb", b"\n\n", b"a\r", b"a\r\n\r", b"\r\n"])
def test_lines_lose_nothing(text: bytes) -> None:
    assert b"".join(line + ending for line, ending in split_lines(text)) == text
