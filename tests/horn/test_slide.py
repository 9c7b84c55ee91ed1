"""Hand slides: derived places of the positions, and what a slide can and cannot tune."""

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from builders.cents import assert_cents
from builders.references import reference
from slurwright.devices.packaged import load_horn
from slurwright.horn import Horn, Reach, Resonance, settings_near, with_tendencies
from slurwright.horn.slide import extension_m, position_of
from slurwright.pitch import SoundingPitch, cents_of_ratio

SLIDE = reference("derived-lengths", "figures")["slide"]
LENGTH_M = SLIDE["open_length_m"]
F_SIDE_M = LENGTH_M * 2.0 ** (5.0 / 12.0)
ALL = Reach(sharp_cents=199.0, flat_cents=199.0)


def found(horn: Horn, name: str, label: str, partial: int, reach: Reach = ALL) -> Resonance:
    midi = SoundingPitch.named(name).midi
    return next(
        one for one in settings_near(horn, midi, reach) if (one.setting.fingering, one.partial) == (label, partial)
    )


def test_places_of_the_positions_derived() -> None:
    for position, place_cm in enumerate(SLIDE["positions_cm"], start=1):
        assert 100.0 * extension_m(position, LENGTH_M) == pytest.approx(place_cm, abs=0.06)


def test_places_on_the_f_side_derived() -> None:
    for position, place_cm in enumerate(SLIDE["f_side_cm"], start=1):
        assert 100.0 * extension_m(position, F_SIDE_M) == pytest.approx(place_cm, abs=0.06)
    for own, first_side in enumerate(SLIDE["f_side_positions"], start=1):
        place_m = extension_m(own, F_SIDE_M)
        assert position_of(place_m, LENGTH_M) == pytest.approx(first_side, abs=0.006)


def test_what_a_centimetre_does_derived() -> None:
    for position, cents in ((1, SLIDE["cents_per_cm_in_first"]), (7, SLIDE["cents_per_cm_in_seventh"])):
        tube_m = LENGTH_M + 2.0 * extension_m(position, LENGTH_M)
        assert_cents(cents_of_ratio((tube_m + 0.02) / tube_m), cents, within=0.06)


def test_seventh_partial_is_raised_derived() -> None:
    horn = load_horn("trombone")
    for name, label, moved_cm in (
        ("G4", "2", SLIDE["seventh_partial_in_second_cm"]),
        ("F#4", "3", SLIDE["seventh_partial_in_third_cm"]),
    ):
        raised = found(horn, name, label, 7)
        whole = next(setting for setting in horn.settings if setting.fingering == label)
        assert 100.0 * (whole.slide_m - raised.setting.slide_m) == pytest.approx(moved_cm, abs=0.06)
        assert raised.cents == 0.0


def test_what_is_left_over_at_the_end_of_the_slide_derived() -> None:
    horn = load_horn("trombone-f")
    low_c, low_b = found(horn, "C2", "T6", 2), found(horn, "B1", "T6", 2)
    assert_cents(low_c.cents, SLIDE["low_c_sharp_cents"], within=0.1)
    assert_cents(low_b.cents, SLIDE["low_b_sharp_cents"], within=0.1)
    assert low_c.at_slide_end
    assert low_c.setting.slide_m == horn.longest_slide_m


def test_a_longer_slide_reaches_low_c() -> None:
    horn = replace(load_horn("trombone-f"), longest_slide_m=0.67)
    assert found(horn, "C2", "T6", 2).cents == 0.0


def test_no_label_beyond_the_last_position_that_the_trade_counts() -> None:
    horn = replace(load_horn("trombone"), longest_slide_m=0.67)
    low = found(horn, "E2", "7", 2)
    lower = found(horn, "Eb2", "7", 2)
    assert lower.setting.slide_m > low.setting.slide_m
    assert_cents(lower.cents, 700.0 - cents_of_ratio(1.0 + 2.0 * 0.67 / horn.open_length_m), within=1e-6)


def test_label_counts_on_its_own_side_and_position_on_the_first() -> None:
    setting = found(load_horn("trombone-f"), "B2", "T2", 3).setting
    assert setting.side == "T"
    assert setting.pressed == {"T"}
    assert setting.slide_position == pytest.approx(2.32 + 0.02 * 1.33, abs=0.01), "partial 3 is 2 cents sharp"


def test_closed_slide_leaves_a_flat_partial_flat() -> None:
    closed = found(load_horn("trombone"), "D4", "1", 5)
    assert closed.setting.slide_m == 0.0
    assert_cents(closed.cents, -13.7, within=0.06)


def test_two_independent_rotors_make_nearly_d_and_dependent_ones_exactly() -> None:
    independent = found(load_horn("trombone-bass"), "D2", "TG1", 2)
    dependent = found(load_horn("trombone-bass-dep"), "D2", "TG1", 2)
    assert_cents(independent.cents, 800.0 - cents_of_ratio(1.334840 + 0.259921), within=0.06)
    assert_cents(dependent.cents, 0.0, within=0.01)
    alone = [s.fingering for s in load_horn("trombone-bass-dep").settings if s.side == "G"]
    assert not alone


@given(st.integers(40, 77), st.sampled_from(["trombone", "trombone-f", "trombone-bass", "trombone-bass-dep"]))
@settings(max_examples=60, deadline=None)
def test_a_place_that_is_free_is_exactly_in_tune(midi: int, horn_id: str) -> None:
    horn = load_horn(horn_id)
    for one in settings_near(horn, midi, Reach()):
        sounds = cents_of_ratio(one.partial / one.setting.ratio) + 100.0 * (horn.open_pitch.midi - midi)
        assert sounds == pytest.approx(one.cents, abs=1e-6)
        assert 0.0 <= one.setting.slide_m <= horn.longest_slide_m
        at_end = one.setting.slide_m in (0.0, horn.longest_slide_m)
        assert one.cents == 0.0 or at_end
        assert one.setting.ratio == pytest.approx(sum(length for _, length in one.setting.pieces), abs=1e-12)


def test_a_known_tendency_moves_the_slide_until_it_is_in_tune_again() -> None:
    horn = load_horn("trombone")
    plain = found(horn, "Eb4", "3", 6)
    flat = found(with_tendencies(horn, {("3", 6): -20.0}), "Eb4", "3", 6)
    assert flat.cents == 0.0
    assert flat.setting.slide_m < plain.setting.slide_m
    assert_cents(cents_of_ratio(plain.setting.ratio / flat.setting.ratio), 20.0, within=1e-6)


def test_a_known_tendency_at_the_closed_end_stays() -> None:
    flat = found(with_tendencies(load_horn("trombone"), {("1", 5): -10.0}), "D4", "1", 5)
    assert_cents(flat.cents, -23.7, within=0.06)
