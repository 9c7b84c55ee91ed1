from dataclasses import replace
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from builders.stand import stand_part
from slurwright.devices.packaged import load_horn
from slurwright.errors import RequestError
from slurwright.picture.columns import Column, columns_of, columns_of_bars, pitch_words, rows_of, rungs_of
from slurwright.pitch import SoundingPitch
from slurwright.score import Direction, DirectionKind, in_reading, line_of


def column(bar: int, *, starts: bool = False, width: float = 7.0) -> Column:
    return Column("F3", str(bar), starts_bar=starts, width_mm=width)


FOUR_A_BAR = [column(i // 4 + 1, starts=i % 4 == 0) for i in range(80)]


def test_rungs_are_the_open_horn_in_both_pitches() -> None:
    horn = load_horn("euphonium-4c")
    treble = next(reading for reading in horn.readings if reading.id == "treble-b9")
    rungs = rungs_of(horn, treble)
    # The harmonic series on B♭1, and a ninth higher for the reader of the treble clef (common practice).
    assert [rungs[n].sounding for n in (2, 3, 4, 5, 6, 8)] == ["B♭2", "F3", "B♭3", "D4", "F4", "B♭4"]
    assert [rungs[n].written for n in (2, 3, 4, 5, 6, 8)] == ["C4", "G4", "C5", "E5", "G5", "C6"]


def test_columns_carry_names_bars_and_lengths() -> None:
    part = stand_part("q:F3 h:Bb3 | e:D4 e:C4 h:Bb3")
    columns = columns_of(part, line_of(part))
    assert [c.name for c in columns] == ["F3", "B♭3", "D4", "C4", "B♭3"]
    assert [c.bar for c in columns] == ["1", "1", "2", "2", "2"]
    assert [c.starts_bar for c in columns] == [True, False, True, False, False]
    assert columns[2].width_mm < columns[0].width_mm < columns[1].width_mm


def test_names_follow_the_reading() -> None:
    part = stand_part("q:F3 h:Bb3")
    horn = load_horn("euphonium-4c")
    treble = next(reading for reading in horn.readings if reading.id == "treble-b9")
    assert [c.name for c in columns_of(in_reading(part, treble), line_of(part))] == ["G4", "C5"]


def test_accidentals_are_signs() -> None:
    assert pitch_words(SoundingPitch.named("Bb3")) == "B♭3"
    assert pitch_words(SoundingPitch.named("F##3")) == "F♯♯3"


def test_bars_pick_their_columns() -> None:
    assert columns_of_bars(FOUR_A_BAR, (3, 4)) == range(8, 16)
    assert columns_of_bars(FOUR_A_BAR, None) == range(80)
    with pytest.raises(RequestError, match="no note begins"):
        columns_of_bars(FOUR_A_BAR, (90, 99))


def test_an_upbeat_has_no_number() -> None:
    assert [column(0).bar_words, column(1).bar_words] == ["", "1"]
    assert Column("F3", "X1", starts_bar=True, width_mm=7).bar_words == ""


def test_rows_break_at_bar_lines() -> None:
    rows = rows_of(FOUR_A_BAR, range(80), 150.0)
    assert all(row.start % 4 == 0 for row in rows)
    assert len({len(row) for row in rows}) == 1, "even rows"


def test_rows_rather_break_between_slurs() -> None:
    joined = {i for i in range(1, 80) if i % 4 != 3}
    rows = rows_of(FOUR_A_BAR, range(80), 150.0, joined=joined)
    assert all(row.start not in joined for row in rows)


@given(
    st.lists(st.tuples(st.booleans(), st.floats(3, 12), st.booleans()), min_size=1, max_size=60),
    st.floats(20, 160),
)
@settings(max_examples=60)
def test_rows_hold_every_column_once_and_fit(parts: list[tuple[bool, float, bool]], room: float) -> None:
    columns = [column(1, starts=starts, width=width) for starts, width, _ in parts]
    joined = {i for i, (_, _, is_joined) in enumerate(parts) if is_joined}
    rows = rows_of(columns, range(len(columns)), room, joined=joined)
    assert [i for row in rows for i in row] == list(range(len(columns)))
    assert all(len(row) == 1 or sum(columns[i].width_mm for i in row) <= room + 1e-9 for row in rows)


def test_a_dynamic_stands_at_the_first_note_that_it_reaches() -> None:
    part = stand_part("q:F3 q:r q:Bb3 q:F3")
    mark = Direction(DirectionKind.DYNAMIC, 0, Fraction(1), "pp")
    part = replace(part, directions=(mark,))
    columns = columns_of(part, line_of(part))
    assert [c.dynamic for c in columns] == ["", "pp", ""]


def test_a_dynamic_that_is_not_printed_is_not_shown() -> None:
    part = stand_part("q:F3 h:Bb3")
    hidden = Direction(DirectionKind.DYNAMIC, 0, part.notes[0].onset_quarter, "p", printed=False)
    part = replace(part, directions=(hidden,))
    columns = columns_of(part, line_of(part))
    assert [c.dynamic for c in columns] == ["", ""]


def test_columns_know_their_ending_brackets() -> None:
    first = {"endings": (1, 2), "ending_starts": True, "ending_stops": True, "repeat_ends": 3}
    second = {"endings": (3,), "ending_starts": True, "ending_stops": True}
    part = stand_part("w:F3 | h:F3 h:G3 | h:F3 h:Bb3 | w:F3", measures={0: {}, 1: first, 2: second})
    columns = columns_of(part, line_of(part))
    assert [c.ending for c in columns] == ["", "1., 2.", "1., 2.", "3.", "3.", ""]
    assert [c.opens_ending for c in columns] == [False, True, False, True, False, False]
