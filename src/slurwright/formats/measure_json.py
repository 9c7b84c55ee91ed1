"""What was measured in a take as JSON values, piece by piece: figures, notes, slurs, room, level, track.

A figure is ``{"value", "low", "high"}``, the interval holding the truth nine times in ten, or ``{"hidden": why}``.
"""

from collections.abc import Sequence
from typing import Any

from slurwright.listen.figure import Figure, Measured
from slurwright.listen.followed import PlayedNote
from slurwright.listen.measures import LevelCheck, NoteMeasure, Room, SlurMeasure
from slurwright.listen.passage import AskedNote
from slurwright.listen.take import TakeMeasure
from slurwright.listen.thinning import FLOOR_DB, thinned
from slurwright.listen.track import PitchTrack

__all__ = ["KEPT_STEP_S", "figure_fields", "measure_fields", "room_fields"]

Json = dict[str, Any]

KEPT_STEP_S = 0.01
"""From frame to frame of a track that is kept; fine enough to draw a split or a gap [s]."""
_TIME, _HZ, _FIGURE = 5, 4, 3
"""Digits behind the point: hundredths of a millisecond, thousandths of a cent or so [1]."""


def _rounded(value: float, digits: int = _FIGURE) -> float:
    return round(float(value), digits) + 0.0


def _level(level_db: float) -> float:
    """A level; that of digital silence is still a number."""
    return _rounded(max(FLOOR_DB, level_db))


def figure_fields(measured: Measured) -> Json:
    """Write a figure, or why there is none."""
    if isinstance(measured, Figure):
        return {name: _rounded(getattr(measured, name)) for name in ("value", "low", "high")}
    return {"hidden": measured.why.value}


def measure_fields(measure: TakeMeasure, *, track_step_s: float = KEPT_STEP_S) -> Json:
    """Write all that was measured.

    Args:
        measure: the take.
        track_step_s: from frame to frame of the track that is written [s].
    """
    series = list(dict.fromkeys(note.series_hz for note in measure.passage.notes if note.series_hz))
    return {
        "length_s": _rounded(measure.length_s, _TIME),
        "level": _level_fields(measure.level),
        "room": room_fields(measure.room),
        "series_hz": [[_rounded(hz, _HZ) for hz in each] for each in series],
        "asked": [_asked_fields(note, series) for note in measure.passage.notes],
        "played": [_played_fields(note) for note in measure.following.played],
        "missed": list(measure.following.missed),
        "restarts": list(measure.following.restarts),
        "notes": [_note_fields(note) for note in measure.notes],
        "slurs": [_slur_fields(slur) for slur in measure.slurs],
        "track": _track_fields(thinned(measure.track, track_step_s)),
    }


def _level_fields(level: LevelCheck) -> Json:
    return {
        "peak_db": _level(level.peak_db),
        "loud_db": _level(level.loud_db),
        "noise_db": _level(level.noise_db),
        "clipped_share": _rounded(level.clipped_share, 6),
        "faults": [fault.value for fault in level.faults],
    }


def room_fields(room: Room) -> Json:
    """Write how the room answers."""
    return {"decay_s": figure_fields(room.decay_s), "direct_db": figure_fields(room.direct_db)}


def _asked_fields(note: AskedNote, series: Sequence[tuple[float, ...]]) -> Json:
    return {
        "hz": _rounded(note.hz, _HZ),
        "onset_s": _rounded(note.onset_s, _TIME),
        "length_s": _rounded(note.length_s, _TIME),
        "slurred_to_next": note.slurred_to_next,
        "series": series.index(note.series_hz) if note.series_hz else None,
        "partial": note.partial,
    }


def _played_fields(note: PlayedNote) -> Json:
    return {
        "onset_s": _rounded(note.onset_s, _TIME),
        "onset_sd_s": _rounded(note.onset_sd_s, _TIME),
        "offset_s": _rounded(note.offset_s, _TIME),
        "hz": _rounded(note.hz, _HZ),
        "asked": note.asked,
        "played_as": note.played_as.value,
        "joined_to_next": note.joined_to_next,
    }


def _note_fields(note: NoteMeasure) -> Json:
    vibrato = note.vibrato
    return {
        "played": note.played,
        "cents": figure_fields(note.cents),
        "steady_s": [_rounded(moment, _TIME) for moment in note.steady_s],
        "drift_cents_s": figure_fields(note.drift_cents_s),
        "wander_cents": figure_fields(note.wander_cents),
        "scoop_cents": figure_fields(note.scoop_cents),
        "vibrato": None
        if vibrato is None
        else {
            "rate_hz": figure_fields(vibrato.rate_hz),
            "extent_cents": figure_fields(vibrato.extent_cents),
        },
        "level_db": _level(note.level_db),
        "brightness": figure_fields(note.brightness),
    }


_SLUR_FIGURES = ("time_ms", "dip_db", "dip_ms", "silence_ms", "scoop_cents", "overshoot_cents", "quality")


def _slur_fields(slur: SlurMeasure) -> Json:
    foreign = slur.foreign
    return {
        "first": slur.first,
        "second": slur.second,
        **{name: figure_fields(getattr(slur, name)) for name in _SLUR_FIGURES},
        "path": slur.path.value,
        "foreign": None
        if foreign is None
        else {
            "hz": _rounded(foreign.hz, _HZ),
            "partial": foreign.partial,
            "length_ms": figure_fields(foreign.length_ms),
        },
        "outcome": slur.outcome.value,
        "outcome_chance": _rounded(slur.outcome_chance, 4),
        "reasons": [reason.value for reason in slur.reasons],
    }


def _track_fields(track: PitchTrack) -> Json:
    return {
        "start_s": _rounded(track.start_s, _TIME),
        "step_s": _rounded(track.step_s, _TIME),
        "hz": [_rounded(hz, 3) for hz in track.hz.tolist()],
        "strength": [_rounded(strength, 2) for strength in track.strength.tolist()],
        "level_db": [_rounded(level, 1) for level in track.level_db.tolist()],
    }
