"""Notes and slurs of takes as rows, and back."""

import sqlite3
from collections.abc import Iterable, Iterator, Sequence
from functools import lru_cache
from typing import Any

from slurwright.listen.followed import PlayedAs
from slurwright.listen.kept import KeptNote, KeptSlur, TakenWay
from slurwright.listen.measures import Foreign, NoteMeasure, Reason, SlurMeasure, SlurOutcome, SlurPath, Vibrato
from slurwright.pitch import SoundingPitch, WrittenPitch
from slurwright.store.figures import columns_of, figure_columns, figure_from, measured_from, measured_values

__all__ = [
    "NOTE_COLUMNS",
    "SLUR_COLUMNS",
    "WAY_COLUMNS",
    "insert_notes",
    "insert_slurs",
    "note_from_cells",
    "slur_from_cells",
    "way_cells",
    "way_from_cells",
]

WAY_COLUMNS = ("written", "sounding", "midi", "fingering", "partial")
_NOTE_FIGURES = ("cents", "drift_cents_s", "wander_cents", "scoop_cents")
_SLUR_FIGURES = ("time_ms", "dip_db", "dip_ms", "silence_ms", "scoop_cents", "overshoot_cents")
NOTE_COLUMNS = (
    *("asked", "label", *WAY_COLUMNS, "technique", "dynamic", "played_as", "onset_s", "offset_s"),
    *("played", "steady_from_s", "steady_to_s", *columns_of(*_NOTE_FIGURES)),
    *(*figure_columns("vibrato_hz"), *figure_columns("vibrato_cents"), "level_db", *columns_of("brightness")),
)
SLUR_COLUMNS = (
    *("asked_1", "asked_2", "label", *(f"{name}_1" for name in WAY_COLUMNS), *(f"{name}_2" for name in WAY_COLUMNS)),
    *("technique", "dynamic", "tempo_qpm", "time_s", "hold_s", "played_1", "played_2", *columns_of(*_SLUR_FIGURES)),
    *("path", "foreign_hz", "foreign_partial", *figure_columns("foreign_ms")),
    *("outcome", "outcome_chance", *columns_of("quality"), "reasons"),
)
_BETWEEN_REASONS = ";"
_NOTE_FIGURES_AT = tuple(map(NOTE_COLUMNS.index, _NOTE_FIGURES))
_VIBRATO_AT = NOTE_COLUMNS.index("vibrato_hz")
_PATHS = {path.value: path for path in SlurPath}
_OUTCOMES = {outcome.value: outcome for outcome in SlurOutcome}
_PLAYED_AS = {how.value: how for how in PlayedAs}
_SLUR_FIGURES_AT = tuple(map(SLUR_COLUMNS.index, _SLUR_FIGURES))
_PATH_AT = SLUR_COLUMNS.index("path")


def _insert(table: str, columns: Sequence[str]) -> str:
    names = ("take_id", "place", *columns)
    return f"INSERT INTO {table} ({', '.join(names)}) VALUES ({', '.join('?' * len(names))})"  # noqa: S608


_INSERT_NOTE = _insert("take_notes", NOTE_COLUMNS)
_INSERT_SLUR = _insert("take_slurs", SLUR_COLUMNS)


def insert_notes(connection: sqlite3.Connection, take_id: str, notes: Iterable[KeptNote]) -> None:
    """Write the notes of a take that has none.

    Args:
        connection: in a transaction.
        take_id: of the take.
        notes: in order of time.
    """
    rows = ((take_id, place, *_note_cells(note)) for place, note in enumerate(notes))
    connection.executemany(_INSERT_NOTE, rows)


def insert_slurs(connection: sqlite3.Connection, take_id: str, slurs: Iterable[KeptSlur]) -> None:
    """Write the slurs of a take that has none.

    Args:
        connection: in a transaction.
        take_id: of the take.
        slurs: in order of time.
    """
    rows = ((take_id, place, *_slur_cells(slur)) for place, slur in enumerate(slurs))
    connection.executemany(_INSERT_SLUR, rows)


def way_cells(way: TakenWay) -> tuple[Any, ...]:
    """Give what stands in the `WAY_COLUMNS` of a way."""
    return str(way.written), str(way.sounding), way.sounding.midi, way.fingering, way.partial


def _note_cells(note: KeptNote) -> Iterator[Any]:
    measure, vibrato = note.measure, note.measure.vibrato
    yield from (note.asked, note.label, *way_cells(note.way), note.technique, note.dynamic)
    yield from (note.played_as.value, note.onset_s, note.offset_s, measure.played, *measure.steady_s)
    for figure in (measure.cents, measure.drift_cents_s, measure.wander_cents, measure.scoop_cents):
        yield from measured_values(figure)
    if vibrato is None:
        yield from (None,) * 6
    else:
        for wave in (vibrato.rate_hz, vibrato.extent_cents):
            yield from (wave.value, wave.low, wave.high)
    yield from (measure.level_db, *measured_values(measure.brightness))


