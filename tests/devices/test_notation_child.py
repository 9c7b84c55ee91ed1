"""Conversion runs in a child process: what kills the converter is an error of the file, never of the program."""

import re

import pytest

from builders.damage import damaged
from builders.notation_samples import HUMDRUM
from slurwright.devices.notation_child import ConversionLimits, notation_to_mei
from slurwright.errors import NotationError, SlurwrightError
from slurwright.formats.humdrum import open_humdrum


def test_it_converts_the_same_way_twice() -> None:
    first, second = (re.sub('isodate="[^"]*"', "", notation_to_mei(HUMDRUM.encode(), "tune.krn")) for _ in range(2))
    assert "<mei" in first
    assert first == second


def test_too_little_memory_is_an_error_of_ours_to_say() -> None:
    with pytest.raises(NotationError, match="cannot be read"):
        notation_to_mei(HUMDRUM.encode(), "tune.krn", limits=ConversionLimits(memory_bytes=40_000_000))


def test_too_little_time_is_said() -> None:
    with pytest.raises(NotationError, match="took too long"):
        notation_to_mei(HUMDRUM.encode(), "tune.krn", limits=ConversionLimits(wall_s=0.01))


@pytest.mark.parametrize("text", [b"", b"\xff\xfe\x00", b"<mei/>"])
def test_nonsense_gives_an_error_or_empty_mei(text: bytes) -> None:
    try:
        assert "<mei" in notation_to_mei(text, "tune.krn")
    except NotationError as error:
        assert "tune.krn" in str(error)  # noqa: PT017  either way is allowed


def test_damaged_files_never_raise_anything_else() -> None:
    for copy in damaged(HUMDRUM.encode(), count=12, seed=11):
        try:
            score = open_humdrum(copy, where="tune.krn", to_mei=notation_to_mei)
            for heading in score.headings:
                score.part(heading)
        except SlurwrightError:
            continue
