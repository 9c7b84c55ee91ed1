"""The notes, and the slurs, of a measured take as tables: comma-separated values (RFC 4180) with units in the names.

A figure fills three columns: itself, and under ``_low`` and ``_high`` the interval that holds the truth nine times in
ten. Where it is hidden the three are empty and ``hidden`` says which figure is missing and why. The notes' columns
``pitch``, ``fingering``, ``cents``, ``sd`` and ``dynamic`` are those of a table of tones; under a hairpin the dynamic
is the mark that lies nearest.
"""

import csv
import io
from collections.abc import Iterable, Mapping, Sequence

from slurwright.listen.figure import Figure, Measured
from slurwright.listen.followed import PlayedAs, PlayedNote
from slurwright.listen.measures import NoteMeasure, SlurMeasure
from slurwright.listen.take import TakeMeasure
from slurwright.listen.thinning import FLOOR_DB
from slurwright.plan.study import Study
from slurwright.score.dynamics import mark_of_level

__all__ = ["NOTE_COLUMNS", "SLUR_COLUMNS", "take_notes_csv", "take_slurs_csv"]

_FIRST = ("bar", "beat", "pitch", "fingering", "dynamic")
_NOTE_FIGURES = {
    "scoop_cents": "scoop_cents",
    "drift_cents_s": "drift_cents_s",
    "wander_cents": "wander_cents",
    "brightness": "brightness_harmonics",
}
_SLUR_FIGURES = ("quality", "time_ms", "dip_db", "dip_ms", "silence_ms", "scoop_cents", "overshoot_cents")


def _thrice(name: str) -> tuple[str, str, str]:
    return name, f"{name}_low", f"{name}_high"


NOTE_COLUMNS = (
    *_FIRST,
    "played_as",
    "onset_s",
    "length_s",
    "sounded_hz",
    *_thrice("cents"),
    "sd",
    *(column for name in _NOTE_FIGURES.values() for column in _thrice(name)),
    "vibrato_hz",
    "vibrato_cents",
    "level_db",
    "hidden",
)
SLUR_COLUMNS = (
    "bar",
    "beat",
    "from",
    "to",
    "fingering_from",
    "fingering_to",
    "onset_s",
    "outcome",
    "outcome_chance",
    "path",
    "reasons",
    *(column for name in _SLUR_FIGURES for column in _thrice(name)),
    "foreign_hz",
    "foreign_partial",
    *_thrice("foreign_ms"),
    "hidden",
)


def take_notes_csv(study: Study, measure: TakeMeasure, sounds: tuple[int, ...]) -> str:
    """Write the notes of a take, a row each in order of time; missed notes and extra sounds have rows too.

    Args:
        study: of the part that was asked for.
        measure: the take.
        sounds: for each asked note its index into ``Line.sounds``.
    """
    notes = {note.played: note for note in measure.notes}
    rows = []
    for index, played in enumerate(measure.following.played):
        rows.append(_note_row(study, sounds, played, notes.get(index)))
    for asked in measure.following.missed:
        at = next((at for at, note in enumerate(measure.following.played) if (note.asked or -1) > asked), len(rows))
        rows.insert(at, {**_place(study, sounds[asked]), "played_as": "missed"})
    return _table(NOTE_COLUMNS, rows)


def take_slurs_csv(study: Study, measure: TakeMeasure, sounds: tuple[int, ...]) -> str:
    """Write the slurs of a take, a row each in order of time.

    Args:
        study: of the part that was asked for.
        measure: the take.
        sounds: for each asked note its index into ``Line.sounds``.
    """
    played = measure.following.played
    return _table(SLUR_COLUMNS, (_slur_row(study, sounds, played, slur) for slur in measure.slurs))


def _table(columns: Sequence[str], rows: Iterable[Mapping[str, str]]) -> str:
    text = io.StringIO(newline="")
    writer = csv.DictWriter(text, columns, restval="", lineterminator="\r\n")
    writer.writeheader()
    writer.writerows(rows)
    return text.getvalue()


def _place(study: Study, sound: int) -> dict[str, str]:
    note = study.part.notes[study.line.sounds[sound].notes[0]]
    return {
        "bar": study.part.measure_of(note).number,
        "beat": f"{float(study.part.beat_of(note)):.6g}",
        "pitch": str(note.written),
        "fingering": study.plan.ways[sound].fingering,
        "dynamic": mark_of_level(study.line.sounds[sound].dynamic),
    }


def _note_row(study: Study, sounds: tuple[int, ...], played: PlayedNote, note: NoteMeasure | None) -> dict[str, str]:
    row = _place(study, sounds[played.asked]) if played.asked is not None else {}
    row |= {
        "played_as": played.played_as.value,
        "onset_s": f"{played.onset_s:.4f}",
        "length_s": f"{played.offset_s - played.onset_s:.4f}",
        "sounded_hz": f"{played.hz:.3f}",
    }
    if note is None:
        return row
    figures = {"cents": note.cents} | {column: getattr(note, name) for name, column in _NOTE_FIGURES.items()}
    row |= _figures(figures) | {"level_db": f"{max(FLOOR_DB, note.level_db):.1f}"}
    if isinstance(note.cents, Figure) and played.played_as is PlayedAs.ASKED:
        row["sd"] = f"{note.cents.sd:.2f}"
    if note.vibrato is not None:
        row["vibrato_hz"] = f"{note.vibrato.rate_hz.value:.2f}"
        row["vibrato_cents"] = f"{note.vibrato.extent_cents.value:.1f}"
    return row


def _slur_row(
    study: Study, sounds: tuple[int, ...], played: Sequence[PlayedNote], slur: SlurMeasure
) -> dict[str, str]:
    first, second = played[slur.first], played[slur.second]
    row = {"onset_s": f"{second.onset_s:.4f}", "outcome": slur.outcome.value}
    if first.asked is not None:
        here = _place(study, sounds[first.asked])
        row |= {"bar": here["bar"], "beat": here["beat"], "from": here["pitch"], "fingering_from": here["fingering"]}
    if second.asked is not None:
        there = _place(study, sounds[second.asked])
        row |= {"to": there["pitch"], "fingering_to": there["fingering"]}
    row |= {
        "outcome_chance": f"{slur.outcome_chance:.3f}",
        "path": slur.path.value,
        "reasons": "; ".join(reason.value for reason in slur.reasons),
    }
    row |= _figures({name: getattr(slur, name) for name in _SLUR_FIGURES})
    if slur.foreign is not None:
        row["foreign_hz"] = f"{slur.foreign.hz:.2f}"
        row["foreign_partial"] = "" if slur.foreign.partial is None else str(slur.foreign.partial)
        row |= _figures({"foreign_ms": slur.foreign.length_ms}, hidden=row["hidden"])
    return row


def _figures(figures: Mapping[str, Measured], *, hidden: str = "") -> dict[str, str]:
    """Write figures with their intervals; under ``hidden`` stands which are missing and why."""
    cells: dict[str, str] = {}
    missing = [hidden] if hidden else []
    for name, measured in figures.items():
        if isinstance(measured, Figure):
            ends = (measured.value, measured.low, measured.high)
            cells |= {column: f"{end + 0.0:.3f}" for column, end in zip(_thrice(name), ends, strict=True)}
        else:
            missing.append(f"{name}: {measured.why.value}")
    return cells | {"hidden": "; ".join(missing)}
