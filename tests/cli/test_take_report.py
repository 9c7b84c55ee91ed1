"""The report of a take: what went wrong stands out by signs and words, on 80 columns."""

import io

import pytest
from rich.console import Console

from builders.measured_takes import Turn, faulty_take, good_take, taken, tune_study
from slurwright.cli.take_report import print_take
from slurwright.jobs.take.measured import MeasuredTake


def printed(take: MeasuredTake, *, width: int = 80, notices: tuple[str, ...] = ()) -> str:
    out = io.StringIO()
    print_take(take, notices=notices, console=Console(file=out, width=width, highlight=False, markup=False))
    return out.getvalue()


def row(text: str, *cells: str) -> str:
    table = text[text.index("\nSlurs") :]
    found = [line for line in table.splitlines() if all(cell in line.split() for cell in cells)]
    assert len(found) == 1, found
    return found[0]


@pytest.mark.parametrize("width", [80, 100])
@pytest.mark.parametrize("take", [good_take(), faulty_take()], ids=["good", "faulty"])
def test_lines_fit_and_end_in_no_spaces(take: MeasuredTake, width: int) -> None:
    for line in printed(take, width=width).splitlines():
        assert len(line) <= width
        assert line == line.rstrip()


def test_a_good_take_has_no_rows_of_slurs() -> None:
    text = printed(good_take(), notices=("assumed to be in bass clef",))
    assert "All 14 spoke with nothing to say against them." in text
    assert "note: assumed to be in bass clef" in text
    assert "what happened" not in text


def test_what_went_wrong_stands_at_the_start_of_its_line() -> None:
    text = printed(faulty_take())
    assert row(text, "Bb2", "to", "F3").split()[0] == "X"
    assert row(text, "Eb3", "to", "C3").split()[0] == "t"
    assert row(text, "C4", "to", "A3", "landed").split()[0] == "W"
    assert row(text, "F3", "+21").split()[0] == "!!"
    assert row(text, "Eb3", "-14").split()[0] == "!"
    assert row(text, "B3", "sounded").split()[0] == "W"
    assert row(text, "Eb2", "sounded,").split()[0] == "8"
    assert row(text, "F3", "did").split()[0] == "-"
    assert row(text, "extra").split()[0] == "+"
    assert row(text, "back", "another", "place").split()[0] == "<-"


def test_a_figure_beyond_the_picture_points_outwards() -> None:
    text = printed(faulty_take())
    assert row(text, "A3", "+62").split()[6].endswith(">")


def test_of_a_long_take_only_what_needs_a_word_is_printed() -> None:
    turns = [Turn(index % 27, cents=25.0 if index == 40 else 1.0) for index in range(27 * 4)]
    text = printed(taken(tune_study(), turns))
    assert row(text, "+25", "!!")
    assert "more notes, with nothing to say against them" in text
    assert len(text.splitlines()) < 90
