"""Lengths of tube: published and derived figures, and the laws that they obey."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from builders.cents import assert_cents
from builders.references import reference
from slurwright.devices.packaged import horn_ids, load_horn
from slurwright.horn.tubing import (
    Compensation,
    Tubing,
    Valve,
    added_length,
    exact_lengths,
    loop_lengths,
    pieces_of,
    ratio_of,
    valved_settings,
)
from slurwright.pitch import cents_of_ratio

FIGURES = reference("derived-lengths", "figures")
THREE = (Valve("1", 2), Valve("2", 1), Valve("3", 3))
FOUR = (*THREE, Valve("4", 5))


def sharp(tubing: Tubing, fingering: str, semitones: float) -> float:
    pieces = pieces_of(tubing, frozenset(fingering.split("-")), lengths=exact_lengths(tubing))
    return 100.0 * semitones - cents_of_ratio(ratio_of(pieces))


@pytest.mark.parametrize(("semitones", "fraction"), FIGURES["added"].items())
def test_added_length_derived(semitones: str, fraction: float) -> None:
    assert added_length(float(semitones)) == pytest.approx(fraction, abs=5e-7)


def test_added_length_published_by_moore_2016() -> None:
    figures = reference("moore-2016", "lengths")
    for semitones, percent in figures["added_percent"].items():
        assert 100.0 * added_length(float(semitones)) == pytest.approx(percent, abs=0.005)
    both = (added_length(1) + added_length(2)) * figures["tube_cm"]
    assert both == pytest.approx(figures["first_and_second_cm"], abs=0.05)
    assert added_length(3) * figures["tube_cm"] == pytest.approx(figures["needed_cm"], abs=0.05)


@pytest.mark.parametrize(
    ("fingering", "semitones", "cents"),
    [(fingering, *row) for fingering, rows in FIGURES["together"].items() for row in rows],
)
def test_valves_together_without_compensation_derived(fingering: str, semitones: int, cents: float) -> None:
    assert_cents(sharp(Tubing(FOUR), fingering, semitones), cents, within=0.06)


@pytest.mark.parametrize(("fingering", "row"), FIGURES["compensation"]["master-3"].items())
def test_three_valves_compensating_derived(fingering: str, row: tuple[int, float]) -> None:
    tubing = Tubing(THREE, compensation=Compensation("3", ("1", "2")))
    assert_cents(sharp(tubing, fingering, row[0]), row[1], within=0.06)


@pytest.mark.parametrize(("fingering", "row"), FIGURES["compensation"]["master-4"].items())
def test_four_valves_compensating_derived(fingering: str, row: tuple[int, float]) -> None:
    tubing = Tubing(FOUR, compensation=Compensation("4", ("1", "2", "3")))
    assert_cents(sharp(tubing, fingering, row[0]), row[1], within=0.06)


def test_loops_of_a_nine_foot_horn_derived() -> None:
    loops = loop_lengths(Tubing(FOUR, compensation=Compensation("4", ("1", "2", "3"))))
    for valve, length_cm in FIGURES["compensation"]["loops_cm"].items():
        assert loops[valve] * 296.0 == pytest.approx(length_cm, abs=0.05)


def test_fifth_and_sixth_valve_of_tubas_derived() -> None:
    figures = FIGURES["fifth"]
    tubing = Tubing((*FOUR, Valve("5", 2, cut_with="4"), Valve("6", 1, cut_with="4")))
    lengths = exact_lengths(tubing)
    assert lengths["5"] == pytest.approx(figures["flat_whole_step"], abs=5e-6)
    assert lengths["6"] == pytest.approx(figures["flat_semitone"], abs=5e-6)
    assert_cents(cents_of_ratio(1.0 + lengths["5"]), figures["flat_whole_step_cents"], within=0.06)
    assert_cents(cents_of_ratio(1.0 + lengths["6"]), figures["flat_semitone_cents"], within=0.06)
    assert added_length(4) == pytest.approx(figures["two_three"], abs=5e-6)
    for fingering, (semitones, cents) in figures["low"].items():
        assert_cents(sharp(tubing, fingering, semitones), cents, within=0.06, about=fingering)


@given(st.lists(st.floats(0.5, 7.0), min_size=2, max_size=4))
@settings(max_examples=50)
def test_ideal_compensation_multiplies_the_master_with_the_others(semitones: list[float]) -> None:
    names = [str(number) for number in range(1, len(semitones) + 1)]
    master = names[-1]
    tubing = Tubing(
        tuple(Valve(name, lowers) for name, lowers in zip(names, semitones, strict=True)),
        compensation=Compensation(master, tuple(names[:-1])),
    )
    lengths = exact_lengths(tubing)
    others = 1.0 + sum(lengths[name] for name in names[:-1])
    pieces = pieces_of(tubing, frozenset(names), lengths=lengths)
    assert ratio_of(pieces) == pytest.approx((1.0 + lengths[master]) * others)


@given(st.floats(0.5, 7.0), st.floats(0.5, 7.0))
@settings(max_examples=50)
def test_two_exact_valves_together_are_always_sharp(a: float, b: float) -> None:
    assert cents_of_ratio(1.0 + added_length(a) + added_length(b)) < 100.0 * (a + b)


def test_a_dependent_rotor_is_never_alone() -> None:
    tubing = Tubing((Valve("T", 5), Valve("G", 3, cut_with="T", only_with="T")))
    assert [sorted(setting.pressed) for setting in valved_settings(tubing, exact_lengths(tubing))] == [
        [],
        ["T"],
        ["G", "T"],
    ]


@pytest.mark.parametrize("horn_id", horn_ids())
def test_pieces_of_every_setting_add_up_and_name_the_open_tube_first(horn_id: str) -> None:
    horn = load_horn(horn_id)
    lengths: dict[str, float] = {}
    for setting in horn.settings:
        assert sum(length for _, length in setting.pieces) == pytest.approx(setting.ratio, abs=1e-12)
        assert setting.pieces[0][0].startswith("open")
        for name, length in setting.pieces:
            if name != "hand slide":
                assert lengths.setdefault(name, length) == length, "a piece has one length wherever it is used"


@pytest.mark.parametrize("horn_id", horn_ids())
def test_labels_of_settings_are_distinct(horn_id: str) -> None:
    labels = [setting.fingering for setting in load_horn(horn_id).settings]
    assert len(set(labels)) == len(labels)


def test_counts_of_settings() -> None:
    counts = {"trumpet-b": 8, "euphonium-4": 16, "tuba-f-6": 64, "horn-double": 16, "trombone": 7}
    assert {horn_id: len(load_horn(horn_id).settings) for horn_id in counts} == counts


@pytest.mark.parametrize(("horn_id", "figures"), FIGURES["lengths"].items())
def test_effective_lengths_derived_and_longer_than_metal(horn_id: str, figures: tuple[float, float, float]) -> None:
    horn = load_horn(horn_id)
    assert horn.open_length_m == pytest.approx(figures[1], abs=0.0006)
    assert horn.open_length_m * 343.2 / 345.0 == pytest.approx(figures[0], abs=0.0006)
    assert 1.05 <= horn.open_length_m / figures[2] <= 1.10, "metal is 5 to 9 per cent shorter (published lengths)"
