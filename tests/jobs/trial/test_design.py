"""What is compared, and under which conditions, follows from the part and the player's words."""

from pathlib import Path
from typing import Any

import pytest

from slurwright.devices.packaged import demo_part, load_chances, load_horn, load_trial_rules
from slurwright.errors import RequestError
from slurwright.evidence.trial.values import TrialDesign
from slurwright.jobs.study import StudyRequest
from slurwright.jobs.trial.arms import offered
from slurwright.jobs.trial.design import TrialWish, design_trial, normal_pins, said_of_slur
from slurwright.jobs.tried import move_at
from slurwright.plan import Technique
from slurwright.plan.study import Study
from slurwright.wiring.part import study_score


def studied(*pins: str, horn: str = "euphonium-4c", dynamic: str | None = "pp") -> Study:
    name, data = demo_part()
    request = StudyRequest(risk_limit=0.0, dynamic=dynamic, best=1, pins=pins)
    return study_score(data, Path(name).name, load_horn(horn), request).study


def laid_down(study: Study, where: str, *chosen: str, **wish: Any) -> TrialDesign:
    return design_trial(
        study,
        move_at(where, study),
        TrialWish(chosen=chosen, dynamic="pp", **wish),
        file="lanterns.musicxml",
        rules=load_trial_rules(),
        chances=load_chances(),
    )


STUDY = studied()


def test_what_promises_most_is_set_against_the_slur_as_it_stands() -> None:
    design = laid_down(STUDY, "3:1")
    best = min(offered(STUDY, move_at("3:1", STUDY))[1:], key=lambda choice: choice.break_risk)
    assert [arm.name for arm in design.arms] == ["as it stands", best.name]
    assert design.arms[1].chance == pytest.approx(1.0 - best.break_risk)
    assert design.arms[0].chance < design.arms[1].chance
    assert not design.arms[0].learnt
    assert (design.mark, design.dynamic, design.label) == ("pp", -3.0, "3:1")
    assert design.time_s == STUDY.line.moves[move_at("3:1", STUDY)].time_s


@pytest.mark.parametrize(
    ("word", "fingerings", "technique"),
    [
        ("4", ("4", "0"), Technique.PLAIN),
        ("4 on F3", ("4", "0"), Technique.PLAIN),
        ("legato tongue", ("0", "0"), Technique.LEGATO_TONGUE),
        ("half-valve", ("0", "0"), Technique.HALF_VALVE),
        ("F3=1-3", ("1-3", "0"), Technique.PLAIN),
        ("3:1=1-2-3,Bb3=2-3", ("1-2-3", "2-3"), Technique.PLAIN),
    ],
)
def test_words_for_arms(word: str, fingerings: tuple[str, str], technique: Technique) -> None:
    arm = laid_down(STUDY, "3:1", word).arms[1]
    assert tuple(way.fingering for way in arm.ways) == fingerings
    assert arm.technique is technique
    assert 0.0 < arm.chance < 1.0


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("growl",), "no such choice"),
        (("99",), "no such choice"),
        (("F3=2",), "cannot sound F3"),
        (("G3=1-2",), "of no note of the slur"),
        (("1-3",), "no such choice"),
        (("4 on F3", "F3=4"), "compared already"),
        (("plain",), "compared already"),
        (("2", "3", "4", "5"), "too many to compare"),
        (("growl", "F3=2"), "no such choice.*\n.*cannot sound"),
    ],
)
def test_arms_that_cannot_be(words: tuple[str, ...], said: str) -> None:
    with pytest.raises(RequestError, match=said):
        laid_down(STUDY, "3:1", *words)


def test_no_half_valve_is_offered_on_a_slide() -> None:
    for study, there in ((STUDY, True), (studied(horn="trombone-f"), False)):
        with pytest.raises(RequestError, match="no such choice") as told:
            laid_down(study, "3:1", "growl")
        assert ("half-valve" in str(told.value)) is there


def test_a_half_valve_needs_a_lip_slur() -> None:
    where = next(
        word
        for word in ("1:3", "2:1", "3:3", "6:1")
        if offered(STUDY, move_at(word, STUDY))[0].ways[0].fingering
        != offered(STUDY, move_at(word, STUDY))[0].ways[1].fingering
    )
    with pytest.raises(RequestError, match="cannot be played so"):
        laid_down(STUDY, where, "half-valve")


def test_a_slur_that_nothing_helps_has_nothing_to_compare() -> None:
    with pytest.raises(RequestError, match="nothing is known to help"):
        laid_down(STUDY, "1:3")
    assert laid_down(STUDY, "1:3", "legato-tongue").arms[1].technique is Technique.LEGATO_TONGUE


def test_a_slur_that_is_not_weak_is_said_to_be_so() -> None:
    assert said_of_slur(STUDY, move_at("3:1", STUDY), chances=load_chances()) == ()
    (words,) = said_of_slur(STUDY, move_at("1:3", STUDY), chances=load_chances())
    assert "not weak" in words


def test_the_first_arm_is_on_the_normal_fingering_even_where_the_plan_leaves_it() -> None:
    pinned = studied("3:1=4")
    move = move_at("3:1", pinned)
    assert normal_pins(pinned, move, ()) == ("3:1=0",)
    assert normal_pins(pinned, move, ("3:1=4",)) == ()
    assert normal_pins(STUDY, move, ()) == ()


def test_other_rules_if_the_player_says_so() -> None:
    rules = laid_down(STUDY, "3:1", worth_chance=0.1, most_blocks=12, worth_cents=3.0).rules
    assert (rules.worth_chance, rules.most_blocks, rules.worth_cents) == (0.1, 12, 3.0)
    with pytest.raises(RequestError, match="so few blocks"):
        laid_down(STUDY, "3:1", most_blocks=2)


def test_on_a_slide_the_tongue_is_the_usual_way_on_one_partial() -> None:
    study = studied(horn="trombone")
    move = next(
        report.move for report in study.reports if study.plan.techniques[report.move] is Technique.LEGATO_TONGUE
    )
    sound = study.line.sounds[study.line.moves[move].source]
    note = study.part.notes[sound.notes[0]]
    where = f"{study.part.measure_of(note).number}:{study.part.beat_of(note)}"
    design = laid_down(study, where, "plain")
    assert [arm.technique for arm in design.arms] == [Technique.LEGATO_TONGUE, Technique.PLAIN]
