"""Choosing a part by the player's word."""

import pytest

from slurwright.errors import PartError
from slurwright.formats.scorefile import PartHeading, choose_heading

BAND = (
    PartHeading(1, "P1", "Solo Cornet", "Cornet"),
    PartHeading(2, "P2", "Tenor Horn", "Alto Horn"),
    PartHeading(3, "P3", "1st Baritone", "Baritone"),
    PartHeading(4, "P4", "2nd Baritone", "Baritone"),
    PartHeading(5, "P5", "Euphonium"),
    PartHeading(6, "P6", "Bass"),
    PartHeading(7, "P7", "Bass Drum"),
)


@pytest.mark.parametrize(
    ("wanted", "number"),
    [
        ("3", 3),
        ("p4", 4),
        ("tenor horn", 2),
        (" EUPHONIUM ", 5),
        ("alto horn", 2),
        ("euph", 5),
        ("horn", 2),
        ("bass", 6),
        ("cornet", 1),
        ("2nd", 4),
    ],
)
def test_number_id_name_instrument_or_beginning(wanted: str, number: int) -> None:
    assert choose_heading(BAND, wanted).number == number


@pytest.mark.parametrize("wanted", ["viola", "0", "8", "", "-1"])
def test_a_wrong_name_lists_the_parts(wanted: str) -> None:
    with pytest.raises(
        PartError, match=r"band.mxl: no such part; got .*; allowed: 1 Solo Cornet, 2 Tenor Horn, 3 1st"
    ):
        choose_heading(BAND, wanted, where="band.mxl")


def test_a_name_of_two_parts_offers_both() -> None:
    with pytest.raises(PartError, match=r"more than one part .*allowed: 3 1st Baritone, 4 2nd Baritone$"):
        choose_heading(BAND, "baritone")


def test_no_word_takes_the_only_part_and_asks_when_there_are_several() -> None:
    assert choose_heading(BAND[:1], None).number == 1
    with pytest.raises(PartError, match="which part"):
        choose_heading(BAND, None)


def test_a_score_without_parts() -> None:
    with pytest.raises(PartError, match="no parts"):
        choose_heading((), None)
