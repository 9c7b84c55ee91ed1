"""Partials against equal temperament, and which settings are near a note."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from builders.cents import assert_cents
from builders.references import reference
from slurwright.devices.packaged import horn_ids, load_horn
from slurwright.horn import Reach, settings_near, with_tendencies
from slurwright.horn.resonances import every_place, partial_cents, resonance_cents, series_hz
from slurwright.pitch import SoundingPitch, cents_of_ratio, midi_of_hz

FIGURES = reference("derived-lengths", "figures")
VALVED = [horn_id for horn_id in horn_ids() if not horn_id.startswith("trombone")]


def test_deviations_of_the_partials_derived() -> None:
    for partial, cents in enumerate(FIGURES["partials"]["deviations"], start=1):
        assert_cents(partial_cents(partial), cents, within=0.06, about=f"partial {partial}")
    assert round(cents_of_ratio(13) / 100.0) == FIGURES["partials"]["thirteenth_semitones"]


def test_gaps_between_partials_derived() -> None:
    for partial, cents in enumerate(FIGURES["partials"]["gaps"], start=1):
        assert_cents(cents_of_ratio((partial + 1) / partial), cents, within=0.06, about=f"partial {partial}")


@pytest.mark.parametrize(("ratio", "cents"), FIGURES["just"].items())
def test_just_intervals_derived(ratio: str, cents: float) -> None:
    upper, lower = ratio.split("/")
    assert_cents(cents_of_ratio(int(upper) / int(lower)), cents, within=0.06)


def test_usual_alternates_on_exact_valves_derived() -> None:
    horn = load_horn("trumpet-c", tuning="exact")
    for name, fingerings in reference("brass-practice", "fingerings")["alternates"].items():
        midi = SoundingPitch.named(name).midi
        found = {one.setting.fingering: one for one in settings_near(horn, midi, Reach())}
        for fingering, cents in fingerings.items():
            assert_cents(found[fingering].cents, cents, within=0.06, about=f"{name} {fingering}")


@given(st.sampled_from(VALVED), st.integers(30, 90), st.integers(1, 16), st.floats(0, 90), st.floats(0, 90))
@settings(max_examples=60, deadline=None)
def test_nothing_within_reach_is_missed(horn_id: str, midi: int, highest: int, sharp: float, flat: float) -> None:
    horn = load_horn(horn_id)
    reach = Reach(highest, sharp_cents=sharp, flat_cents=flat)
    brute = {
        (setting.fingering, partial)
        for setting in horn.settings
        for partial in range(1, highest + 1)
        if -flat <= resonance_cents(horn, setting.ratio, partial=partial, midi=midi) <= sharp
    }
    normal = {horn.normal[midi]} if midi in horn.normal else set()
    assert {(one.setting.fingering, one.partial) for one in settings_near(horn, midi, reach)} == brute | normal


@given(st.integers(0, 11), st.sampled_from(["euphonium-4c", "tuba-b-4c"]))
@settings(max_examples=20, deadline=None)
def test_two_horns_an_octave_apart_play_an_octave_apart(step: int, horn_id: str) -> None:
    small, large = load_horn("euphonium-4c"), load_horn("tuba-b-4c")
    midi = 52 + step
    one = [(r.setting.fingering, r.partial, r.cents) for r in every_place(small, midi, 16)]
    other = [(r.setting.fingering, r.partial, r.cents) for r in every_place(large, midi - 12, 16)]
    assert [row[:2] for row in one] == [row[:2] for row in other]
    assert [row[2] for row in one] == pytest.approx([row[2] for row in other], abs=1e-9)


def test_a_known_tendency_is_added_to_its_way_alone() -> None:
    horn = load_horn("euphonium-4c")
    midi = SoundingPitch.named("F3").midi
    before = {(r.setting.fingering, r.partial): r.cents for r in every_place(horn, midi, 16)}
    after = {
        (r.setting.fingering, r.partial): r.cents
        for r in every_place(with_tendencies(horn, {("4", 4): 12.0}), midi, 16)
    }
    assert {key: after[key] - before[key] for key in before if after[key] != before[key]} == {("4", 4): 12.0}


@pytest.mark.parametrize("horn_id", ["euphonium-4c", "trombone", "horn-double"])
def test_the_series_of_a_setting_is_where_its_partials_are(horn_id: str) -> None:
    horn = load_horn(horn_id)
    for setting in horn.settings:
        for partial, hz in enumerate(series_hz(horn, setting, highest_partial=8), start=1):
            known = horn.tendencies.get((setting.fingering, partial), 0.0)
            cents = resonance_cents(horn, setting.ratio, partial=partial, midi=midi_of_hz(hz))
            assert_cents(cents, -known, within=1e-6)


def test_a_series_moves_with_the_tuning_of_the_band() -> None:
    horn = load_horn("trumpet-b")
    usual = series_hz(horn, horn.settings[0])
    high = series_hz(horn, horn.settings[0], a4_hz=442.0)
    assert high == pytest.approx([hz * 442.0 / 440.0 for hz in usual])


def test_what_is_known_of_a_way_moves_its_partial_alone() -> None:
    horn = with_tendencies(load_horn("euphonium-4c"), {("0", 5): -20.0})
    open_setting = next(setting for setting in horn.settings if setting.fingering == "0")
    plain = series_hz(load_horn("euphonium-4c"), open_setting)
    changed = series_hz(horn, open_setting)
    assert [at + 1 for at in range(16) if changed[at] != plain[at]] == [5]
    assert cents_of_ratio(changed[4] / plain[4]) == pytest.approx(
        -20.0 - load_horn("euphonium-4c").tendencies.get(("0", 5), 0.0)
    )
