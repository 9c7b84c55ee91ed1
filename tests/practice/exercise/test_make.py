"""Exercises for weak slurs: what every one of them must hold, on every horn of the catalogue."""

from dataclasses import replace
from functools import cache
from itertools import pairwise

import numpy as np
import pytest

from builders.exercises import slurs_to_practise, study_on
from builders.parts import part_of
from slurwright.devices.packaged import (
    horn_ids,
    load_chances,
    load_exercise_rules,
    load_familiarity,
    load_horn,
)
from slurwright.errors import RequestError
from slurwright.horn import HornKind
from slurwright.jobs.study import StudyRequest, study_part
from slurwright.pitch import Clef, SoundingPitch
from slurwright.plan import Technique, ways_of
from slurwright.plan.study import Study
from slurwright.practice.exercise.make import daily_lip_slurs, exercises_for
from slurwright.practice.exercise.rules import ExerciseRules
from slurwright.practice.exercise.values import Exercise, ExerciseKind
from slurwright.score import DirectionKind, Note, Rest, line_of

SEEDS = (1000, 1001)
HORNS = horn_ids()


@cache
def _on(horn_id: str) -> list[tuple[int, tuple[Exercise, ...]]]:
    return _made(study_on(horn_id))


def _made(study: Study, seed: int = SEEDS[0]) -> list[tuple[int, tuple[Exercise, ...]]]:
    moves = slurs_to_practise(study, most=3)
    return [(move, exercises_for(study, move, rng=np.random.default_rng(seed))) for move in moves]


@cache
def _ways(horn_id: str, midi: int) -> set[tuple[str, int]]:
    return {(each.fingering, each.partial) for each in ways_of(SoundingPitch.from_midi(midi), load_horn(horn_id))}


def _daily(horn_id: str, seed: int = SEEDS[0], minutes: float = 10.0) -> tuple[Exercise, ...]:
    horn = load_horn(horn_id)
    return daily_lip_slurs(horn, horn.readings[0], rng=np.random.default_rng(seed), minutes=minutes)


def _slurred_ways(exercise: Exercise) -> set[tuple[str, int, str, int]]:
    line = line_of(exercise.part)
    played = [exercise.ways[sound.notes[0]] for sound in line.sounds]
    pairs = [(played[move.source], played[move.target]) for move in line.moves if move.slurred]
    return {(first.fingering, first.partial, second.fingering, second.partial) for first, second in pairs}


def _check_notes(exercise: Exercise, study_horn: str) -> None:
    for note, way in zip(exercise.part.notes, exercise.ways, strict=True):
        assert (way.fingering, way.partial) in _ways(study_horn, note.sounding.midi)
        transposition = exercise.part.measures[note.measure].transposition
        assert transposition.to_sounding(note.written).midi == note.sounding.midi


def _check_bars(exercise: Exercise) -> None:
    part = exercise.part
    for measure in part.measures:
        every: list[Note | Rest] = [*part.notes, *part.rests]
        events = [event for event in every if event.measure == measure.index]
        events.sort(key=lambda event: (event.onset_quarter, event.duration_quarter))
        assert sum(event.duration_quarter for event in events) == measure.duration_quarter
        place = measure.onset_quarter
        for event in events:
            assert event.onset_quarter == place
            place += event.duration_quarter


@pytest.mark.parametrize("horn_id", HORNS)
def test_every_exercise_of_a_slur_holds_together(horn_id: str) -> None:
    study = study_on(horn_id)
    low, high = (pitch.midi for pitch in study.horn.comfortable)
    for move, exercises in _on(horn_id):
        change = study.line.moves[move]
        own = [study.line.sounds[sound].sounding.midi for sound in (change.source, change.target)]
        assert [exercise.level for exercise in exercises] == list(range(1, len(exercises) + 1))
        for exercise in exercises:
            _check_notes(exercise, horn_id)
            _check_bars(exercise)
            assert not exercise.part.notices
            assert exercise.move == move
            mark = next(sign for sign in exercise.part.directions if sign.kind is DirectionKind.TEMPO)
            assert mark.tempo_per_minute == round(mark.tempo_per_minute or 0.0)
            assert exercise.rest_s >= exercise.play_s or exercise.rest_s >= ExerciseRules().least_rest_s
            assert len(exercise.techniques) == len(line_of(exercise.part).moves)
            if exercise.kind is not ExerciseKind.PASSAGE:
                assert min(low, *own) <= min(note.sounding.midi for note in exercise.part.notes)
                assert max(note.sounding.midi for note in exercise.part.notes) <= max(high, *own)


