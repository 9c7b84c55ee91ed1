"""What a file is, by its first bytes."""

import pytest

from builders.sound_files import encoded, tone
from slurwright.formats.sound.kinds import SoundKind, by_name, kind_of, seems

SHORT = tone(length_s=0.2)
EXPECTED = {
    "wav": SoundKind.WAV,
    "rf64": SoundKind.WAV,
    "w64": SoundKind.WAV,
    "flac": SoundKind.FLAC,
    "ogg": SoundKind.OGG,
    "opus": SoundKind.OGG,
    "mp3": SoundKind.MP3,
    "aiff": SoundKind.AIFF,
    "au": SoundKind.AU,
    "caf": SoundKind.CAF,
}


@pytest.mark.parametrize(("kind", "expected"), EXPECTED.items())
def test_kinds_are_told_by_their_first_bytes(kind: str, expected: SoundKind) -> None:
    assert kind_of(encoded(SHORT, kind)[:64]) is expected


@pytest.mark.parametrize(
    ("kind", "expected"),
    [("m4a", SoundKind.M4A), ("adts", SoundKind.AAC), ("webm", SoundKind.WEBM), ("3gp", SoundKind.THREE_GP)],
)
def test_kinds_of_the_extra_are_told_too(kind: str, expected: SoundKind) -> None:
    pytest.importorskip("av")
    found = kind_of(encoded(SHORT, kind)[:64])
    assert found is expected
    assert found.needs_extra


def test_a_tag_before_the_sound_is_passed_over() -> None:
    tag = b"ID3\x04\x00\x00\x00\x00\x00\x0a" + bytes(10)
    assert kind_of(tag + b"fLaC") is SoundKind.FLAC
    assert kind_of(tag + b"\xff\xfb\x90\x00") is SoundKind.MP3
    assert kind_of(tag) is SoundKind.MP3  # the tag goes on beyond what was read


@pytest.mark.parametrize(
    ("head", "words"),
    [
        (b"%PDF-1.7", "PDF"),
        (b"MThd\0\0\0\6", "MIDI"),
        (b"\x89PNG\r\n", "picture"),
        (b"PK\x03\x04", "ZIP"),
        (b"<!doctype html><html>", "web page"),
        (b"<?xml version='1.0'?>", "XML"),
        (b"Bars 5 to 12, second trumpet\n", "text"),
        (bytes(64), "only zero bytes"),
        (b"\x01\x02\x03\x04", "01 02 03 04"),
        (b"RIFF\0\0\0\0AVI ", "RIFF"),
    ],
)
def test_other_files_are_named(head: bytes, words: str) -> None:
    assert kind_of(head) is None
    assert words in seems(head)


def test_endings() -> None:
    assert by_name("Take 3.WAV") is SoundKind.WAV
    assert by_name("take.opus") is SoundKind.OGG
    assert by_name("wav") is SoundKind.WAV
    assert by_name("take.txt") is None
