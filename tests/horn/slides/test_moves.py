"""Kick slides and hand slides: how far, how much, and what the travel leaves."""

from dataclasses import replace

import pytest

from slurwright.devices.packaged import load_horn
from slurwright.errors import FingeringError
from slurwright.horn import MovableSlide, Reach, settings_near
from slurwright.horn.slides.moves import hand_slide, kicks

TRUMPET = load_horn("trumpet-b", tuning="exact")
TROMBONE = load_horn("trombone")


def test_third_slide_kick_derived_for_one_three() -> None:
    (first, third) = sorted(kicks(TRUMPET, "1-3", cents=30.3), key=lambda kick: kick.name)
    assert third.drawn_mm == pytest.approx(17.1, abs=0.1)
    assert third.left_cents == pytest.approx(0.0, abs=1e-9)
    assert first.drawn_mm == pytest.approx(third.drawn_mm), "either slide adds the same tube"


def test_a_kick_ends_where_the_slide_ends() -> None:
    short = replace(TRUMPET, slides=(MovableSlide("valve 3", 0.020, 0.0, 0.001, kick=True),))
    (kick,) = kicks(short, "1-2-3", cents=53.6)
    assert kick.drawn_mm == pytest.approx(20.0)
    assert 15 < kick.left_cents < 25
    (already,) = kicks(short, "1-2-3", cents=20.0, set_mm={"valve 3": 20.0})
    assert already.drawn_mm == pytest.approx(0.0)
    assert already.left_cents == pytest.approx(20.0)


def test_a_flat_note_brings_the_slide_in_no_further_than_home() -> None:
    (kick,) = kicks(replace(TRUMPET, slides=TRUMPET.slides[1:2]), "1", cents=-20.0, set_mm={"valve 1": 4.0})
    assert kick.drawn_mm == pytest.approx(-4.0)
    assert kick.left_cents < 0


def test_slides_that_the_air_does_not_pass_are_no_help() -> None:
    assert kicks(TRUMPET, "0", cents=10.0) == ()
    assert {kick.name for kick in kicks(TRUMPET, "2-3", cents=10.0)} <= {"valve 3"}
    with pytest.raises(FingeringError):
        kicks(TRUMPET, "4", cents=10.0)


@pytest.mark.parametrize(("position", "cents"), [(1, 11.7), (7, 8.3)])
def test_cents_of_a_centimetre_derived(position: int, cents: float) -> None:
    setting = next(one for one in TROMBONE.settings if one.fingering == str(position))
    assert hand_slide(TROMBONE, setting, cents=0.0).cents_each_cm == pytest.approx(cents, abs=0.06)


@pytest.mark.parametrize(("position", "centimetres"), [(2, 2.8), (3, 3.0)])
def test_seventh_partial_derived_brings_the_slide_in(position: int, centimetres: float) -> None:
    setting = next(one for one in TROMBONE.settings if one.fingering == str(position))
    move = hand_slide(TROMBONE, setting, cents=-31.2)
    assert move.drawn_cm == pytest.approx(-centimetres, abs=0.06)
    assert move.left_cents == pytest.approx(0.0, abs=1e-9)


def test_a_closed_slide_cannot_go_in() -> None:
    setting = next(one for one in TROMBONE.settings if one.fingering == "1")
    move = hand_slide(TROMBONE, setting, cents=-13.7)
    assert move.drawn_cm == pytest.approx(0.0)
    assert move.left_cents == pytest.approx(-13.7)


def test_where_the_horn_places_the_slide_nothing_is_left_to_move() -> None:
    for found in settings_near(TROMBONE, 60, Reach()):
        if not found.at_slide_end:
            assert hand_slide(TROMBONE, found.setting, cents=found.cents).drawn_cm == pytest.approx(0.0, abs=1e-6)


def test_valves_have_no_hand_slide() -> None:
    with pytest.raises(FingeringError, match="no hand slide"):
        hand_slide(TRUMPET, TRUMPET.settings[0], cents=5.0)