@pytest.mark.parametrize("horn_id", HORNS)
def test_the_wanted_slur_is_there_on_its_own_fingerings(horn_id: str) -> None:
    study = study_on(horn_id)
    for move, exercises in _on(horn_id):
        change = study.line.moves[move]
        normal = [
            next((way for way in study.ways[sound] if way.normal), study.plan.ways[sound])
            for sound in (change.source, change.target)
        ]
        wanted = (normal[0].fingering, normal[0].partial, normal[1].fingering, normal[1].partial)
        for exercise in exercises:
            if exercise.kind is ExerciseKind.TWO_NOTES:
                assert wanted in _slurred_ways(exercise)
            elif exercise.kind is ExerciseKind.PASSAGE:
                planned = [study.plan.ways[sound] for sound in (change.source, change.target)]
                marked = (planned[0].fingering, planned[0].partial, planned[1].fingering, planned[1].partial)
                assert marked in _slurred_ways(exercise)
            elif exercise.kind in {ExerciseKind.RUNG, ExerciseKind.NEIGHBOURS, ExerciseKind.SOFT}:
                partials = {(first, second) for _, first, _, second in _slurred_ways(exercise)}
                step = (normal[0].partial, normal[1].partial)
                assert step in partials
                if normal[0].fingering == normal[1].fingering:
                    assert exercise.kind is not ExerciseKind.RUNG or wanted in _slurred_ways(exercise)


@pytest.mark.parametrize("horn_id", HORNS)
def test_lip_slurs_keep_to_one_fingering_under_a_slur(horn_id: str) -> None:
    for exercise in _daily(horn_id):
        assert all(first == third for first, _, third, _ in _slurred_ways(exercise))
        _check_notes(exercise, horn_id)
        _check_bars(exercise)


@pytest.mark.parametrize("horn_id", HORNS)
def test_a_slide_tongues_what_would_smear_and_nothing_else(horn_id: str) -> None:
    study = study_on(horn_id)
    slide = study.horn.kind is HornKind.SLIDE
    for _, exercises in _on(horn_id):
        for exercise in exercises:
            if exercise.kind in {ExerciseKind.RESCUE, ExerciseKind.PASSAGE}:
                continue
            line = line_of(exercise.part)
            for move, technique in zip(line.moves, exercise.techniques, strict=True):
                ways = [exercise.ways[line.sounds[sound].notes[0]] for sound in (move.source, move.target)]
                smears = slide and move.slurred and ways[0].partial == ways[1].partial
                assert (technique is Technique.LEGATO_TONGUE) == smears


@pytest.mark.parametrize("horn_id", ["euphonium-4c", "trombone-f", "horn-double", "tuba-f-6"])
def test_the_same_seed_gives_the_same_and_another_seed_another(horn_id: str) -> None:
    study = study_on(horn_id)
    assert _made(study) == _made(study)
    move = slurs_to_practise(study)[0]
    drawn = {str(_notes(exercises_for(study, move, rng=np.random.default_rng(seed)))) for seed in range(1000, 1012)}
    assert len(drawn) > 8
    daily = {str(_notes(_daily(horn_id, seed))) for seed in range(1000, 1012)}
    assert len(daily) > 10


def _notes(exercises: tuple[Exercise, ...]) -> list[list[tuple[str, str]]]:
    return [
        [(str(note.written), str(note.duration_quarter)) for note in exercise.part.notes] for exercise in exercises
    ]


def test_fewer_exercises_are_one_of_each_kind_and_the_same_ones() -> None:
    study = study_on("euphonium-4c")
    move = slurs_to_practise(study)[0]
    every = exercises_for(study, move, rng=np.random.default_rng(1003))
    for most in range(1, len(every) + 1):
        some = exercises_for(study, move, rng=np.random.default_rng(1003), most=most)
        assert len(some) == most
        assert set(some) <= set(every)
        kinds = [exercise.kind for exercise in some]
        if most <= len({exercise.kind for exercise in every}):
            assert len(set(kinds)) == most
    assert exercises_for(study, move, rng=np.random.default_rng(1003), most=1)[0].kind is ExerciseKind.RUNG


def test_it_goes_from_easy_to_hard_and_the_rescue_comes_last() -> None:
    study = study_on("euphonium-4c")
    for _, exercises in _made(study):
        kinds = [exercise.kind for exercise in exercises]
        lips = [ExerciseKind.RUNG, ExerciseKind.NEIGHBOURS, ExerciseKind.SOFT]
        assert [kind for kind in kinds if kind in lips] == [kind for kind in lips if kind in kinds]
        assert kinds.index(ExerciseKind.TWO_NOTES) < kinds.index(ExerciseKind.PASSAGE)
        if ExerciseKind.RESCUE in kinds:
            assert kinds.index(ExerciseKind.RESCUE) > kinds.index(ExerciseKind.TWO_NOTES)
        slow, quick = (each for each in exercises if each.kind is ExerciseKind.PASSAGE)
        assert slow.tempo_qpm < quick.tempo_qpm
        soft = next(each for each in exercises if each.kind is ExerciseKind.SOFT)
        assert soft.part.hairpins


def test_daily_lip_slurs_fill_the_minutes_that_there_are() -> None:
    for minutes in (4.0, 8.0, 15.0):
        exercises = _daily("euphonium-4c", minutes=minutes)
        taken_s = sum(exercise.play_s + exercise.rest_s for exercise in exercises)
        assert 0.5 * 60 * minutes < taken_s <= 60 * minutes
    assert len(_daily("euphonium-4c", minutes=0.1)) == 1


