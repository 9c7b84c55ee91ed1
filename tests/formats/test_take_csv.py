"""Notes and slurs of a take as tables."""

import csv
import io

import pytest

from builders.measured_takes import faulty_take, good_take
from slurwright.formats.take_csv import NOTE_COLUMNS, SLUR_COLUMNS
from slurwright.formats.tones_csv import read_tones
from slurwright.jobs.take.answers import notes_table, slurs_table
from slurwright.score.dynamics import DYNAMIC_LEVELS


def rows(text: str) -> list[dict[str, str]]:
    assert "nan" not in text
    assert "inf" not in text
    return list(csv.DictReader(io.StringIO(text, newline=""), strict=True))


def test_a_row_a_note_in_order_of_time() -> None:
    found = rows(notes_table(faulty_take()))
    assert tuple(found[0]) == NOTE_COLUMNS
    assert len(found) == 27 + 2
    onsets = [float(row["onset_s"]) for row in found if row["onset_s"]]
    assert onsets == sorted(onsets)
    assert (found[1]["bar"], found[1]["beat"], found[1]["pitch"], found[1]["cents"]) == ("1", "2", "F3", "21.000")
    assert float(found[1]["cents_low"]) < 21.0 < float(found[1]["cents_high"])


def test_what_did_not_sound_and_what_nobody_asked_for_have_rows() -> None:
    found = rows(notes_table(faulty_take()))
    missed = [at for at, row in enumerate(found) if row["played_as"] == "missed"]
    assert len(missed) == 1
    assert (found[missed[0]]["bar"], found[missed[0]]["beat"], found[missed[0]]["cents"]) == ("6", "4", "")
    assert found[missed[0] + 1]["bar"] == "7"
    assert [row["pitch"] for row in found if row["played_as"] == "extra"] == [""]


def test_a_hidden_figure_is_empty_and_says_why() -> None:
    found = rows(notes_table(faulty_take()))
    hidden = [row for row in found if row["hidden"]]
    assert [row["cents"] for row in hidden] == [""]
    assert hidden[0]["hidden"].startswith("cents: short")
    slurs = [row for row in rows(slurs_table(faulty_take())) if row["hidden"]]
    assert "time_ms: room" in slurs[0]["hidden"]


def test_slurs() -> None:
    found = rows(slurs_table(faulty_take()))
    assert tuple(found[0]) == SLUR_COLUMNS
    assert (found[0]["from"], found[0]["to"], found[0]["outcome"]) == ("Bb2", "F3", "broke")
    assert (found[1]["foreign_partial"], found[1]["foreign_ms"]) == ("4", "74.000")
    assert found[1]["reasons"] == "foreign; slow"
    assert found[2]["foreign_hz"] == ""


def test_columns_of_tones_are_read_as_tones() -> None:
    kept = ("pitch", "fingering", "cents", "sd", "dynamic")
    found = rows(notes_table(good_take()))
    text = io.StringIO(newline="")
    writer = csv.DictWriter(text, kept, extrasaction="ignore")
    writer.writeheader()
    writer.writerows(found)
    table = read_tones(text.getvalue().encode())
    assert table.faults == ()
    assert [float(row.cents) for row in table.rows] == [float(row["cents"]) for row in found]
    assert all(float(row.sd) == pytest.approx(0.73) for row in table.rows)
    assert {row.dynamic for row in table.rows} <= set(DYNAMIC_LEVELS), "marks, as a table of tones has them"
