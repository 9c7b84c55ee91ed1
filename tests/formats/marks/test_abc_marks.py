"""Marks in ABC text come off to the byte, stand at their notes, and leave the music as it was."""

from dataclasses import replace
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from builders.converters import abc_here
from builders.damage import damaged
from builders.notation_samples import ABC
from slurwright.errors import RequestError, SlurwrightError
from slurwright.formats.abc import open_abc
from slurwright.formats.marks import Mark, mark_file, unmark_file
from slurwright.score import Beam, Note, Part

FINGERED = ABC.replace("(B,2 C2", "(!1!B,2 !3!C2")
VARIANTS = {
    "plain": ABC.encode(),
    "crlf": ABC.replace("\n", "\r\n").encode(),
    "latin": ABC.replace("Ferry", "Fähre").encode("latin-1"),
    "bom": b"\xef\xbb\xbf" + ABC.encode(),
    "typed": b"C D (E F) {FG}A |",
    "fingered": FINGERED.encode(),
    "chords": b'X:1\nK:C\nL:1/4\n[CE] D "G"[DG] z|',
}
WORDS = st.text(st.characters(blacklist_categories=("C", "Z")), min_size=1, max_size=8)


def part_of(data: bytes) -> Part:
    score = open_abc(data, where="tune.abc", to_musicxml=abc_here)
    return score.part(score.headings[0], voice="top")


def marks_for(part: Part) -> list[Mark]:
    return [
        Mark(note.place, None if at % 5 == 4 else "1-2", "slur 3: 24 %" if at % 3 == 0 else None, above=at % 2 == 0)
        for at, note in enumerate(part.notes)
    ]


def marked(data: bytes, marks: Any, *, keep_existing: bool = True) -> bytes:
    return mark_file(data, marks, format="abc", keep_existing=keep_existing, where="tune.abc")


@pytest.mark.parametrize("name", VARIANTS)
@pytest.mark.parametrize("keep_existing", [True, False])
def test_marks_come_off_to_the_byte(name: str, keep_existing: bool) -> None:
    data = VARIANTS[name]
    marks = marks_for(part_of(data))
    out = marked(data, marks, keep_existing=keep_existing)
    assert out != data
    assert unmark_file(out, format="abc") == data
    assert marked(out, marks, keep_existing=keep_existing) == out
    assert marked(out, marks[:2]) == marked(data, marks[:2])
    assert unmark_file(data, format="abc") == data


@pytest.mark.parametrize("name", VARIANTS)
def test_the_music_stays_and_so_do_the_places(name: str) -> None:
    data = VARIANTS[name]
    part = part_of(data)
    assert part_of(marked(data, marks_for(part))) == part


def test_a_mark_stands_before_its_note() -> None:
    part = part_of(ABC.encode())
    out = marked(
        ABC.encode(), [Mark(part.notes[1].place, "1-3", "slur 1: 40 %"), Mark(part.notes[6].place, "2", above=False)]
    )
    assert b'(B,2 [r:slurwright]"^1-3"[r:slurwright]"_slur 1: 40 pct"C2' in out
    assert b'[r:slurwright]"_2"{EF}(G2' in out


def test_another_program_reads_marked_text() -> None:
    """The converter, which knows nothing of us, finds the same notes and our words in the marked text.

    Beams are left out: it takes a space inside quotes for the end of a beam.
    """
    data = ABC.encode()
    part = part_of(data)
    foreign = marked(data, marks_for(part)).replace(b"slurwright", b"someone")
    again = part_of(foreign)
    assert [_bare(note) for note in again.notes] == [_bare(note) for note in part.notes]
    assert sum(direction.text == "1-2" for direction in again.directions) == sum(
        m.fingering == "1-2" for m in marks_for(part)
    )


def _bare(note: Note) -> Note:
    return replace(note, place="", beam=Beam.NONE)


def test_fingerings_of_others_stay_or_are_hidden() -> None:
    data = FINGERED.encode()
    part = part_of(data)
    assert part.notes[0].fingerings == ("1",)
    mark = [Mark(part.notes[0].place, "4")]
    assert b"!1!" in marked(data, mark).replace(b"was !1!", b"")
    hidden = marked(data, mark, keep_existing=False)
    assert b'([r:slurwright was !1!][r:slurwright]"^4"B,2 !3!C2' in hidden


@settings(max_examples=10, deadline=None)
@given(WORDS, WORDS, st.booleans())
def test_any_words_come_off(fingering: str, sign: str, above: bool) -> None:
    for name in ("plain", "latin"):
        data = VARIANTS[name]
        out = marked(data, [Mark(part_of(data).notes[2].place, fingering, sign, above=above)])
        assert unmark_file(out, format="abc") == data
        assert len(part_of(out).notes) == len(part_of(data).notes)


@pytest.mark.parametrize(
    ("marks", "words"),
    [
        ([Mark("note:1", "1")], "not a place"),
        ([Mark("3", "1")], "no note stands"),
        ([Mark("99999", "1")], "no note stands"),
        ([Mark("93", "1"), Mark("93", "2")], "two marks"),
        ([Mark("93", "a\nb")], "cannot be written"),
        ([Mark("93", " ")], "cannot be written"),
    ],
)
def test_wrong_requests_are_said(marks: list[Mark], words: str) -> None:
    with pytest.raises(RequestError, match=words):
        marked(ABC.encode(), marks)


def test_damaged_marked_text_is_still_unmarked_or_refused() -> None:
    data = marked(ABC.encode(), marks_for(part_of(ABC.encode())))
    for copy in damaged(data, count=60, seed=9):
        try:
            unmark_file(copy, format="abc")
            open_abc(copy, where="", to_musicxml=abc_here)
        except SlurwrightError:
            continue
