"""The grade of a slur follows the order in which a gap is heard, and falls with every fault."""

import math
from collections.abc import Mapping
from dataclasses import astuple, fields, replace
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from slurwright.devices.packaged import load_listening
from slurwright.listen.figure import Figure, Hidden, Veil
from slurwright.listen.measures import Reason
from slurwright.listen.quality import Faults, quality_of

LIMITS = load_listening()
NONE = Figure(0.0, 0.0, 0.0)
GOOD = Faults(NONE, NONE, Figure(30.0, 20.0, 40.0), NONE, NONE)
LARGEST = {
    "silence_ms": 200.0,
    "dip_db": 40.0,
    "time_ms": 500.0,
    "scoop_cents": 300.0,
    "overshoot_cents": 300.0,
    "foreign_ms": 200.0,
    "tongue": 1.0,
    "fell_back": 1.0,
}
REASON_OF = dict(
    zip(
        ("silence_ms", "dip_db", "tongue", "foreign_ms", "fell_back", "time_ms", "scoop_cents", "overshoot_cents"),
        Reason,
        strict=False,
    )
)


def exact(value: float) -> Figure:
    return Figure(value, value, value)


def graded(faults: Faults) -> Figure:
    value = quality_of(faults, LIMITS).value
    assert isinstance(value, Figure)
    return value


def faults_of(figures: Mapping[str, float]) -> Faults:
    changes: dict[str, Any] = {name: exact(value) for name, value in figures.items()}
    return replace(GOOD, **changes)


some_faults = st.fixed_dictionaries({name: st.floats(0.0, largest) for name, largest in LARGEST.items()})


def test_a_good_slur_is_without_fault() -> None:
    quality = quality_of(GOOD, LIMITS)
    assert quality.value == Figure(1.0, 1.0, 1.0)
    assert quality.reasons == ()


@settings(max_examples=60)
@given(figures=some_faults, name=st.sampled_from(sorted(LARGEST)), share=st.floats(0.0, 1.0))
def test_quality_never_rises_as_a_figure_worsens(figures: dict[str, float], name: str, share: float) -> None:
    worse = figures | {name: figures[name] + share * (LARGEST[name] - figures[name])}
    assert graded(faults_of(worse)).value <= graded(faults_of(figures)).value


@settings(max_examples=60)
@given(
    figures=some_faults, name=st.sampled_from(sorted(LARGEST)), below=st.floats(0.0, 1.0), above=st.floats(0.0, 1.0)
)
def test_the_interval_holds_the_grade_and_grows_with_the_figures_own(
    figures: dict[str, float], name: str, below: float, above: float
) -> None:
    value = figures[name]
    unsure: dict[str, Any] = {}
    unsure[name] = Figure(value, value * (1.0 - below), value + above * (LARGEST[name] - value))
    sure, wide = graded(faults_of(figures)), graded(replace(faults_of(figures), **unsure))
    assert 0.0 <= wide.low <= sure.low + 1e-12
    assert sure.high - 1e-12 <= wide.high <= 1.0
    assert wide.value == pytest.approx(sure.value)


@pytest.mark.parametrize("name", sorted(LARGEST))
def test_each_fault_spoils_a_slur_and_is_named(name: str) -> None:
    quality = quality_of(faults_of({name: LARGEST[name]}), LIMITS)
    assert quality.reasons == (REASON_OF[name],)
    assert isinstance(quality.value, Figure)
    assert quality.value.value < 0.6


def test_losses_stand_in_the_order_in_which_they_are_heard() -> None:
    assert [field.name for field in fields(LIMITS.losses)] == [reason.name.lower() for reason in Reason]
    losses = astuple(LIMITS.losses)
    assert sorted(losses, reverse=True) == list(losses)
    assert len(set(losses)) == len(losses)


def test_the_heaviest_is_named_first() -> None:
    both = faults_of({"overshoot_cents": 200.0, "silence_ms": 20.0, "dip_db": 19.0})
    assert quality_of(both, LIMITS).reasons == (Reason.ABRUPT, Reason.SILENCE, Reason.OVERSHOOT)


def test_losses_add_up() -> None:
    names = ("silence_ms", "scoop_cents")
    apart = math.prod(graded(faults_of({name: LARGEST[name]})).value for name in names)
    assert graded(faults_of({name: LARGEST[name] for name in names})).value == pytest.approx(apart)


def test_a_wrong_landing_is_named() -> None:
    assert quality_of(replace(GOOD, wrong_note=True), LIMITS).reasons == (Reason.WRONG_NOTE,)


def test_a_hidden_figure_widens_the_grade_downwards() -> None:
    room = Hidden(Veil.ROOM)
    grade = graded(replace(GOOD, silence_ms=room))
    assert (grade.value, grade.high) == (1.0, 1.0)
    assert grade.low < 0.3
    little = graded(replace(GOOD, overshoot_cents=room))
    assert grade.low < little.low < 1.0


def test_where_most_is_hidden_there_is_no_grade() -> None:
    room = Hidden(Veil.ROOM)
    assert quality_of(replace(GOOD, silence_ms=room, dip_db=room, foreign_ms=room), LIMITS).value == room
