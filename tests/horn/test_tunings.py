"""Schemes of the valve slides against derived figures, and against brute force."""

from itertools import product

import pytest

from builders.cents import assert_cents
from builders.references import reference
from slurwright.devices.packaged import horn_ids, load_horn
from slurwright.errors import HornError
from slurwright.horn import Horn, retuned
from slurwright.horn.pulls import cents_of_pull, pull_m
from slurwright.horn.tubing import Tubing, Valve, added_length
from slurwright.horn.tunings import SCHEMES, takes_schemes, tuned_lengths
from slurwright.pitch import cents_of_ratio

FIGURES = reference("derived-lengths", "figures")
THREE = Tubing((Valve("1", 2), Valve("2", 1), Valve("3", 3)))
SHARED = ("2", "1", "1-2", "2-3", "1-3", "1-2-3")


def error(lengths: dict[str, float], fingering: str) -> float:
    valves = fingering.split("-")
    lowered = sum(THREE.valve(name).semitones for name in valves)
    return 100.0 * lowered - cents_of_ratio(1.0 + sum(lengths[name] for name in valves))


@pytest.mark.parametrize(
    ("scheme", "fingering", "cents"),
    [
        (scheme, fingering, cents)
        for scheme, figures in FIGURES["schemes"].items()
        if scheme != "minimax"
        for fingering, cents in figures.items()
    ],
)
def test_errors_under_a_scheme_derived(scheme: str, fingering: str, cents: float) -> None:
    assert_cents(error(tuned_lengths(THREE, scheme), fingering), cents, within=0.06)


def test_third_slide_lowers_as_the_trade_says() -> None:
    third = {scheme: cents_of_ratio(1.0 + tuned_lengths(THREE, scheme)["3"]) for scheme in SCHEMES}
    assert_cents(third["third-long-23"], 316.3, within=0.06)
    assert_cents(third["third-long-13"], 333.4, within=0.06)


def test_minimax_derived_reaches_the_least_greatest_error() -> None:
    figures = FIGURES["schemes"]["minimax"]
    tabled = {
        valve: added_length(semitones - figures[valve] / 100.0) for valve, semitones in (("1", 2), ("2", 1), ("3", 3))
    }
    for fingering in SHARED:
        assert_cents(error(tabled, fingering), figures[fingering], within=0.11, about=fingering)
    ours = tuned_lengths(THREE, "minimax")
    errors = {fingering: error(ours, fingering) for fingering in SHARED}
    assert max(map(abs, errors.values())) == pytest.approx(14.5, abs=0.06)
    for fingering in ("1", "2-3", "1-2-3"):
        assert_cents(errors[fingering], figures[fingering], within=0.06, about=fingering)
    free = ("2", "1-2", "1-3")
    assert max(abs(errors[f]) for f in free) <= max(abs(figures[f]) for f in free) + 0.01


def test_no_setting_on_a_fine_grid_beats_minimax_or_least_squares() -> None:
    def worst(lengths: dict[str, float]) -> float:
        return max(abs(error(lengths, fingering)) for fingering in SHARED)

    def squares(lengths: dict[str, float]) -> float:
        return sum(error(lengths, fingering) ** 2 for fingering in SHARED)

    for scheme, cost in (("minimax", worst), ("least-squares", squares)):
        best = tuned_lengths(THREE, scheme)
        for step in (0.0005, 0.004):
            for moves in product((-step, 0.0, step), repeat=3):
                moved = {name: best[name] + move for name, move in zip("123", moves, strict=True)}
                assert cost(moved) >= cost(best) - 1e-6


@pytest.mark.parametrize(
    ("scheme", "fingering", "pull_mm"),
    [(scheme, *row) for scheme, rows in FIGURES["pulls"].items() for row in rows.items()],
)
def test_third_slide_pulls_of_a_trumpet_derived(scheme: str, fingering: str, pull_mm: float) -> None:
    lowered = {"1-3": 5, "1-2-3": 6}[fingering]
    for horn_id, times in (("trumpet-b", 1), ("euphonium-3", 2)):
        horn = load_horn(horn_id, tuning=scheme)
        setting = next(one for one in horn.settings if one.fingering == fingering)
        pull = pull_m(horn, setting, cents=100.0 * lowered - cents_of_ratio(setting.ratio))
        assert pull * 1000.0 / times == pytest.approx(pull_mm, abs=0.06)


def test_a_pull_and_what_it_does_undo_each_other() -> None:
    horn = load_horn("trumpet-b")
    for setting in horn.settings:
        for cents in (-20.0, 0.0, 5.0, 60.0):
            assert_cents(cents_of_pull(horn, setting, drawn_m=pull_m(horn, setting, cents=cents)), cents, within=1e-6)


def suits(horn: Horn) -> bool:
    return takes_schemes(horn.tubing)


@pytest.mark.parametrize("horn_id", horn_ids())
@pytest.mark.parametrize("scheme", SCHEMES)
def test_every_horn_takes_every_scheme_that_suits_it(horn_id: str, scheme: str) -> None:
    horn = load_horn(horn_id)
    if scheme != "exact" and not suits(horn):
        with pytest.raises(HornError, match="three valves"):
            retuned(horn, scheme)
        return
    tuned = retuned(horn, scheme)
    assert tuned.tuning == scheme
    assert tuned == load_horn(horn_id, tuning=scheme)
    assert [s.exact_ratio for s in tuned.settings] == [s.exact_ratio for s in horn.settings]
    assert tuned.normal == horn.normal


def test_an_unknown_scheme_names_the_known_ones() -> None:
    with pytest.raises(HornError, match="third-long-23"):
        load_horn("trumpet-b", tuning="longer")
