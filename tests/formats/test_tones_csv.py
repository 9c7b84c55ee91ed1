"""Tables of tones: what spreadsheets write is read, and every fault of the table is named with its row."""

import contextlib

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from slurwright.errors import RequestError
from slurwright.formats.tones_csv import COLUMNS, MOST_ROWS, read_tones


def test_a_plain_table() -> None:
    table = read_tones(b"pitch,fingering,cents\nF3,4,-12\n\nBb3,0,+4.5\n", where="a.csv")
    assert not table.faults
    assert [(row.where, row.pitch, row.fingering, row.cents) for row in table.rows] == [
        ("row 2", "F3", "4", "-12"),
        ("row 4", "Bb3", "0", "+4.5"),
    ]


@pytest.mark.parametrize(("separator", "cents"), [(",", "-12.5"), (";", "-12,5"), ("\t", "-12,5"), (";", "-12.5")])
def test_spreadsheets_of_several_countries(separator: str, cents: str) -> None:
    lines = [
        separator.join(("Fingering", "PITCH ", "cents", "note")),
        separator.join(("4", "F3", cents, '"dry; cold"')),
    ]
    (row,) = read_tones("\r\n".join(lines).encode("utf-8-sig")).rows
    assert (row.pitch, row.fingering, row.cents, row.note) == ("F3", "4", "-12.5", "dry; cold")


def test_every_fault_of_the_columns_at_once() -> None:
    with pytest.raises(RequestError) as caught:
        read_tones(b"pitch,finger,cents,cents\nF3,4,-12\n", where="a.csv")
    said = [str(fault) for fault in caught.value.faults]
    assert len(said) == 3
    assert "a column is missing; got fingering" in said[0]
    assert "a column that is not known; got 'finger'" in said[1]
    assert "sitting" in said[1]
    assert "a column stands there twice; got cents" in said[2]
    assert all("a.csv, first row" in words for words in said)


def test_rows_that_do_not_fit_are_named_and_the_others_read() -> None:
    table = read_tones(b"pitch,fingering,cents\nF3,4,-12,extra\nF3,,3\nBb3,0,4\nBb3,0,5,\n")
    assert [(fault.where, fault.problem) for fault in table.faults] == [
        ("row 2", "more cells than columns"),
        ("row 3", "an empty cell"),
    ]
    assert [row.where for row in table.rows] == ["row 4", "row 5"]


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (b"", "the table is empty"),
        (b"\n \n", "the table is empty"),
        (b"pitch,fingering,cents\nF3,4,\xff", "not text in UTF-8"),
        (b'pitch,fingering,cents\n"F3,4,-12\n', "cannot be read"),
        (b"pitch,fingering,cents\n" + b"F3,4,1\n" * (MOST_ROWS + 1), "too long"),
    ],
)
def test_what_is_no_table(data: bytes, words: str) -> None:
    with pytest.raises(RequestError, match=words):
        read_tones(data, where="a.csv")


def test_the_row_of_a_letter_that_is_no_text_is_named() -> None:
    with pytest.raises(RequestError, match="row 3"):
        read_tones(b"pitch,fingering,cents\nF3,4,1\nF3,4,\xff", where="a.csv")


@settings(max_examples=60)
@given(st.binary(max_size=200))
def test_any_bytes_end_in_rows_or_in_words(data: bytes) -> None:
    with contextlib.suppress(RequestError):
        read_tones(data)


@settings(max_examples=60)
@given(
    st.permutations(COLUMNS),
    st.lists(st.text(st.characters(exclude_categories=("C", "Z")), min_size=1, max_size=5), min_size=9, max_size=9),
)
def test_columns_may_stand_in_any_order(names: list[str], cells: list[str]) -> None:
    quoted = ['"' + cell.replace('"', '""') + '"' for cell in cells]
    (row,) = read_tones(f"{','.join(names)}\n{','.join(quoted)}\n".encode()).rows
    assert [getattr(row, name) for name in names] == cells
