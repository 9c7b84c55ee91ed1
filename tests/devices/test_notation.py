"""Conversion runs in a child process: what kills a converter is an error of the file, never of the program."""

import re

import pytest

from builders.converters import abc_here
from builders.damage import damaged
from builders.notation_samples import ABC, HUMDRUM
from slurwright.devices.child import ChildLimits
from slurwright.devices.notation import abc_to_musicxml, humdrum_to_mei
from slurwright.errors import NotationError, SlurwrightError
from slurwright.formats.abc import open_abc
from slurwright.formats.humdrum import open_humdrum

TINY = ChildLimits(memory_bytes=10_000_000)
HURRIED = ChildLimits(wall_s=0.01)
HEADER = "X:1\nL:1/8\nK:C\n"


def test_it_converts_the_same_way_twice() -> None:
    first, second = (re.sub('isodate="[^"]*"', "", humdrum_to_mei(HUMDRUM.encode(), "tune.krn")) for _ in range(2))
    assert "<mei" in first
    assert first == second


def test_tunes_come_back_in_order_with_what_was_remarked() -> None:
    answers = abc_to_musicxml([ABC, "X:2\nK:\n)))((", HEADER + "C D # E F |"], "book.abc")
    assert answers == abc_here([ABC, "X:2\nK:\n)))((", HEADER + "C D # E F |"], "book.abc")
    assert ["<score-partwise" in xml for xml, _ in answers][::2] == [True, True]
    assert "misplaced symbol" in answers[2][1]


def test_too_little_memory_is_an_error_of_ours_to_say() -> None:
    bars = "".join(f"={at}\n4c\n4d\n4e\n4f\n" for at in range(1, 2000))
    with pytest.raises(NotationError, match=r"tune.krn: the Humdrum file cannot be read"):
        humdrum_to_mei(f"**kern\n*M4/4\n{bars}==\n*-\n".encode(), "tune.krn", limits=TINY)
    tune = (HEADER + "CDEF GABc|\n" * 1000).encode()
    with pytest.raises(NotationError, match=r"tune.abc: .* be read"):
        open_abc(tune, where="tune.abc", to_musicxml=lambda tunes, where: abc_to_musicxml(tunes, where, limits=TINY))


def test_too_little_time_is_said() -> None:
    with pytest.raises(NotationError, match="reading the Humdrum file took too long"):
        humdrum_to_mei(HUMDRUM.encode(), "tune.krn", limits=HURRIED)
    with pytest.raises(NotationError, match="reading the ABC text took too long"):
        abc_to_musicxml([ABC], "tune.abc", limits=HURRIED)


def test_a_converter_that_does_not_end_is_stopped() -> None:
    endless = HEADER + "[" * 20_000 + "C" + "]" * 20_000
    with pytest.raises(NotationError, match="more processor time"):
        abc_to_musicxml([endless], "tune.abc", limits=ChildLimits(cpu_s=1))


def test_a_typed_tune_is_read() -> None:
    score = open_abc(b"C D (E F | G4)", where="typed", to_musicxml=abc_to_musicxml)
    assert len(score.part(score.headings[0]).notes) == 5


@pytest.mark.parametrize("text", [b"", b"\xff\xfe\x00", b"<mei/>"])
def test_nonsense_gives_an_error_or_empty_mei(text: bytes) -> None:
    try:
        assert "<mei" in humdrum_to_mei(text, "tune.krn")
    except NotationError as error:
        assert "tune.krn" in str(error)  # noqa: PT017  either way is allowed


def test_damaged_files_never_raise_anything_else() -> None:
    for copy in damaged(HUMDRUM.encode(), count=12, seed=11):
        try:
            score = open_humdrum(copy, where="tune.krn", to_mei=humdrum_to_mei)
            for heading in score.headings:
                score.part(heading)
        except SlurwrightError:
            continue
