"""Horns made from descriptions, and what is known of single ways."""

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from slurwright.devices.packaged import horn_ids, load_horn
from slurwright.errors import FingeringError, HornError
from slurwright.horn import HornKind, HornPlan, MovableSlide, build_horn, fingerings_of, with_tendencies
from slurwright.horn.build import AlternateRule
from slurwright.horn.normal import NormalRule
from slurwright.horn.resonances import resonance_cents
from slurwright.horn.tubing import Tubing, Valve
from slurwright.pitch import SoundingPitch

PLAN = HornPlan(
    id="field-horn",
    name="Field horn of the test",
    kind=HornKind.VALVES,
    open_pitch=SoundingPitch.named("G2"),
    air_m_s=345.0,
    tubing=Tubing((Valve("1", 2), Valve("2", 1))),
    rule=NormalRule(),
    readings=(),
    comfortable=(SoundingPitch.named("G3"), SoundingPitch.named("G4")),
    possible=(SoundingPitch.named("E3"), SoundingPitch.named("B4")),
    tuning="exact",
)


def test_two_valves_leave_the_gaps_that_two_valves_leave() -> None:
    horn = build_horn(PLAN)
    assert [str(SoundingPitch.from_midi(midi)) for midi in horn.gaps] == ["Ab3", "A3", "Bb3", "Eb4"]
    assert horn.normal[SoundingPitch.named("B3").midi] == ("1-2", 3)


@pytest.mark.parametrize(
    ("changed", "message"),
    [
        (replace(PLAN, rule=NormalRule(listed={60: ("3", 3)})), "lacks"),
        (replace(PLAN, rule=NormalRule(listed={60: ("0", 3)})), "another note"),
        (replace(PLAN, alternates=AlternateRule(listed={60: (("1", 5),)})), "another note"),
        (replace(PLAN, slides=(MovableSlide("valve 3", out_m=0.02, in_m=0.0, step_m=0.001),)), "valve 3"),
    ],
)
def test_a_description_that_contradicts_itself_is_refused(changed: HornPlan, message: str) -> None:
    with pytest.raises(HornError, match=message):
        build_horn(changed)


def test_tendencies_of_unknown_fingerings_are_refused_with_the_list() -> None:
    with pytest.raises(FingeringError, match="1-2-3-4") as caught:
        with_tendencies(load_horn("euphonium-4c"), {("5", 3): 4.0})
    assert "'5'" in str(caught.value)


def test_tendencies_add_up_in_one_horn_and_leave_the_other_alone() -> None:
    horn = load_horn("euphonium-4c")
    first = with_tendencies(horn, {("0", 5): -6.0, ("0", 6): 8.0})
    second = with_tendencies(first, {("0", 6): 5.0}, spreads={("0", 6): 3.0})
    assert horn.tendencies == {}
    assert second.tendencies == {("0", 5): -6.0, ("0", 6): 5.0}
    assert second.spreads == {("0", 6): 3.0}


def test_unknown_fingerings_in_spreads_are_refused_too() -> None:
    with pytest.raises(FingeringError):
        with_tendencies(load_horn("trumpet-b"), {}, spreads={("4", 3): 4.0})


@pytest.mark.parametrize("horn_id", horn_ids())
def test_alternates_are_ways_of_their_note(horn_id: str) -> None:
    horn = load_horn(horn_id)
    ratios = {setting.fingering: setting.exact_ratio for setting in horn.settings}
    for midi, ways in horn.alternates.items():
        assert midi in horn.normal
        for fingering, partial in ways:
            assert abs(resonance_cents(horn, ratios[fingering], partial=partial, midi=midi)) < 100.0
            assert (fingering, partial) != horn.normal[midi]


@given(st.sampled_from(horn_ids()))
@settings(max_examples=len(horn_ids()), deadline=None)
def test_fingerings_are_those_of_the_settings(horn_id: str) -> None:
    horn = load_horn(horn_id)
    assert fingerings_of(horn) == tuple(setting.fingering for setting in horn.settings)