def _slur_cells(slur: KeptSlur) -> Iterator[Any]:
    measure, foreign = slur.measure, slur.measure.foreign
    yield from (*slur.asked, slur.label, *way_cells(slur.ways[0]), *way_cells(slur.ways[1]))
    yield from (slur.technique, slur.dynamic, slur.tempo_qpm, slur.time_s, slur.hold_s)
    yield from (measure.first, measure.second)
    for figure in (measure.time_ms, measure.dip_db, measure.dip_ms, measure.silence_ms):
        yield from measured_values(figure)
    for figure in (measure.scoop_cents, measure.overshoot_cents):
        yield from measured_values(figure)
    yield measure.path.value
    if foreign is None:
        yield from (None,) * 5
    else:
        length = foreign.length_ms
        yield from (foreign.hz, foreign.partial, length.value, length.low, length.high)
    yield from (measure.outcome.value, measure.outcome_chance, *measured_values(measure.quality))
    yield _BETWEEN_REASONS.join(reason.value for reason in measure.reasons)


@lru_cache(maxsize=4096)
def way_from_cells(written: str, sounding: str, midi: int, fingering: str, partial: int) -> TakenWay:
    """Read the cells of `WAY_COLUMNS`; the same few hundred come again and again.

    Raises:
        ValueError: they make no way.
    """
    way = TakenWay(WrittenPitch.named(written), SoundingPitch.named(sounding), fingering, partial)
    if way.sounding.midi != midi:
        raise ValueError(f"{sounding} is not key {midi}")
    return way


@lru_cache(maxsize=256)
def _reasons(words: str) -> tuple[Reason, ...]:
    return tuple(Reason(word) for word in words.split(_BETWEEN_REASONS)) if words else ()


def note_from_cells(row: Sequence[Any]) -> KeptNote:
    """Read the cells of `NOTE_COLUMNS`.

    Raises:
        ValueError: they make no note.
    """
    asked, label = row[:2]
    way = way_from_cells(*row[2:7])
    technique, dynamic, played_as, onset_s, offset_s, played, steady_from, steady_to = row[7:15]
    cents, drift, wander, scoop = [measured_from(row, at) for at in _NOTE_FIGURES_AT]
    has_vibrato = row[_VIBRATO_AT] is not None
    measure = NoteMeasure(
        played=played,
        cents=cents,
        steady_s=(steady_from, steady_to),
        drift_cents_s=drift,
        wander_cents=wander,
        scoop_cents=scoop,
        vibrato=Vibrato(figure_from(row, _VIBRATO_AT), figure_from(row, _VIBRATO_AT + 3)) if has_vibrato else None,
        level_db=row[_VIBRATO_AT + 6],
        brightness=measured_from(row, _VIBRATO_AT + 7),
    )
    how = _PLAYED_AS.get(played_as) or PlayedAs(played_as)
    return KeptNote(asked, label, way, technique, dynamic, how, onset_s, offset_s, measure)


def slur_from_cells(row: Sequence[Any]) -> KeptSlur:
    """Read the cells of `SLUR_COLUMNS`.

    Raises:
        ValueError: they make no slur.
    """
    asked_1, asked_2, label = row[:3]
    ways = way_from_cells(*row[3:8]), way_from_cells(*row[8:13])
    technique, dynamic, tempo_qpm, time_s, hold_s, first, second = row[13:20]
    time_ms, dip_db, dip_ms, silence, scoop, overshoot = [measured_from(row, at) for at in _SLUR_FIGURES_AT]
    path, foreign_hz, foreign_partial = row[_PATH_AT : _PATH_AT + 3]
    outcome, chance = row[_PATH_AT + 6 : _PATH_AT + 8]
    measure = SlurMeasure(
        first=first,
        second=second,
        time_ms=time_ms,
        dip_db=dip_db,
        dip_ms=dip_ms,
        silence_ms=silence,
        scoop_cents=scoop,
        overshoot_cents=overshoot,
        path=_PATHS.get(path) or SlurPath(path),
        foreign=None if foreign_hz is None else Foreign(foreign_hz, foreign_partial, figure_from(row, _PATH_AT + 3)),
        outcome=_OUTCOMES.get(outcome) or SlurOutcome(outcome),
        outcome_chance=chance,
        quality=measured_from(row, _PATH_AT + 8),
        reasons=_reasons(row[_PATH_AT + 12]),
    )
    return KeptSlur((asked_1, asked_2), label, ways, technique, dynamic, tempo_qpm, time_s, measure, hold_s)
