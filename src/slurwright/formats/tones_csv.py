"""Measured tones as a table: comma-separated values (RFC 4180), or semicolons or tabs as spreadsheets write them.

The first line names the columns, in any order: pitch, fingering, cents, and if wanted date, sitting, temperature,
dynamic, sd and note. What the cells mean is judged where a horn is known; here only the table itself is.
"""

import csv
import io
from dataclasses import dataclass

from slurwright.errors import Fault, RequestError

__all__ = ["COLUMNS", "MOST_ROWS", "NEEDED", "ToneRow", "ToneTable", "read_tones"]

NEEDED = ("pitch", "fingering", "cents")
"""Columns that a table must have."""
COLUMNS = (*NEEDED, "date", "sitting", "temperature", "dynamic", "sd", "note")
"""Columns that a table may have."""
MOST_ROWS = 10_000
"""Far more than anyone measures; ours [rows]."""
_SEPARATORS = ",;\t"


@dataclass(frozen=True, slots=True)
class ToneRow:
    """One measured tone in the player's own words; what is empty was not said."""

    where: str
    """How to call it in messages."""
    pitch: str
    fingering: str
    cents: str
    date: str = ""
    sitting: str = ""
    temperature: str = ""
    dynamic: str = ""
    sd: str = ""
    note: str = ""


@dataclass(frozen=True, slots=True)
class ToneTable:
    """The rows of a table, and what is wrong with its shape."""

    rows: tuple[ToneRow, ...]
    faults: tuple[Fault, ...] = ()
    """Of rows that could not be read at all; they stand beside what is found wrong with the others."""


def read_tones(data: bytes, *, where: str = "") -> ToneTable:
    """Read a table of tones.

    Args:
        data: the file.
        where: its name for messages.

    Raises:
        RequestError: it is not text, or its columns are not those that it may have; all faults at once.
    """
    text = _text(data, where)
    separator = _separator(text)
    # Strict, so that a quotation mark that never ends is a fault and not a long cell.
    lines = csv.reader(io.StringIO(text, newline=""), delimiter=separator, strict=True)
    try:
        records = [(lines.line_num, record) for record in lines if any(cell.strip() for cell in record)]
    except csv.Error as error:
        raise RequestError(f"the table cannot be read: {error}", where=f"{where}, row {lines.line_num}") from error
    if not records:
        raise RequestError("the table is empty", allowed=f"a first line: {separator.join(NEEDED)}", where=where)
    if len(records) > MOST_ROWS:
        raise RequestError("the table is too long", got=f"{len(records)} rows", allowed=f"{MOST_ROWS}", where=where)
    names = tuple(cell.strip().lower() for cell in records[0][1])
    faults = _column_faults(names, separator, where)
    if faults:
        raise RequestError(faults=faults)
    return _table(names, records[1:], decimal_comma=separator != ",")


def _text(data: bytes, where: str) -> str:
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        row = data.count(b"\n", 0, error.start) + 1
        raise RequestError(
            "the table is not text in UTF-8", allowed="a CSV file in UTF-8", where=f"{where}, row {row}"
        ) from error


def _separator(text: str) -> str:
    """The sign that parts the columns: whichever of the three the first line has most of."""
    first = next((line for line in text.splitlines() if line.strip()), "")
    return max(_SEPARATORS, key=lambda sign: (first.count(sign), -_SEPARATORS.index(sign)))


def _column_faults(names: tuple[str, ...], separator: str, where: str) -> tuple[Fault, ...]:
    at = f"{where}, first row"
    faults = [
        Fault("a column is missing", got=name, allowed=separator.join(NEEDED), where=at)
        for name in NEEDED
        if name not in names
    ]
    faults += [
        Fault("a column that is not known", got=repr(name), allowed=", ".join(COLUMNS), where=at)
        for name in dict.fromkeys(names)
        if name not in COLUMNS
    ]
    faults += [
        Fault("a column stands there twice", got=name, where=at)
        for name in dict.fromkeys(names)
        if name in COLUMNS and names.count(name) > 1
    ]
    return tuple(faults)


def _table(names: tuple[str, ...], records: list[tuple[int, list[str]]], *, decimal_comma: bool) -> ToneTable:
    rows, faults = [], []
    for line, record in records:
        where = f"row {line}"
        cells = [cell.strip() for cell in record]
        if len(cells) > len(names) and any(cells[len(names) :]):
            allowed = f"{len(names)}: {', '.join(names)}"
            faults.append(Fault("more cells than columns", got=str(len(cells)), allowed=allowed, where=where))
            continue
        said = dict(zip(names, cells, strict=False))
        missing = [name for name in NEEDED if not said.get(name)]
        if missing:
            faults.append(Fault("an empty cell", got=", ".join(missing), where=where))
            continue
        if decimal_comma:
            said |= {name: said[name].replace(",", ".") for name in ("cents", "temperature", "sd") if name in said}
        rows.append(ToneRow(where, **said))
    return ToneTable(tuple(rows), tuple(faults))
