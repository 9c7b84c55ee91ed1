"""Ways of a note: what is found, in which order, and what is said of it."""

import math
from dataclasses import replace
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from builders.cents import assert_cents
from builders.references import reference
from slurwright.devices.packaged import horn_ids, load_familiarity, load_horn
from slurwright.horn import Horn, Reach, retuned, with_tendencies
from slurwright.pitch import SoundingPitch
from slurwright.plan.familiar import Familiarity
from slurwright.plan.ways import Way, notes_of_range, tie_groups, tied, ways_of
from slurwright.plan.why import ordinal

EUPHONIUM = load_horn("euphonium-4c")


def ways(name: str, horn: Horn = EUPHONIUM, reach: Reach | None = None) -> dict[str, Way]:
    return {way.fingering: way for way in ways_of(SoundingPitch.named(name), horn, reach=reach)}


@given(st.sampled_from(horn_ids()), st.integers(22, 90))
@settings(max_examples=80, deadline=None)
def test_the_normal_way_comes_first_and_only_once(horn_id: str, midi: int) -> None:
    horn = load_horn(horn_id)
    found = ways_of(SoundingPitch.from_midi(midi), horn)
    assert [way.normal for way in found].count(True) == (midi in horn.normal)
    if midi in horn.normal:
        assert found[0].normal
        assert (found[0].fingering, found[0].partial) == horn.normal[midi]
    for way in found:
        assert way.normal or -50.0 <= way.cents <= 60.0
        assert 0.0 < way.usual <= 1.0
        assert way.spread_cents > 0.0
        assert way.why.endswith(("tune", "sharp", "flat"))
        assert "\n" not in way.why


def test_a_note_outside_everything_has_no_ways() -> None:
    assert ways_of(SoundingPitch.named("C0"), EUPHONIUM) == ()
    assert ways_of(SoundingPitch.named("B1"), load_horn("euphonium-4"), reach=Reach(flat_cents=50.0)) == ()


def test_normal_ways_are_kept_whatever_the_reach() -> None:
    tight = Reach(highest_partial=1, sharp_cents=0.0, flat_cents=0.0)
    for sounding in notes_of_range(EUPHONIUM):
        found = ways_of(sounding, EUPHONIUM, reach=tight)
        assert found[0].normal
        assert all(way.normal or way.partial == 1 for way in found)


def test_alternates_that_are_learnt_first_stand_before_exotic_ones() -> None:
    order = list(ways("D4"))
    assert order[0] == "0"
    assert set(order[1:3]) == {"1-2", "3"}
    assert order.index("1-2-3-4") > 4
    found = ways("D4")
    assert found["0"].usual > found["3"].usual == found["1-2"].usual
    exotic = [found[fingering].usual for fingering in ("1-2-4", "3-4", "2-4", "1-3-4", "1-2-3", "1-2-3-4")]
    assert max(exotic) < 0.5 * found["3"].usual


@pytest.mark.parametrize(
    ("name", "fingerings"), reference("brass-practice", "fingerings")["alternates"].items(), ids=lambda v: str(v)[:12]
)
def test_usual_alternates_common_practice_are_familiar(name: str, fingerings: dict[str, float]) -> None:
    found = ways(name, load_horn("trumpet-c", tuning="exact"))
    for fingering, cents in fingerings.items():
        assert_cents(found[fingering].cents_tube, cents, within=0.06)
        assert found[fingering].usual == Familiarity().known


@pytest.mark.parametrize(("name", "label"), reference("brass-practice", "fingerings")["trombone_alternates"].items())
def test_trombone_alternates_common_practice_are_familiar(name: str, label: str) -> None:
    horn = load_horn("trombone")
    known = [way for way in ways_of(SoundingPitch.named(name), horn) if way.usual == Familiarity().known]
    assert label in {way.fingering for way in known}


def test_third_for_first_and_second_sits_slightly_lower_common_practice() -> None:
    horn = load_horn("trumpet-b")
    for name in ("G3", "D4", "G4", "G5"):
        found = ways(name, horn)
        assert found["3"].cents < found["1-2"].cents


def test_predicted_cents_follow_the_slides_and_the_tube_figure_does_not() -> None:
    horn = load_horn("trumpet-b", tuning="exact")
    exact, long = ways("D5", horn)["3"], ways("D5", retuned(horn, "third-long-23"))["3"]
    assert_cents(exact.cents, 2.0, within=0.06)
    assert_cents(long.cents, 2.0 - 16.3, within=0.06)
    assert long.cents_tube == exact.cents_tube


def test_known_tendencies_move_the_prediction_and_are_told() -> None:
    horn = with_tendencies(EUPHONIUM, {("0", 6): 9.0}, spreads={("0", 6): 2.5})
    way = ways("F4", horn)["0"]
    assert_cents(way.cents, 11.0, within=0.06)
    assert_cents(way.cents_tube, 2.0, within=0.06)
    assert way.spread_cents == 2.5
    assert way.why == "open; 6th partial: 2.0 cents sharp; this horn: 9.0 cents sharp"


