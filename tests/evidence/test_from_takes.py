"""What takes and ears say becomes attempts."""

from dataclasses import replace
from datetime import UTC, date, datetime

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from builders.kept_takes import BB3, F3, figure
from builders.tried import BELIEFS, slur
from slurwright.evidence.attempts import Became, Ear, Source
from slurwright.evidence.from_takes import attempt_of_log, attempts_of_takes
from slurwright.evidence.kept import EarAttempt, LoggedAttempt
from slurwright.listen.kept import KeptSlur, PlayedSlur, TakenPart
from slurwright.listen.measures import SlurMeasure, SlurOutcome, SlurPath
from slurwright.plan import Technique

DAY = date(2026, 1, 9)


def measured(outcome: SlurOutcome, chance: float) -> SlurMeasure:
    zero = figure(0.0)
    return SlurMeasure(
        0, 1, zero, zero, zero, zero, zero, zero, SlurPath.DIRECT, None, outcome, chance, figure(0.8, 0.1), ()
    )


def played(
    outcome: SlurOutcome = SlurOutcome.CLEAN,
    chance: float = 0.9,
    *,
    technique: str = "plain",
    dynamic: float = -1.0,
    levels_db: tuple[float, float] | None = None,
    take: str = "one",
    hold_s: float | None = 0.8,
) -> PlayedSlur:
    kept = KeptSlur((3, 4), "2:1", (F3, BB3), technique, dynamic, 96.0, 0.6, measured(outcome, chance), hold_s)
    return PlayedSlur(take, "mine", DAY, kept, levels_db)


@pytest.mark.parametrize(
    ("asked", "heard", "technique", "became", "spoke"),
    [
        ("plain", SlurOutcome.CLEAN, Technique.PLAIN, Became.SPOKE, 0.9),
        ("plain", SlurOutcome.TONGUED, Technique.LEGATO_TONGUE, Became.SPOKE, 0.9),
        ("plain", SlurOutcome.BROKE, Technique.PLAIN, Became.BROKE, 0.1),
        ("plain", SlurOutcome.WRONG_NOTE, Technique.PLAIN, Became.WRONG_NOTE, 0.1),
        ("legato-tongue", SlurOutcome.CLEAN, Technique.LEGATO_TONGUE, Became.SPOKE, 0.9),
        ("legato-tongue", SlurOutcome.TONGUED, Technique.LEGATO_TONGUE, Became.SPOKE, 0.9),
        ("half-valve", SlurOutcome.TONGUED, Technique.HALF_VALVE, Became.SPOKE, 0.9),
        ("half-valve", SlurOutcome.BROKE, Technique.HALF_VALVE, Became.BROKE, 0.1),
    ],
)
def test_what_was_heard_becomes_an_attempt(
    asked: str, heard: SlurOutcome, technique: Technique, became: Became, spoke: float
) -> None:
    (attempt,) = attempts_of_takes([played(heard, technique=asked)], beliefs=BELIEFS)
    assert (attempt.tried.technique, attempt.became) == (technique, became)
    assert attempt.spoke == pytest.approx(spoke)
    assert (attempt.horn, attempt.played_on, attempt.take_id, attempt.label) == ("mine", DAY, "one", "2:1")
    assert (attempt.tried.ways, attempt.tried.time_s, attempt.tried.hold_s) == ((F3, BB3), 0.6, 0.8)
    assert attempt.source is Source.TAKE
    assert attempt.quality == figure(0.8, 0.1)


@pytest.mark.parametrize("heard", SlurOutcome)
def test_a_verdict_that_is_not_told_teaches_nothing(heard: SlurOutcome) -> None:
    (attempt,) = attempts_of_takes([played(heard, 0.4)], beliefs=BELIEFS)
    assert attempt.spoke == 0.5


def test_an_old_take_that_does_not_say_how_long_is_taken_for_even_notes() -> None:
    (attempt,) = attempts_of_takes([played(hold_s=None)], beliefs=BELIEFS)
    assert attempt.tried.hold_s == attempt.tried.time_s


def test_a_slur_that_stands_out_of_its_take_was_played_louder() -> None:
    step = BELIEFS.played.step_db
    slurs = [played(dynamic=0.0, levels_db=(-20.0, -20.0)) for _ in range(4)]
    slurs += [played(dynamic=-2.0, levels_db=(-20.0 - 2 * step, -20.0 - 2 * step)), played(dynamic=1.0)]
    slurs.append(played(dynamic=-2.0, levels_db=(-20.0, -20.0)))
    dynamics = [attempt.tried.dynamic for attempt in attempts_of_takes(slurs, beliefs=BELIEFS)]
    assert dynamics[:6] == [0.0] * 4 + [-2.0, 1.0]
    assert dynamics[6] == pytest.approx(-2.0 + 2.0 * BELIEFS.played.trusted)
    far = replace(slurs[-1], levels_db=(60.0, 60.0))
    assert (
        attempts_of_takes([*slurs[:-1], far], beliefs=BELIEFS)[-1].tried.dynamic == -2.0 + BELIEFS.played.most_steps
    )


@settings(max_examples=30)
@given(
    st.lists(st.tuples(st.floats(-4, 2), st.floats(-60, -5)), min_size=1, max_size=8),
    st.floats(-30, 30),
)
def test_how_far_the_microphone_stood_does_not_matter(notes: list[tuple[float, float]], louder: float) -> None:
    near = [played(dynamic=dynamic, levels_db=(level, level)) for dynamic, level in notes]
    far = [
        replace(one, levels_db=(level + louder, level + louder)) for one, (_, level) in zip(near, notes, strict=True)
    ]
    one, two = (attempts_of_takes(slurs, beliefs=BELIEFS) for slurs in (near, far))
    for before, after in zip(one, two, strict=True):
        assert before.tried.dynamic == pytest.approx(after.tried.dynamic, abs=1e-9)


def test_takes_are_told_apart() -> None:
    one = [played(levels_db=(-20.0, -20.0)), played(levels_db=(-20.0, -20.0))]
    two = [played(levels_db=(-40.0, -40.0), take="two")]
    assert {attempt.tried.dynamic for attempt in attempts_of_takes(one + two, beliefs=BELIEFS)} == {-1.0}


@pytest.mark.parametrize(
    ("heard", "became"), [(Ear.GOOD, Became.SPOKE), (Ear.ROUGH, Became.BROKE), (Ear.MISSED, Became.BROKE)]
)
def test_what_is_logged_by_ear_becomes_an_attempt(heard: Ear, became: Became) -> None:
    part = TakenPart("waltz.musicxml", "00ff")
    about = EarAttempt("p", None, "euphonium-4c", part, "2:1", slur("F3", "Bb3"), heard, DAY, "trial")
    kept = LoggedAttempt("id", about, datetime(2026, 1, 9, tzinfo=UTC))
    attempt = attempt_of_log(kept, beliefs=BELIEFS)
    assert (attempt.became, attempt.source, attempt.quality) == (became, Source.EAR, None)
    assert (attempt.horn, attempt.fingerprint, attempt.trial_id) == ("euphonium-4c", "00ff", "trial")
    own = replace(kept, about=replace(about, horn_id="mine", part=None))
    assert (attempt_of_log(own, beliefs=BELIEFS).horn, attempt_of_log(own, beliefs=BELIEFS).fingerprint) == (
        "mine",
        "",
    )


def test_an_ear_says_good_rough_or_missed_in_that_order() -> None:
    ear = BELIEFS.ear
    assert ear.missed < ear.rough < 0.5 < ear.good
