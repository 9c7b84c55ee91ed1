"""Tones from the player's words: partials found, conditions kept, and every fault said at once."""

from datetime import date

import pytest

from slurwright.devices.packaged import load_horn
from slurwright.errors import RequestError
from slurwright.formats.tones_csv import read_tones
from slurwright.jobs.readings import reading_named
from slurwright.jobs.tones import BY_EAR_SD_CENTS, Conditions, tones_of_table, tones_of_words

DAY = Conditions(on=date(2026, 1, 9))
EUPHONIUM = load_horn("euphonium-4c")


@pytest.mark.parametrize(
    ("horn", "words", "partial"),
    [
        ("euphonium-4c", "F3 4 -12", 4),
        ("euphonium-4c", "F3 0 2", 3),
        ("euphonium-4c", "Ab4 0 -31", 7),
        ("euphonium-4c", "Bb1 0 0", 1),
        ("horn-double", "C5 T0 3", 9),
        ("trombone-f", "D4 4 -20", 6),
        ("trombone-f", "D4 1 -12", 5),
    ],
)
def test_the_partial_is_found_from_note_and_fingering(horn: str, words: str, partial: int) -> None:
    (played,) = tones_of_words([words], load_horn(horn), DAY)
    assert played.tone.partial == partial
    assert played.tone.session == "2026-01-09"


def test_quotation_marks_may_be_left_out() -> None:
    words = ["F3", "4", "-12", "Bb3", "0", "+4"]
    assert tones_of_words(words, EUPHONIUM, DAY) == tones_of_words(["F3 4 -12", "Bb3 0 +4"], EUPHONIUM, DAY)


def test_a_written_note_is_kept_as_it_was_read() -> None:
    reading = reading_named("treble-b9", EUPHONIUM)
    (played,) = tones_of_words(["G4 4 -12"], EUPHONIUM, Conditions(on=date(2026, 1, 9), reading=reading))
    assert str(played.written) == "G4"
    assert str(played.tone.sounding) == "F3"


def test_conditions_of_the_sitting() -> None:
    conditions = Conditions(on=date(2026, 1, 9), celsius=14.0, dynamic="pp", sitting=" after  tea ", by_ear=True)
    (played,) = tones_of_words(["F3 4 -12"], EUPHONIUM, conditions)
    tone = played.tone
    assert (tone.temperature_c, tone.dynamic, tone.sd_cents) == (14.0, -3.0, BY_EAR_SD_CENTS)
    assert tone.session == "2026-01-09 after tea"
    assert played.note == "by ear"


def test_a_row_says_more_than_the_sitting() -> None:
    table = read_tones(
        b"pitch,fingering,cents,date,temperature,dynamic,sd,sitting,note\n"
        b"F3,4,-12,2026-01-02,9.5,ff,3,evening,dry slide\n"
        b"F3,4,-11,,,,,,\n"
    )
    first, second = tones_of_table(table, EUPHONIUM, Conditions(on=date(2026, 1, 9), celsius=20.0))
    assert (first.tone.temperature_c, first.tone.dynamic, first.tone.sd_cents) == (9.5, 2.0, 3.0)
    assert (first.tone.session, first.played_on, first.note) == ("2026-01-02 evening", date(2026, 1, 2), "dry slide")
    assert (second.tone.temperature_c, second.tone.session) == (20.0, "2026-01-09")


def test_every_fault_of_a_table_at_once_with_its_row() -> None:
    table = read_tones(
        b"pitch,fingering,cents,date,temperature,dynamic,sd\n"
        b"H3,4,-12,,,,\n"
        b"F3,5,101,,,,\n"
        b"F3,2-3,0,,,,\n"
        b"F3,4,low,yesterday,hot,loud,-1\n"
        b"F3,4,-12,,,,\n"
        b"F99,4,-12,,,,\n"
        b"F3,4,1e3,,99,,nan\n"
        b"F3,4,-12,,,,,too,many\n"
    )
    with pytest.raises(RequestError) as caught:
        tones_of_table(table, EUPHONIUM, DAY)
    found = {(fault.where, fault.problem.partition(" on ")[0]) for fault in caught.value.faults}
    assert found == {
        ("row 2", "not a pitch name"),
        ("row 3", "euphonium-4c has no such fingering"),
        ("row 3", "so far out it is another note"),
        ("row 4", "this fingering does not sound F3"),
        ("row 5", "not a figure in cents"),
        ("row 5", "not a day"),
        ("row 5", "not a temperature of air"),
        ("row 5", "not a dynamic"),
        ("row 5", "not a standard error"),
        ("row 7", "this fingering does not sound F99"),
        ("row 8", "not a figure in cents"),
        ("row 8", "not a temperature of air"),
        ("row 8", "not a standard error"),
        ("row 9", "more cells than columns"),
    }
    assert "0, 4, 1-3" in next(str(fault) for fault in caught.value.faults if fault.where == "row 4")


@pytest.mark.parametrize("words", ["F3 4", "F3 4 -12 c", "", "F3 4 12 13"])
def test_words_that_are_no_tone(words: str) -> None:
    with pytest.raises(RequestError, match="a note, a fingering and cents"):
        tones_of_words([words, "F3 4 -12"], EUPHONIUM, DAY)


def test_a_table_with_no_rows_is_not_a_success() -> None:
    with pytest.raises(RequestError, match="no rows"):
        tones_of_table(read_tones(b"pitch,fingering,cents\n"), EUPHONIUM, DAY)


def test_the_partial_of_a_tone_far_out_is_the_one_that_was_heard() -> None:
    """Between partials 15 and 16 the same note can be meant on either; the figure says which."""
    high = load_horn("horn-f")
    sharp, flat = tones_of_words(["E5 0 +60", "E5 0 -20"], high, DAY)
    assert sharp.tone.partial >= flat.tone.partial
