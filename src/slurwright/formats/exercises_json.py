"""Exercises as an answer in JSON."""

from collections.abc import Mapping, Sequence
from typing import Any

from slurwright.practice.exercise.values import Exercise
from slurwright.score import Note, line_of

__all__ = ["exercises_answer"]

_UNITS = {
    "tempo_qpm": "quarters per minute",
    "play_s": "s",
    "rest_s": "s",
    "onset_quarter": "quarters from the start of the exercise, as a fraction",
    "duration_quarter": "quarters, as a fraction",
    "cents": "cents against equal temperament, + sharp",
}


def exercises_answer(
    exercises: Sequence[Exercise],
    *,
    about: Mapping[str, Any],
    places: Mapping[int, Mapping[str, Any]],
    cautions: Sequence[str],
) -> dict[str, Any]:
    """Say everything about exercises.

    Args:
        exercises: in the order in which they are played.
        about: horn, reading, seed: what they were made with.
        places: move of the studied line -> where its slur stands in the part.
        cautions: what is to be heeded.
    """
    return {
        **about,
        "exercises": [
            _exercise(number, exercise, None if exercise.move is None else places[exercise.move])
            for number, exercise in enumerate(exercises, start=1)
        ],
        "cautions": list(cautions),
        "units": _UNITS,
    }


def _exercise(number: int, exercise: Exercise, slur: Mapping[str, Any] | None) -> dict[str, Any]:
    time, key = exercise.part.measures[0].time, exercise.part.measures[0].key
    return {
        "number": number,
        "kind": exercise.kind.value,
        "level": exercise.level,
        "title": exercise.title,
        "purpose": exercise.purpose,
        "how": exercise.how,
        "slur": None if slur is None else dict(slur),
        "tempo_qpm": exercise.tempo_qpm,
        "dynamic": exercise.dynamic,
        "time": f"{time.beats}/{time.beat_type}",
        "key_fifths": key.fifths,
        "times": exercise.times,
        "play_s": round(exercise.play_s, 2),
        "rest_s": round(exercise.rest_s, 2),
        "notes": [_note(note, exercise) for note in exercise.part.notes],
        "slurs": _slurs(exercise),
    }


def _note(note: Note, exercise: Exercise) -> dict[str, Any]:
    way = exercise.ways[note.index]
    return {
        "bar": exercise.part.measures[note.measure].number,
        "onset_quarter": str(note.onset_quarter),
        "duration_quarter": str(note.duration_quarter),
        "written": str(note.written),
        "sounding": str(note.sounding),
        "fingering": way.fingering,
        "partial": way.partial,
        "cents": round(way.cents, 1),
    }


def _slurs(exercise: Exercise) -> list[dict[str, Any]]:
    """Each slurred move as indices of notes, and how it is made."""
    line = line_of(exercise.part)
    return [
        {
            "from": line.sounds[move.source].notes[-1],
            "to": line.sounds[move.target].notes[0],
            "technique": technique.value,
        }
        for move, technique in zip(line.moves, exercise.techniques, strict=True)
        if move.slurred
    ]