@pytest.mark.parametrize(
    ("horn_id", "name", "fingering", "why"),
    [
        ("euphonium-4c", "D4", "0", "open; 5th partial: 13.7 cents flat"),
        (
            "euphonium-4c",
            "B3",
            "1-2",
            "1-2 together: 10.6 cents sharp, because each slide was cut for the open horn; "
            "5th partial: 13.7 cents flat",
        ),
        ("euphonium-4c", "F3", "4", "4 alone: in tune; 4th partial: in tune"),
        (
            "euphonium-4c",
            "E2",
            "2-4",
            "2-4 together: in tune, because the second loops make up the length; 2nd partial: in tune",
        ),
        (
            "euphonium-4c",
            "D2",
            "1-2-4",
            "1-2-4 together: 10.6 cents sharp, because the second loops make up for valve 4 only; "
            "2nd partial: in tune",
        ),
        (
            "trumpet-b",
            "G4",
            "3",
            "3 alone: in tune; third slide long so that 2-3 is right: 16.3 lower; 4th partial: in tune",
        ),
        ("tuba-c-5", "F1", "4-5", "4-5 together: in tune, because 5 is cut to go with 4; 2nd partial: in tune"),
        (
            "tuba-c-5",
            "F#1",
            "2-3-5",
            "2-3-5 together: 2.5 cents sharp, because their tubes add up to less than this note needs; "
            "third slide long so that 2-3 is right: 13.7 lower; 2nd partial: in tune",
        ),
        ("horn-double", "C5", "T0", "open, thumb side; 9th partial: 3.9 cents sharp"),
        ("trombone", "F#4", "3", "raised 3, 3.0 cm in: in tune there; 7th partial: 31.2 cents flat"),
        ("trombone", "Bb3", "1", "1: in tune there; 4th partial: in tune"),
        (
            "trombone",
            "D4",
            "1",
            "1: 13.7 cents flat, because the slide cannot come in further; 5th partial: 13.7 cents flat",
        ),
        ("trombone-f", "C2", "T6", "T6: 32.1 cents sharp, because the slide ends there; 2nd partial: in tune"),
    ],
)
def test_why_is_one_plain_sentence(horn_id: str, name: str, fingering: str, why: str) -> None:
    assert ways(name, load_horn(horn_id))[fingering].why == why


def test_the_parts_of_the_reason_add_up_to_the_figure() -> None:
    words = {"sharp": 1.0, "flat": -1.0, "higher": 1.0, "lower": -1.0}
    for horn_id in ("trumpet-b", "euphonium-4", "tuba-f-5", "horn-double"):
        horn = with_tendencies(load_horn(horn_id), {("1", 5): 4.0})
        for sounding in notes_of_range(horn):
            for way in ways_of(sounding, horn):
                parts = [part.split(",")[0].removesuffix(" cents").split() for part in way.why.split("; ")]
                told = sum(words[p[-1]] * float(p[-3 if "cents" in p else -2]) for p in parts if p[-1] in words)
                assert_cents(told, way.cents, within=0.25, about=f"{horn_id} {sounding} {way.why}")


def test_spread_grows_with_valves() -> None:
    found = ways("D4")
    assert found["0"].spread_cents == pytest.approx(12.0)
    assert found["3"].spread_cents == pytest.approx(13.0)
    assert found["1-2"].spread_cents == pytest.approx(math.sqrt(12.0**2 + 2 * 5.0**2 + 6.0**2))
    assert found["1-2-4"].spread_cents > found["1-2"].spread_cents


def test_a_free_slide_is_placed_by_ear_and_a_closed_one_is_not() -> None:
    horn = load_horn("trombone")
    assert ways("Eb4", horn)["3"].spread_cents == Familiarity().placing_cents
    assert ways("D4", horn)["1"].spread_cents == Familiarity().partial_cents


def test_the_packaged_table_and_the_defaults_are_the_same_numbers() -> None:
    assert load_familiarity() == Familiarity()


def test_familiarity_can_be_told_otherwise() -> None:
    strict = replace(Familiarity(), normal=0.5, known=0.25)
    found = ways_of(SoundingPitch.named("D4"), EUPHONIUM, familiarity=strict)
    assert found[0].usual == 0.5
    assert next(way for way in found if way.fingering == "1-2").usual == 0.25


def test_ties_are_differences_that_are_not_noticed() -> None:
    found = ways("D4")
    assert tied(found["0"], found["1-2"]), "13.7 flat and 12.6 sharp are equally far out"
    assert not tied(found["0"], found["3"])
    assert tied(found["0"], found["3"], notices_cents=12.0)


@given(st.integers(40, 77))
@settings(max_examples=38, deadline=None)
def test_tie_groups_part_all_ways_by_what_is_noticed(midi: int) -> None:
    found = ways_of(SoundingPitch.from_midi(midi), EUPHONIUM)
    groups = tie_groups(found)
    assert sorted((way for group in groups for way in group), key=found.index) == list(found)
    for group in groups:
        assert all(tied(one, other) for one in group for other in group)
    for better, worse in pairwise(groups):
        assert min(abs(way.cents) for way in worse) - min(abs(way.cents) for way in better) >= 10.0


def test_notes_of_range_leave_out_the_gaps() -> None:
    horn = load_horn("trombone")
    midis = [sounding.midi for sounding in notes_of_range(horn)]
    assert midis == sorted(horn.normal)
    assert not set(midis) & set(horn.gaps)
    assert all(ways_of(sounding, horn) for sounding in notes_of_range(horn))


def test_ordinals() -> None:
    assert [ordinal(number) for number in (1, 2, 3, 4, 11, 12, 13, 21, 22)] == [
        "1st",
        "2nd",
        "3rd",
        "4th",
        "11th",
        "12th",
        "13th",
        "21st",
        "22nd",
    ]
