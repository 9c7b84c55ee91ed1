"""Exercises as sound: clicks, drones where they are said, silent rests, the line at its fingerings' pitch."""

from dataclasses import replace

import numpy as np
import pytest

from builders.cents import assert_cents
from builders.exercises import slurs_to_practise, study_on
from slurwright.devices.packaged import load_exercise_rules, load_horn
from slurwright.errors import RequestError
from slurwright.jobs.exercise.made import ExerciseRequest, ExerciseSheet, daily_exercises, study_exercises
from slurwright.jobs.exercise.sound import RATE_HZ, Backing, drone_words, exercise_sound
from slurwright.pitch import SoundingPitch, cents_of_ratio, hz_of_midi
from slurwright.practice.exercise.values import Exercise, ExerciseKind


def _daily(horn_id: str = "euphonium-4c") -> ExerciseSheet:
    horn = load_horn(horn_id)
    rules = load_exercise_rules()
    made = daily_exercises(horn, horn.readings[0], ExerciseRequest(seed=1000), minutes=1.0, rules=rules)
    return ExerciseSheet("Daily", horn, horn.readings[0], made, 1000)


def _track(sheet: ExerciseSheet, backing: Backing) -> np.ndarray:
    return exercise_sound(sheet, backing, rng=np.random.default_rng(1000))


def _strongest_hz(samples: np.ndarray, near_hz: float) -> float:
    count = 1 << 18
    spectrum = np.log(np.abs(np.fft.rfft(samples * np.hanning(len(samples)), count)) + 1e-12)
    step = RATE_HZ / count
    low, high = int(near_hz * 0.96 / step), int(near_hz * 1.04 / step)
    top = low + int(np.argmax(spectrum[low:high]))
    left, middle, right = spectrum[top - 1 : top + 2]
    return float(step * (top + 0.5 * (left - right) / (left - 2 * middle + right)))


def _measure_s(exercise: Exercise) -> float:
    return float(exercise.part.measures[0].time.length_quarter) * 60.0 / exercise.tempo_qpm


def test_it_lasts_as_long_as_counting_in_playing_and_resting() -> None:
    sheet = _daily()
    wanted = sum(_measure_s(each) * each.times + each.play_s + each.rest_s for each in sheet.exercises)
    assert len(_track(sheet, Backing())) / RATE_HZ == pytest.approx(wanted, abs=0.01)


def test_the_rest_is_silent_and_nothing_is_loud() -> None:
    sheet = _daily()
    first = sheet.exercises[0]
    for backing in (Backing(), Backing(line=True)):
        track = _track(sheet, backing)
        resting = _measure_s(first) + first.play_s + 0.6
        silent = track[round(resting * RATE_HZ) : round((resting + first.rest_s - 1.0) * RATE_HZ)]
        assert np.abs(silent).max() == 0.0
        assert 0.02 < np.abs(track).max() < 0.5


def test_lip_slurs_have_the_root_of_each_fingering_under_them() -> None:
    sheet = _daily()
    exercise = sheet.exercises[0]
    assert exercise.kind is ExerciseKind.DAILY
    track = _track(sheet, Backing())
    measure_s = _measure_s(exercise)
    roots = ["Bb2", "A2", "Ab2", "G2", "F#3"]
    fingerings = list(dict.fromkeys(way.fingering for way in exercise.ways))
    assert fingerings[:2] == ["0", "2"]
    for place in range(len(fingerings)):
        start_s = measure_s * (1 + 2 * place) + 0.4
        inside = track[round(start_s * RATE_HZ) : round((start_s + 2 * measure_s - 0.8) * RATE_HZ)]
        wanted = hz_of_midi(SoundingPitch.named(roots[place]).midi)
        assert_cents(cents_of_ratio(_strongest_hz(inside, wanted) / wanted), 0.0, within=1.0)
    assert drone_words(exercise, Backing()).startswith("drones Bb2, A2")


def test_a_drone_that_is_named_sounds_under_everything_and_is_tuned() -> None:
    sheet = _daily()
    backing = Backing(SoundingPitch.named("F2"), a4_hz=442.0)
    inside = _track(sheet, backing)[round(1.0 * RATE_HZ) : round(11.0 * RATE_HZ)]
    wanted = hz_of_midi(41, 442.0)
    assert_cents(cents_of_ratio(_strongest_hz(inside, wanted) / wanted), 0.0, within=1.0)
    assert drone_words(sheet.exercises[0], backing) == "drone F2"
    with pytest.raises(RequestError, match="nobody tunes so"):
        Backing(a4_hz=300.0)


@pytest.mark.parametrize("horn_id", ["euphonium-4c", "trumpet-b", "horn-f", "tuba-eb-4c", "trombone"])
def test_the_line_sounds_where_each_fingering_lies(horn_id: str) -> None:
    sheet = _daily(horn_id)
    exercise = sheet.exercises[0]
    last = next(note for note in exercise.part.notes if exercise.part.measures[note.measure].index == 1)
    cents = 23.0
    ways = tuple(replace(way, cents=way.cents + cents) for way in exercise.ways)
    moved = replace(sheet, exercises=(replace(exercise, ways=ways),))
    track = _track(moved, Backing(line=True)) - _track(moved, Backing())
    second = 60.0 / exercise.tempo_qpm
    start_s = _measure_s(exercise) + float(last.onset_quarter) * second
    held = track[
        round((start_s + 0.3) * RATE_HZ) : round((start_s + float(last.duration_quarter) * second) * RATE_HZ)
    ]
    wanted = hz_of_midi(last.sounding.midi)
    got = cents_of_ratio(_strongest_hz(held, wanted) / wanted)
    assert_cents(got, exercise.ways[last.index].cents + cents, within=3.0)


def test_a_slur_alone_has_its_first_note_and_a_passage_its_key_note() -> None:
    study = study_on("euphonium-4c")
    move = slurs_to_practise(study)[0]
    first = study.line.sounds[study.line.moves[move].source].sounding
    place = f"{study.part.measure_of(study.part.notes[study.line.moves[move].source]).number}"
    beat = study.part.beat_of(study.part.notes[study.line.moves[move].source])
    rules = load_exercise_rules()
    exercises = study_exercises(study, ExerciseRequest(at=(f"{place}:{beat}",), seed=1000), rules=rules)
    for exercise in exercises:
        if exercise.kind is ExerciseKind.TWO_NOTES:
            assert drone_words(exercise, Backing())[6:-1] == str(first)[:-1]
        elif exercise.kind is ExerciseKind.PASSAGE:
            assert drone_words(exercise, Backing()) == "drone C3"


def test_clicks_keep_the_beat_unless_they_only_count_in() -> None:
    sheet = _daily()
    first = sheet.exercises[0]
    through, before = _track(sheet, Backing()), _track(sheet, Backing(count_in_only=True))
    second = 60.0 / first.tempo_qpm
    start = _measure_s(first)
    clicks = np.abs(through - before)
    assert clicks[: round(start * RATE_HZ)].max() < 1e-6, "counting in is the same"
    beats = [start + float(measure.onset_quarter) * second for measure in first.part.measures]
    for at_s in beats:
        here = round(at_s * RATE_HZ)
        assert clicks[here : here + round(0.01 * RATE_HZ)].max() > 0.02
        assert clicks[here + round(0.05 * RATE_HZ) : here + round(0.3 * second * RATE_HZ)].max(initial=0.0) < 1e-6
    ended = round((start + first.play_s) * RATE_HZ)
    assert clicks[ended : ended + round((first.rest_s - 0.1) * RATE_HZ)].max() < 1e-6, "rests are silent"
