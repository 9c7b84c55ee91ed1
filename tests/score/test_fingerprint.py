"""A part is known again by its notes, and only by them."""

import hashlib
from dataclasses import replace

import pytest

from builders.parts import part_of
from slurwright.pitch import CONCERT, Clef, Reading, Transposition, WrittenPitch
from slurwright.score import Note, Part, in_reading, unrolled
from slurwright.score.fingerprint import fingerprint

TUNE = "(C4 E4) G4/2~ | G4/2 gA4 F4. E4 | (D4 E4/1/2 F4/1/2 G4)"


def changed(part: Part, **fields: object) -> Part:
    """The same part with something else said of its third note."""
    note: Note = replace(part.notes[2], **fields)  # type: ignore[arg-type]
    return replace(part, notes=(*part.notes[:2], note, *part.notes[3:]))


def test_it_is_always_the_same() -> None:
    assert fingerprint(part_of(TUNE)) == fingerprint(part_of(TUNE))
    # Stores hold it: were it another one from now on, no kept take would find its part again.
    assert fingerprint(part_of("C4")) == hashlib.sha256(b"0 0 1 60 00 0").hexdigest()[:32]


@pytest.mark.parametrize(
    "fields",
    [
        {"dynamic": -3.0},
        {"tempo_qpm": 61.0},
        {"fingerings": ("1-3",)},
        {"lyrics": ("la",)},
        {"place": "elsewhere"},
        {"written": WrittenPitch.named("A5")},
        {"articulations": frozenset({"accent"})},
    ],
)
def test_what_does_not_change_the_music_does_not_count(fields: dict[str, object]) -> None:
    part = part_of(TUNE)
    assert fingerprint(changed(part, **fields)) == fingerprint(part)


def test_another_clef_or_key_to_read_it_in_does_not_count() -> None:
    part = part_of(TUNE, transposition=Transposition(-8, -14), clef=Clef.TREBLE)
    bass = Reading("bass", "bass clef at concert pitch", Clef.BASS, CONCERT)
    assert fingerprint(in_reading(part, bass)) == fingerprint(part)


@pytest.mark.parametrize(
    "other",
    [
        TUNE.replace("F4.", "F#4."),
        TUNE.replace("E4/1/2 F4/1/2", "E4/3/4 F4/1/4"),
        TUNE.replace("gA4", "A4/1"),
        TUNE.replace("~", ""),
        TUNE.replace("(C4 E4)", "C4 E4"),
        TUNE.replace("(C4 E4)", "(C4 E4").replace("G4/2~ |", "G4/2)~ |"),
        TUNE.replace(" | (D4", " (D4"),
        f"{TUNE} C4",
        TUNE.replace("C4", "D4").replace("E4", "F#4"),
    ],
)
def test_other_music_is_another_part(other: str) -> None:
    assert fingerprint(part_of(other)) != fingerprint(part_of(TUNE))


def test_a_part_written_out_as_it_is_played_is_another_one_only_where_it_repeats() -> None:
    plain, repeated = part_of(TUNE), part_of(TUNE, bars={2: {"repeat_ends": 2}})
    assert fingerprint(unrolled(plain)) == fingerprint(plain)
    assert fingerprint(unrolled(repeated)) != fingerprint(repeated)
