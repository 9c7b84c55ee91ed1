"""What the player says they heard of a slur, turned into attempts."""

from dataclasses import replace
from datetime import date

import pytest

from builders.parts import part_of
from builders.studies import hand_made_study
from slurwright.devices.packaged import load_chances, load_familiarity, load_horn
from slurwright.errors import RequestError
from slurwright.evidence.attempts import Ear
from slurwright.jobs.study import StudyRequest, study_part
from slurwright.jobs.tried import (
    MOST_AT_ONCE,
    Logging,
    ear_attempts,
    heard_words,
    label_at,
    move_at,
    part_tried,
    tried_at,
)
from slurwright.plan import Technique
from slurwright.plan.study import Study
from slurwright.score import unrolled
from slurwright.score.fingerprint import fingerprint

TODAY = date(2026, 11, 28)
LOGGING = Logging("p1", "h1", date(2026, 11, 27), "waltz.musicxml")
CHANCES = load_chances()


def study(text: str, **asked: object) -> Study:
    request = replace(StudyRequest(), **asked)  # type: ignore[arg-type]
    horn = load_horn("euphonium-4c")
    return study_part(part_of(text), horn, request, chances=CHANCES, familiarity=load_familiarity())


WALTZ = study("(F3 Bb3) r/2 | (F3/2 D4/2)")


def test_each_word_is_an_attempt_in_their_order() -> None:
    assert heard_words(["good", "rough=2", "missed"]) == (Ear.GOOD, Ear.ROUGH, Ear.ROUGH, Ear.MISSED)


@pytest.mark.parametrize(
    ("words", "problem"),
    [
        ([], "nothing is said"),
        (["fine"], "not what an ear can say"),
        (["good=0"], "not what an ear can say"),
        (["good=-1"], "not what an ear can say"),
        (["GOOD"], "not what an ear can say"),
        ([f"good={MOST_AT_ONCE}", "good"], "too many attempts"),
        (["good=999999"], "too many attempts"),
    ],
)
def test_other_words_are_refused(words: list[str], problem: str) -> None:
    with pytest.raises(RequestError, match=problem):
        heard_words(words)


def test_an_attempt_has_the_features_of_the_plan() -> None:
    found = ear_attempts(WALTZ, "1:1", ["good", "missed"], logging=LOGGING, chances=CHANCES, today=TODAY)
    assert [one.heard for one in found] == [Ear.GOOD, Ear.MISSED]
    one = found[0]
    assert (one.player_id, one.horn_id, one.model) == ("p1", "h1", "euphonium-4c")
    assert (one.label, one.played_on) == ("1:1", date(2026, 11, 27))
    assert one.part == part_tried(WALTZ, file="waltz.musicxml")
    move = WALTZ.line.moves[0]
    assert [(str(way.written), way.fingering, way.partial) for way in one.tried.ways] == [
        ("F3", WALTZ.plan.ways[0].fingering, WALTZ.plan.ways[0].partial),
        ("Bb3", WALTZ.plan.ways[1].fingering, WALTZ.plan.ways[1].partial),
    ]
    assert (one.tried.dynamic, one.tried.time_s) == (move.dynamic, move.time_s)
    assert one.tried.hold_s == WALTZ.line.sounds[1].duration_s
    assert one.tried.technique is Technique.PLAIN


def test_the_conditions_asked_for_are_those_of_the_attempt() -> None:
    asked = study("(F3 Bb3) r/2", dynamic="pp", tempo_qpm=60.0, pins=("1:1=4",))
    tried = tried_at(asked, 0, technique=Technique.LEGATO_TONGUE, chances=CHANCES)
    assert tried.dynamic == asked.line.moves[0].dynamic < 0
    assert tried.tempo_qpm == pytest.approx(60.0)
    assert tried.time_s == pytest.approx(1.0)
    assert tried.ways[0].fingering == "4"
    assert tried.technique is Technique.LEGATO_TONGUE


def test_a_part_written_out_is_the_same_part() -> None:
    repeated = part_of("(F3 Bb3) r/2 | (F3/2 D4/2)", bars={1: {"repeat_ends": 2}})
    as_written = hand_made_study(repeated)
    written_out = hand_made_study(unrolled(repeated))
    assert part_tried(as_written, file="a") == part_tried(written_out, file="a")
    assert part_tried(as_written, file="a").fingerprint == fingerprint(unrolled(repeated))


def test_where_a_repeat_comes_again_the_first_time_is_meant() -> None:
    repeated = hand_made_study(unrolled(part_of("(F3 Bb3) r/2 |", bars={0: {"repeat_ends": 2}})))
    assert move_at("1:1", repeated) == 0


def test_a_note_that_one_slur_leads_from_is_a_place() -> None:
    assert move_at("G3", study("(G3 Bb3) r/2 | G3")) == 0


def test_a_note_that_several_slurs_lead_from_is_asked_for_by_its_bar() -> None:
    with pytest.raises(RequestError, match=r"several slurs lead from there.*1:1 \(to Bb3\), 2:1 \(to D4\)"):
        move_at("F3", WALTZ)


def test_a_place_without_a_slur_says_where_there_are_some() -> None:
    with pytest.raises(RequestError, match="slurs lead from 1:1, 2:1"):
        move_at("1:2", WALTZ)


def test_a_half_valve_helps_lip_slurs_only() -> None:
    valves = study("(Bb3 C4) r/2")
    with pytest.raises(RequestError, match="half-valve helps a lip slur on valves only"):
        tried_at(valves, 0, technique=Technique.HALF_VALVE, chances=CHANCES)
    assert tried_at(study("(F3 Bb3) r/2"), 0, technique=Technique.HALF_VALVE, chances=CHANCES)


def test_every_fault_is_told_at_once() -> None:
    late = replace(LOGGING, played_on=date(2026, 11, 29))
    with pytest.raises(RequestError) as refused:
        ear_attempts(WALTZ, "9:1", ["fine"], logging=late, chances=CHANCES, today=TODAY)
    assert [fault.problem for fault in refused.value.faults] == [
        "no note stands there",
        "not what an ear can say of a slur",
        "this day is still to come",
    ]


def test_a_place_within_a_beat_is_labelled_as_it_is_typed() -> None:
    offbeat = study("r/1/2 (F3/1/2 Bb3) r/2")
    label = label_at(offbeat, offbeat.line.moves[0].source)
    assert label == "1:1.5"
    assert move_at(label, offbeat) == 0
