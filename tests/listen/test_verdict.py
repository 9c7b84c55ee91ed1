"""Traits are weighed into chances that make sense to a listener."""

from dataclasses import replace

from hypothesis import given, settings
from hypothesis import strategies as st

from slurwright.devices.packaged import load_listening
from slurwright.listen.measures import SlurOutcome
from slurwright.listen.splits import Candidate, FallTraits, Split, SplitTraits
from slurwright.listen.tongue import TouchTraits
from slurwright.listen.verdict import chances_of, foreign_of, outcome_of

LIMITS = load_listening()
SMOOTH = TouchTraits(level_db=2.0, level_ms=0.0, total_db=2.0, notch_db=2.0, fall_db_ms=0.15, rise_db_ms=0.2)
WHOLE = Split(None, SplitTraits(), FallTraits())
SURE = Split(Candidate(300.0, 5), SplitTraits(2.5, 0.8, 0.9, 110.0), FallTraits())


def test_a_smooth_change_is_clean() -> None:
    outcome, chance = outcome_of(chances_of(WHOLE, SMOOTH, LIMITS), wrong=False)
    assert outcome is SlurOutcome.CLEAN
    assert chance > 0.9


def test_a_third_note_breaks_a_slur_and_is_named() -> None:
    chances = chances_of(SURE, SMOOTH, LIMITS)
    foreign = foreign_of(SURE, chances)
    assert foreign is not None
    assert foreign.partial == 5
    assert foreign.length_ms.low < 110.0 < foreign.length_ms.high
    assert outcome_of(chances, wrong=False)[0] is SlurOutcome.BROKE


def test_a_return_of_the_first_note_breaks_a_slur() -> None:
    split = Split(None, SplitTraits(), FallTraits(turn_db=8.0, return_ms=100.0))
    assert outcome_of(chances_of(split, SMOOTH, LIMITS), wrong=False)[0] is SlurOutcome.BROKE


def test_noise_after_a_notch_is_a_tongue() -> None:
    touched = replace(SMOOTH, level_db=8.0, level_ms=25.0, total_db=8.0, notch_db=14.0, hiss_db=6.0, puff_db=2.5)
    assert outcome_of(chances_of(WHOLE, touched, LIMITS), wrong=False)[0] is SlurOutcome.TONGUED


def test_a_long_hole_with_a_sudden_start_is_a_break() -> None:
    hole = replace(SMOOTH, level_db=30.0, level_ms=90.0, total_db=30.0, fall_db_ms=1.5, rise_db_ms=2.5)
    assert outcome_of(chances_of(WHOLE, hole, LIMITS), wrong=False)[0] is SlurOutcome.BROKE


def test_a_wrong_landing_is_what_is_told() -> None:
    assert outcome_of(chances_of(SURE, SMOOTH, LIMITS), wrong=True)[0] is SlurOutcome.WRONG_NOTE


@settings(max_examples=50)
@given(st.floats(0.0, 300.0), st.floats(0.0, 100.0), st.floats(0.0, 1.0), st.floats(0.0, 0.5))
def test_more_of_a_third_note_makes_it_likelier(length: float, longer: float, explained: float, more: float) -> None:
    less = replace(SURE, traits=SplitTraits(1.0, explained, 0.8, length))
    greater = replace(SURE, traits=SplitTraits(1.0, explained + more, 0.8, length + longer))
    assert chances_of(less, SMOOTH, LIMITS).third <= chances_of(greater, SMOOTH, LIMITS).third


@settings(max_examples=50)
@given(
    st.builds(
        TouchTraits,
        **{name: st.floats(-5.0, 60.0) for name in ("level_db", "total_db", "notch_db", "hiss_db", "puff_db")},
    ),
    st.booleans(),
)
def test_chances_stay_chances(touch: TouchTraits, split: bool) -> None:
    chances = chances_of(SURE if split else WHOLE, touch, LIMITS)
    for chance in (chances.third, chances.tongued, chances.broke_off, chances.whole, chances.broke):
        assert 0.0 <= chance <= 1.0
    assert chances.tongued + chances.broke_off <= 1.0
