"""Exercises as notation: valid, and read again as what they are, on every horn and in every reading."""

from dataclasses import dataclass
from fractions import Fraction
from functools import cache

import numpy as np
import pytest

from builders.exercises import slurs_to_practise, study_on
from builders.musicxml_schema import schema_errors
from slurwright.devices.packaged import demo_part, horn_ids, load_horn
from slurwright.formats.musicxml import open_musicxml
from slurwright.formats.musicxml_writer import write_musicxml
from slurwright.jobs.study import StudyRequest
from slurwright.practice.exercise.book import bound
from slurwright.practice.exercise.make import daily_lip_slurs, exercises_for
from slurwright.practice.exercise.values import Exercise, ExerciseKind
from slurwright.score import Part
from slurwright.wiring.part import study_score

READINGS = [(horn_id, place % len(load_horn(horn_id).readings)) for place, horn_id in enumerate(horn_ids())]
"""Every horn in one of its readings, so that all readings come in turn."""
SEED = 1000


@cache
def _exercises(horn_id: str, reading: int) -> tuple[Exercise, ...]:
    study = study_on(horn_id, reading)
    made = list(daily_lip_slurs(study.horn, study.reading, rng=np.random.default_rng([SEED, reading]), minutes=6))
    for move in slurs_to_practise(study, most=2):
        made += exercises_for(study, move, rng=np.random.default_rng([SEED, move]))
    return tuple(made)


@dataclass(frozen=True, slots=True)
class Facts:
    """What must come back."""

    notes: list[tuple[str, int, Fraction, Fraction]]
    slurs: list[tuple[int, int]]
    hairpins: list[tuple[Fraction, Fraction, bool]]
    dynamics: list[float]
    tempos: list[float]
    bars: list[Fraction]


def _facts(part: Part) -> Facts:
    return Facts(
        [(str(n.written), n.sounding.midi, n.onset_quarter, n.duration_quarter) for n in part.notes],
        [(slur.first, slur.last) for slur in part.slurs],
        [(pin.start_quarter, pin.end_quarter, pin.grows) for pin in part.hairpins],
        [round(note.dynamic, 6) for note in part.notes],
        [round(note.tempo_qpm, 1) for note in part.notes],
        [measure.duration_quarter for measure in part.measures],
    )


@pytest.mark.parametrize(("horn_id", "reading"), READINGS)
def test_all_exercises_in_one_file_are_valid_and_come_back(horn_id: str, reading: int) -> None:
    exercises = _exercises(horn_id, reading)
    book = bound(exercises, title="Exercises")
    data = write_musicxml(book.part, fingerings={note: (label,) for note, label in book.labels.items()})
    assert schema_errors(data) == []
    opened = open_musicxml(data, where="exercises")
    part = opened.part(opened.headings[0])
    assert [str(notice) for notice in part.notices] == []
    again, made = _facts(part), _facts(book.part)
    assert again.notes == made.notes
    assert again.slurs == made.slurs
    assert again.hairpins == made.hairpins
    assert again.tempos == made.tempos
    assert again.bars == made.bars
    assert {note.index: note.fingerings for note in part.notes if note.fingerings} == {
        note: (label,) for note, label in book.labels.items()
    }
    for exercise in exercises:
        if exercise.slur is None:
            assert all(abs(note.written.alter) <= 1 for note in exercise.part.notes)
            assert not {str(note.written)[:2] for note in exercise.part.notes} & {"Cb", "Fb", "E#", "B#"}


def test_bars_of_a_real_tune_with_its_upbeat_come_back() -> None:
    name, data = demo_part()
    horn = load_horn("euphonium-4c")
    study = study_score(data, name, horn, StudyRequest(dynamic="pp", reading="treble-b9")).study
    move = study.weak[0].move
    exercises = exercises_for(study, move, rng=np.random.default_rng(SEED))
    book = bound(exercises, title="Exercises")
    written = write_musicxml(book.part)
    assert schema_errors(written) == []
    opened = open_musicxml(written, where="exercises")
    part = opened.part(opened.headings[0])
    assert _facts(part).notes == _facts(book.part).notes
    assert _facts(part).bars == _facts(book.part).bars
    upbeat = next(exercise for exercise in exercises if exercise.kind is ExerciseKind.PASSAGE)
    assert upbeat.part.measures[0].duration_quarter == 1
    assert upbeat.slur == (0, 1)


@pytest.mark.parametrize("horn_id", ["euphonium-4c", "horn-double", "trombone-alto"])
def test_each_begins_at_its_own_dynamic(horn_id: str) -> None:
    exercises = _exercises(horn_id, 0)
    part = bound(exercises, title="Exercises").part
    starts = 0
    for exercise in exercises:
        first = part.notes[starts]
        assert first.dynamic == exercise.part.notes[0].dynamic
        assert first.tempo_qpm == pytest.approx(exercise.tempo_qpm, abs=0.01)
        starts += len(exercise.part.notes)


@pytest.mark.oracle
@pytest.mark.filterwarnings("ignore")
@pytest.mark.parametrize("horn_id", ["euphonium-4c", "trombone-f", "horn-f", "tuba-eb-4c"])
def test_music21_reads_the_same_notes_and_slurs(horn_id: str) -> None:
    music21 = pytest.importorskip("music21")
    book = bound(_exercises(horn_id, len(load_horn(horn_id).readings) - 1), title="Exercises")
    score = music21.converter.parseData(write_musicxml(book.part).decode(), format="musicxml")
    line = score.parts[0].toSoundingPitch()
    notes = [note for note in line.flatten().notes if not note.duration.isGrace]
    got = [(note.pitch.midi, Fraction(note.offset).limit_denominator(48)) for note in notes]
    assert got == [(note.sounding.midi, note.onset_quarter) for note in book.part.notes]
    place = {id(note): index for index, note in enumerate(notes)}
    spanners = [
        (place[id(slur.getFirst())], place[id(slur.getLast())]) for slur in line.recurse().getElementsByClass("Slur")
    ]
    assert sorted(spanners) == sorted((slur.first, slur.last) for slur in book.part.slurs)
    for measure in line.getElementsByClass("Measure"):
        inside = sum(Fraction(event.quarterLength).limit_denominator(48) for event in measure.notesAndRests)
        assert inside == book.part.measures[int(measure.number) - 1].duration_quarter
