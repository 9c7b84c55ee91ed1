"""Exercises on pages: every note engraved, each exercise named, kept together, with its rest and the caution."""

import re
from functools import cache
from itertools import pairwise

import pytest
from lxml import etree

from builders.exercises import slurs_to_practise, study_on
from builders.parts import part_of
from slurwright.devices.engraver import engrave_each
from slurwright.devices.packaged import load_chances, load_exercise_rules, load_familiarity, load_horn
from slurwright.formats.pages.request import Paper
from slurwright.formats.pages.systems import EngravedSystem
from slurwright.jobs.exercise.made import ExerciseRequest, ExerciseSheet, slurs_asked, study_exercises
from slurwright.jobs.exercise.pages import (
    STAVES_FROM_MM,
    STAVES_TO_MM,
    exercise_pages,
    exercise_requests,
)
from slurwright.jobs.study import StudyRequest, study_part
from slurwright.jobs.words import CAUTIONS, clock_text, in_print
from slurwright.practice.exercise.values import ExerciseKind


@cache
def _sheet(horn_id: str, reading: int = 0) -> ExerciseSheet:
    study = study_on(horn_id, reading)
    change = study.line.moves[slurs_to_practise(study)[0]]
    note = study.part.notes[study.line.sounds[change.source].notes[-1]]
    where = f"{study.part.measure_of(note).number}:{study.part.beat_of(note)}"
    request = ExerciseRequest(at=(where,), seed=1000)
    exercises = study_exercises(study, request, rules=load_exercise_rules())
    numbers = {report.move: number for number, report in enumerate(study.weak, start=1)}
    return ExerciseSheet("Exercises", study.horn, study.reading, exercises, 1000, numbers)


def _drawn(sheet: ExerciseSheet, paper: Paper = Paper.A4) -> tuple[tuple[EngravedSystem, ...], ...]:
    requests = exercise_requests(sheet, paper=paper)
    return engrave_each(requests, left_mm=STAVES_FROM_MM, right_mm=STAVES_TO_MM)


def _words(page: str) -> str:
    root = etree.fromstring(page.encode())
    texts = ("".join(str(part) for part in text.itertext()) for text in root.iter("{*}text"))
    return re.sub(r"\s+", " ", " ".join(texts))


@pytest.mark.parametrize(
    ("horn_id", "reading", "paper"),
    [("euphonium-4c", 1, Paper.A4), ("trombone-f", 1, Paper.LETTER), ("horn-double", 0, Paper.A4)],
)
def test_every_note_is_engraved_and_every_exercise_named(horn_id: str, reading: int, paper: Paper) -> None:
    sheet = _sheet(horn_id, reading)
    systems = _drawn(sheet, paper)
    assert len(systems) == len(sheet.exercises)
    for exercise, drawn in zip(sheet.exercises, systems, strict=True):
        assert sum(len(system.heads) for system in drawn) == len(exercise.part.notes)
    said = " ".join(_words(page) for page in exercise_pages(sheet, systems, paper=paper))
    for number, exercise in enumerate(sheet.exercises, start=1):
        assert in_print(f"{number}. {exercise.title.split(' ')[0]}") in said
        assert f"then rest {clock_text(exercise.rest_s)}" in said
    assert CAUTIONS[0].split(";")[0] in said


def test_a_line_never_breaks_inside_a_fingering() -> None:
    sheet = _sheet("euphonium-4c")
    for exercise, drawn in zip(sheet.exercises, _drawn(sheet), strict=True):
        if exercise.slur is None:
            for system in drawn:
                assert exercise.part.notes[min(system.heads)].measure % 2 == 0


def test_fingerings_are_marked_where_they_change_and_rescues_stand_out() -> None:
    sheet = _sheet("euphonium-4c")
    for exercise, request in zip(sheet.exercises, exercise_requests(sheet), strict=True):
        assert 0 in request.labels
        if exercise.kind is ExerciseKind.PASSAGE:
            assert set(request.labels) == {note.index for note in exercise.part.notes if not note.tied_from_previous}
            assert [(mark.first_note, mark.last_note) for mark in request.weak] == [exercise.slur]
        else:
            fingerings = [exercise.ways[note].fingering for note in range(len(exercise.part.notes))]
            turns = {note for note, (one, other) in enumerate(pairwise(fingerings), start=1) if one != other}
            changing = any(
                turn - 1 >= slur.first and turn <= slur.last for turn in turns for slur in exercise.part.slurs
            )
            assert set(request.labels) == {0} | turns | {slur.first for slur in exercise.part.slurs if changing}
        if exercise.kind is ExerciseKind.RESCUE and exercise.title.endswith("tongue"):
            assert any(sign.text == "legato tongue" for sign in exercise.part.directions)
        changed = {note for note, label in request.labels.items() if label.changed}
        if exercise.slur is not None:
            assert changed == {note for note in request.labels if not exercise.ways[note].normal}


def test_alike_slurs_are_practised_once() -> None:
    study = study_on("tuba-f-6", dynamic="mf")
    moves = slurs_asked(study, ())
    told = {report.move for report in study.reports if report.weak or report.choices}
    assert set(moves) <= told
    assert len(told) > len(study.weak)
    keys = set()
    for move in moves:
        change = study.line.moves[move]
        sounds = [study.line.sounds[index].sounding.midi for index in (change.source, change.target)]
        keys.add((*sounds, study.plan.ways[change.source].fingering, study.plan.ways[change.target].fingering))
    assert len(keys) == len(moves)


def test_a_weak_slur_stands_for_one_that_is_mended() -> None:
    part = part_of("(D4 Bb3) r r | (D4 Bb3) r r")
    request = StudyRequest(dynamic="pp", pins=("1:1=0", "1:2=2-3", "2:1=0", "2:2=0"))
    study = study_part(
        part, load_horn("euphonium-4c"), request, chances=load_chances(), familiarity=load_familiarity()
    )
    mended, weak = (report.move for report in study.reports)
    assert [way.fingering for way in study.plan.ways] == ["0", "2-3", "0", "0"]
    assert [report.move for report in study.weak] == [weak]
    assert slurs_asked(study, ()) == (weak,), "both are practised on their normal fingerings"
    assert slurs_asked(study, ("1:1",)) == (mended,)


@pytest.mark.parametrize(
    ("length_s", "words"), [(3.0, "5 s"), (58.0, "1 min"), (62.0, "1 min"), (95.0, "1 min 35 s"), (600.0, "10 min")]
)
def test_times_are_said_as_players_think_of_them(length_s: float, words: str) -> None:
    assert clock_text(length_s) == words