def test_daily_lip_slurs_stay_in_the_players_own_range() -> None:
    horn = load_horn("euphonium-4c")
    own = SoundingPitch.named("F2"), SoundingPitch.named("F3")
    exercises = daily_lip_slurs(horn, horn.readings[0], rng=np.random.default_rng(1000), minutes=8, range_=own)
    sounding = [note.sounding.midi for exercise in exercises for note in exercise.part.notes]
    assert own[0].midi <= min(sounding)
    assert max(sounding) <= own[1].midi


def test_no_note_stands_twice_running_under_a_slur() -> None:
    for exercise in _daily("horn-double", minutes=30):
        for slur in exercise.part.slurs:
            written = [note.written for note in exercise.part.notes[slur.first : slur.last + 1]]
            assert all(first != second for first, second in pairwise(written))


def test_a_move_that_is_no_slur_is_refused() -> None:
    study = study_on("euphonium-4c")
    plain = next(index for index, move in enumerate(study.line.moves) if not move.slurred)
    for move in (plain, -1, 9999):
        with pytest.raises(RequestError, match="no slur to practise"):
            exercises_for(study, move, rng=np.random.default_rng(1000))


def test_the_packaged_figures_are_the_built_in_ones() -> None:
    assert load_exercise_rules() == ExerciseRules()


def test_a_technique_of_the_plan_is_said_in_the_bars() -> None:
    study = study_on("euphonium-4c")
    move = slurs_to_practise(study)[0]
    techniques = [Technique.PLAIN] * len(study.line.moves)
    techniques[move] = Technique.LEGATO_TONGUE
    planned = replace(study.plan, techniques=tuple(techniques))
    exercises = exercises_for(replace(study, plans=(planned,)), move, rng=np.random.default_rng(1000))
    bars = next(exercise for exercise in exercises if exercise.kind is ExerciseKind.PASSAGE)
    said = [sign for sign in bars.part.directions if sign.text == "legato tongue"]
    assert bars.slur is not None
    assert [sign.onset_quarter for sign in said] == [bars.part.notes[bars.slur[0]].onset_quarter]
    assert bars.techniques.count(Technique.LEGATO_TONGUE) == 1


def test_a_slur_over_a_repeat_is_cut_out_with_both_of_its_bars() -> None:
    part = part_of(
        "Bb2 F3 (Bb3 D4 | F3) D4 C4 A3 | F3 G3 A3 (C4 | Bb3) F3 D3 Bb2",
        bars={1: {"repeat_starts": True}, 2: {"repeat_ends": 2}},
        clef=Clef.BASS,
    )
    request = StudyRequest(dynamic="pp", best=1)
    study = study_part(
        part, load_horn("euphonium-4c"), request, chances=load_chances(), familiarity=load_familiarity()
    )
    move = next(index for index, each in enumerate(study.line.moves) if each.slurred and each.target < each.source)
    exercises = exercises_for(study, move, rng=np.random.default_rng(1000))
    bars = next(exercise for exercise in exercises if exercise.kind is ExerciseKind.PASSAGE)
    assert [measure.number for measure in bars.part.measures] == ["3", "2"]
    assert bars.slur is not None
    left, reached = (bars.part.notes[note] for note in bars.slur)
    assert (str(left.written), str(reached.written)) == ("C4", "F3")
    assert bars.slur in {(slur.first, slur.last) for slur in bars.part.slurs}
    assert "bars 3 and 2" in bars.purpose
    _check_bars(bars)


@pytest.mark.parametrize(
    ("horn_id", "said"), [("euphonium-4c", "fingers quick and together"), ("trombone-f", "a quick slide")]
)
def test_a_slur_on_one_partial_is_practised_by_fingers_or_slide(horn_id: str, said: str) -> None:
    part = part_of("(D4 C4) D4 r | F4 D4 Bb3 r", clef=Clef.BASS)
    study = study_part(
        part, load_horn(horn_id), StudyRequest(best=1), chances=load_chances(), familiarity=load_familiarity()
    )
    exercises = exercises_for(study, 0, rng=np.random.default_rng(1000))
    rung = exercises[0]
    assert rung.kind is ExerciseKind.RUNG
    assert said in rung.how
    assert not any("lips" in words for exercise in exercises[:3] for words in (exercise.purpose, exercise.how))
    line = line_of(rung.part)
    partials = {rung.ways[note.index].partial for note in rung.part.notes}
    assert partials == {4, 5, 6}
    for move, technique in zip(line.moves, rung.techniques, strict=True):
        ways = [rung.ways[line.sounds[sound].notes[0]] for sound in (move.source, move.target)]
        if move.slurred:
            assert ways[0].partial == ways[1].partial
            assert (technique is Technique.LEGATO_TONGUE) == (study.horn.kind is HornKind.SLIDE)
