"""Marks in a MIDI file are one track of lyrics that comes off to the byte."""

import io
from typing import Any

import mido
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from builders.damage import damaged
from builders.notation_samples import midi_file
from slurwright.errors import NotationError, RequestError, SlurwrightError
from slurwright.formats.marks import Mark, mark_file, unmark_file
from slurwright.formats.midi import open_midi
from slurwright.score import Part

VARIANTS = {
    "one": midi_file(kind=1),
    "nought": midi_file(kind=0),
    "more behind": midi_file(kind=1) + b"XFIH\0\0\0\x02ab",
    "junk behind": midi_file(kind=0) + b"\0\0\0",
    "wrong count": midi_file(kind=1).replace(b"\0\x01\0\x02\x01\xe0", b"\0\x01\0\x09\x01\xe0"),
}
WORDS = st.text(st.characters(blacklist_categories=("C", "Z")), min_size=1, max_size=200)


def part_of(data: bytes) -> Part:
    score = open_midi(data, where="tune.mid")
    return score.part(score.headings[0])


def marks_for(part: Part) -> list[Mark]:
    return [Mark(note.place, "1-2", "slur 3: 24 %" if at % 3 == 0 else None) for at, note in enumerate(part.notes)]


def marked(data: bytes, marks: Any) -> bytes:
    return mark_file(data, marks, format="midi", where="tune.mid")


@pytest.mark.parametrize("name", VARIANTS)
def test_marks_come_off_to_the_byte(name: str) -> None:
    data = VARIANTS[name]
    marks = marks_for(part_of(data))
    out = marked(data, marks)
    assert out != data
    assert unmark_file(out, format="midi") == data
    assert marked(out, marks) == out
    assert marked(out, marks[:2]) == marked(data, marks[:2])
    assert unmark_file(data, format="midi") == data


@pytest.mark.parametrize("name", VARIANTS)
def test_the_music_stays_and_so_do_the_places(name: str) -> None:
    part = part_of(VARIANTS[name])
    assert part_of(marked(VARIANTS[name], marks_for(part))).notes == part.notes


@pytest.mark.parametrize("name", ["one", "nought"])
def test_lyrics_stand_at_the_strokes(name: str) -> None:
    data = VARIANTS[name]
    part = part_of(data)
    file = mido.MidiFile(file=io.BytesIO(marked(data, marks_for(part))))
    assert file.type == 1
    assert len(file.tracks) == (3 if name == "one" else 2)
    assert file.tracks[-1].name == "slurwright marks"
    tick, found = 0, []
    for message in file.tracks[-1]:
        tick += message.time
        if message.type == "lyrics" and message.text == "1-2":
            found.append(tick)
    assert found == [int(note.place.split(":")[1].rstrip("~")) for note in part.notes]
    assert file.tracks[-1][-1].type == "end_of_track"


@settings(max_examples=40, deadline=None)
@given(WORDS, WORDS)
def test_any_words_come_off(fingering: str, sign: str) -> None:
    for name in ("one", "nought"):
        out = marked(VARIANTS[name], [Mark("0:480", fingering, sign)])
        assert unmark_file(out, format="midi") == VARIANTS[name]
        assert len(open_midi(out, where="").headings) == 1


@pytest.mark.parametrize(
    ("marks", "words"),
    [
        ([Mark("12", "1")], "not a place"),
        ([Mark("9:0", "1")], "no such place"),
        ([Mark("1:999999999", "1")], "no such place"),
        ([Mark("1:0", "1"), Mark("1:0", "2")], "two marks"),
        ([Mark("1:0", "\n")], "cannot be written"),
    ],
)
def test_wrong_requests_are_said(marks: list[Mark], words: str) -> None:
    with pytest.raises(RequestError, match=words):
        marked(VARIANTS["one"], marks)


def test_patterns_of_their_own_take_no_track() -> None:
    loose = VARIANTS["one"].replace(b"\0\x01\0\x02\x01\xe0", b"\0\x02\0\x02\x01\xe0")
    with pytest.raises(NotationError, match="takes no track"):
        marked(loose, [Mark("1:0", "1")])


def test_damaged_marked_files_are_unmarked_or_refused() -> None:
    data = marked(VARIANTS["nought"], marks_for(part_of(VARIANTS["nought"])))
    for copy in damaged(data, count=200, seed=2):
        try:
            unmark_file(copy, format="midi")
        except SlurwrightError:
            continue
