"""Trials in plain sentences: what is better, by how much, how sure; and when nothing is gained."""

import re
from datetime import UTC, datetime

import pytest

from builders.trials import trial_of, tries_that
from slurwright.evidence.kept import KeptTrial, TrialAbout
from slurwright.evidence.trial.values import Answer, Aspect, Compared, TrialDesign
from slurwright.evidence.trial.verdict import standing_of
from slurwright.formats.trial_json import design_to_json
from slurwright.jobs.trial.running import RunningTrial
from slurwright.jobs.trial.words import (
    arm_said,
    play_lines,
    provenance_words,
    rest_words,
    sentence_of,
    slur_said,
    state_words,
)

GOOD, BAD = 0.95, 0.03
NOON = datetime(2026, 3, 2, 12, tzinfo=UTC)


def compared(design: TrialDesign, *went: list[float], aspect: Aspect = Aspect.SPEAKING, **more: object) -> Compared:
    standing = standing_of(design, tries_that(*went, **more))  # type: ignore[arg-type]
    return next(one for one in standing.compared if one.aspect is aspect)


def test_better() -> None:
    design = trial_of()
    said = sentence_of(design, compared(design, [GOOD, BAD] * 8, [GOOD] * 16))
    assert re.fullmatch(
        r"4 on F3 speaks more often than 0 on F3: \d\d against \d\d in 100 \(difference \d+ to \d+\); "
        r"(\d\d|more than 99) in 100 that it is the better choice\.",
        said,
    )


def test_no_difference() -> None:
    design, went = trial_of(), [GOOD, GOOD, GOOD, BAD] * 7
    said = sentence_of(design, compared(design, went, went[::-1]))
    assert said.startswith("No difference worth having (5 in 100): ")
    assert "(difference −" in said
    assert said.endswith("Stay with the slur as it stands (0 to 0).")


def test_nothing_gained_where_the_other_is_worse() -> None:
    design = trial_of()
    one = compared(design, [GOOD, GOOD, BAD] * 3, [BAD, BAD, GOOD] * 3)
    assert one.answer is Answer.NO_GAIN
    assert sentence_of(design, one).startswith("Nothing gained by a change (5 in 100): 0 on F3 ")


def test_not_told_yet_and_never_told() -> None:
    design = trial_of()
    said = sentence_of(design, compared(design, [GOOD], [BAD]))
    assert said.startswith("Not told yet: ")
    assert "Stay" not in said
    short = trial_of(most_blocks=6)
    said = sentence_of(short, compared(short, [GOOD, BAD] * 3, [GOOD, GOOD, BAD] * 2))
    assert said.startswith("Not told apart in 6 blocks: ")
    assert "Stay with the slur as it stands" in said


def test_smoothness_and_cents_have_units_of_their_own() -> None:
    design = trial_of()
    more = {"quality": ([0.4] * 12, [0.9] * 12), "cents": ([1.0] * 12, [25.0] * 12)}
    smooth = sentence_of(design, compared(design, [GOOD] * 12, [GOOD] * 12, aspect=Aspect.SMOOTHNESS, **more))
    assert re.match(r"4 on F3 is smoother than 0 on F3: 0\.\d\d against 0\.\d\d of 1 \(difference 0\.", smooth)
    tuning = sentence_of(design, compared(design, [GOOD] * 12, [GOOD] * 12, aspect=Aspect.TUNING, **more))
    assert re.match(r"0 on F3 is nearer in tune than 4 on F3: \d against \d\d cents out \(difference \d+ to", tuning)
    assert "Stay" not in tuning


def test_chances_that_are_no_certainty_are_not_said_to_be_one() -> None:
    design = trial_of()
    assert "more than 99 in 100" in sentence_of(design, compared(design, [BAD] * 25, [GOOD] * 25))


@pytest.mark.parametrize(
    ("arm", "beside", "said"),
    [(1, 0, "4 on F3"), (0, 1, "0 on F3"), (2, 0, "the legato tongue"), (0, 2, "the plain slur")],
)
def test_an_arm_is_named_by_what_sets_it_apart(arm: int, beside: int, said: str) -> None:
    assert arm_said(trial_of(4), arm, beside=beside) == said


def test_both_may_set_it_apart() -> None:
    assert arm_said(trial_of(4), 2, beside=1) == "0 on F3 with the legato tongue"


def test_what_to_play_and_when_to_rest() -> None:
    design = trial_of(3)
    running = running_trial(design)
    lines = play_lines(design, running.ahead)
    assert [line.number for line in lines] == list(range(1, 10))
    assert {line.said for line in lines} == {
        "0 on F3, 0 on Bb3",
        "4 on F3, 0 on Bb3",
        "0 on F3, 0 on Bb3, legato tongue",
    }
    assert "at least as long as you played" in rest_words(design)[1]
    assert slur_said(design) == "F3 to Bb3"
    assert "A 83 in 100 (prior)" in provenance_words(design)[0]


def running_trial(design: TrialDesign, *went: list[float], ended: bool = False) -> RunningTrial:
    about = TrialAbout("p", "h", "euphonium-4c", design_to_json(design), 1)
    kept = KeptTrial("abcdef0123", about, NOON, NOON, NOON if ended else None)
    return RunningTrial(kept, design, standing_of(design, tries_that(*went)), (), ())


def test_states() -> None:
    went = [GOOD, GOOD, GOOD, BAD] * 7
    assert state_words(running_trial(trial_of())) == "going on: 0 of at most 30 blocks"
    assert state_words(running_trial(trial_of(), ended=True)) == "ended on 2026-03-02"
    said = state_words(running_trial(trial_of(), [GOOD, BAD] * 8, [GOOD] * 16))
    assert said == "answered after 16 blocks: 4 on F3 is better"
    said = state_words(running_trial(trial_of(), went, went[::-1]))
    assert said == "answered after 28 blocks: no difference worth having"
    said = state_words(running_trial(trial_of(most_blocks=6), [GOOD, BAD] * 3, [GOOD, GOOD, BAD] * 2))
    assert said == "6 blocks played, not told apart"
