"""A file is known by what it holds first and by its name second."""

import pytest

from builders.converters import abc_here, never
from builders.musicxml_samples import SCORE
from builders.notation_samples import ABC, HUMDRUM, MEI, midi_file
from slurwright.errors import NotationError
from slurwright.formats.sniff import notation_of, open_score


@pytest.mark.parametrize(
    ("data", "notation"),
    [
        (ABC.encode(), "abc"),
        (b"\xef\xbb\xbfX:1\nK:C\nCDE", "abc"),
        (MEI.encode(), "mei"),
        (MEI.replace("UTF-8", "UTF-16").encode("utf-16"), "mei"),
        (MEI.replace("<mei ", "<m:mei xmlns:m='x' ").encode(), "mei"),
        (HUMDRUM.encode(), "humdrum"),
        (b"!! comment\r\n\r\n**kern\r\n*-\r\n", "humdrum"),
        (midi_file(), "midi"),
        (SCORE.encode(), "musicxml"),
        (b"<?xml version='1.0'?><!-- <mei> --><score-timewise/>", "musicxml"),
        (b"PK\x03\x04....", "musicxml"),
        (b"C D (E F | G4)", "abc"),
        (b"  (3ABc d2 !f!e' z |]\n", "abc"),
    ],
)
@pytest.mark.parametrize("name", ["", "typed", "tune.txt", "wrong.mid", "wrong.xml"])
def test_content_comes_first(data: bytes, notation: str, name: str) -> None:
    assert notation_of(data, name=name) == notation


@pytest.mark.parametrize(
    ("name", "notation"),
    [
        ("a.mei", "mei"),
        ("a.XML", "musicxml"),
        ("a.krn", "humdrum"),
        ("a.midi", "midi"),
        ("a.abc", "abc"),
        ("a.mxl", "musicxml"),
    ],
)
def test_then_the_name(name: str, notation: str) -> None:
    assert notation_of(b"what may this be, then?", name=name) == notation


@pytest.mark.parametrize(
    "data",
    [
        b"Dear conductor, please slow down.",
        b"<html><body>no</body></html>",
        b"\x89PNG\r\n\x1a\n\0\0",
        b"{}",
        bytes(range(256)),
    ],
)
def test_what_is_no_notation_lists_what_is_read(data: bytes) -> None:
    with pytest.raises(NotationError, match=r"MusicXML.*ABC.*MEI.*Humdrum.*MIDI"):
        open_score(data, name="thing", to_mei=never, to_musicxml=abc_here)


@pytest.mark.parametrize("data", [b"", b" \n\t", b"\0\0\0"])
def test_empty_files_are_said_to_be_empty(data: bytes) -> None:
    with pytest.raises(NotationError, match="empty"):
        open_score(data, name="thing.xml", to_mei=never, to_musicxml=abc_here)


def test_each_notation_is_opened_by_its_reader() -> None:
    for data, notation in (
        (ABC.encode(), "abc"),
        (MEI.encode(), "mei"),
        (midi_file(), "midi"),
        (SCORE.encode(), "musicxml"),
    ):
        assert open_score(data, name="thing", to_mei=never, to_musicxml=abc_here).format == notation
    with pytest.raises(NotationError, match="asked to convert"):
        open_score(HUMDRUM.encode(), name="thing", to_mei=never, to_musicxml=abc_here)
