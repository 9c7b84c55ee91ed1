"""The player's words for notes of a part, for pins and for bans."""

import pytest

from builders.parts import part_of
from slurwright.devices.packaged import load_horn
from slurwright.errors import RequestError
from slurwright.jobs.places import bans_from, pins_from, sounds_at
from slurwright.score import line_of

PART = part_of("F3 Bb3 r Bb3~ | Bb3 C4/1/2 D4/1/2 F3/2")
LINE = line_of(PART)
READING = load_horn("euphonium-4c").readings[0]


@pytest.mark.parametrize(
    ("where", "sounds"),
    [("1:1", (0,)), ("1:4", (2,)), ("2:1", (2,)), ("2:2.5", (4,)), ("2:5/2", (4,)), ("F3", (0, 5)), ("A#3", (1, 2))],
)
def test_a_place_means_sounds_tied_notes_included(where: str, sounds: tuple[int, ...]) -> None:
    assert sounds_at(where, PART, LINE, READING) == sounds


@pytest.mark.parametrize("where", ["1:1/0", "1:" + 5000 * "1", "F9999", "bar one", "", "1:", ":1"])
def test_words_that_mean_no_place_are_refused(where: str) -> None:
    with pytest.raises(RequestError, match="not a place in a part"):
        sounds_at(where, PART, LINE, READING)


@pytest.mark.parametrize("where", ["1:3", "3:1", "G3"])
def test_a_place_without_a_note_is_refused(where: str) -> None:
    with pytest.raises(RequestError, match="no note stands there"):
        sounds_at(where, PART, LINE, READING)


def test_pins_and_bans_are_read() -> None:
    assert pins_from(["F3=4", "1:2=2-3"], PART, LINE, READING) == {0: "4", 5: "4", 1: "2-3"}
    assert bans_from(["4", "F3=1-3"], PART, LINE, READING) == {(None, "4"), (0, "1-3"), (5, "1-3")}


def test_two_pins_of_one_note_must_agree() -> None:
    assert pins_from(["F3=4", "1:1=4"], PART, LINE, READING) == {0: "4", 5: "4"}
    with pytest.raises(RequestError, match="contradict each other; got 1-3 and 4"):
        pins_from(["F3=4", "1:1=1-3"], PART, LINE, READING)


def test_all_faults_are_told_at_once() -> None:
    with pytest.raises(RequestError) as pins:
        pins_from(["F3", "9:1=4", "F3="], PART, LINE, READING)
    assert len(pins.value.faults) == 3
    with pytest.raises(RequestError, match="a ban needs a fingering") as bans:
        bans_from(["", "F3=", "9:1=4"], PART, LINE, READING)
    assert len(bans.value.faults) == 3
