"""Onsets that were played early or late come back to where they were written."""

import random
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from slurwright.formats.midi.quantise import place_onsets

_Q = Fraction(1, 4)
_BEATS: tuple[tuple[Fraction, ...], ...] = (
    (Fraction(0),),
    (Fraction(0), 2 * _Q),
    (Fraction(0), _Q, 2 * _Q, 3 * _Q),
    (Fraction(0), 2 * _Q, 3 * _Q),
    (Fraction(0), _Q, 2 * _Q),
    (Fraction(0), 3 * _Q),
    (Fraction(0), Fraction(1, 3), Fraction(2, 3)),
    (2 * _Q,),
    (),
)
_WEIGHTS = (6, 5, 2, 1.5, 1, 1.5, 1.5, 0.5, 1)


def tune(seed: int, beats: int = 64) -> list[Fraction]:
    rng = random.Random(seed)
    return [beat + place for beat in range(beats) for place in rng.choices(_BEATS, _WEIGHTS)[0]]


def share_right(qpm: float, spread_s: float, *, seeds: range) -> float:
    right = total = 0
    quarter_s = 60.0 / qpm
    for seed in seeds:
        truth = tune(seed)
        rng = random.Random(1000 + seed)
        played = sorted(max(0.0, float(place) + rng.gauss(0.0, spread_s) / quarter_s) for place in truth)
        placed = place_onsets(played, [quarter_s] * len(played))
        right += sum(a == b for a, b in zip(placed.onsets_quarter, truth, strict=True))
        total += len(truth)
    return right / total


@pytest.mark.parametrize(
    ("qpm", "spread_s", "least"), [(72.0, 0.025, 0.99), (90.0, 0.025, 0.985), (120.0, 0.010, 0.995)]
)
def test_a_played_line_comes_back(qpm: float, spread_s: float, least: float) -> None:
    assert share_right(qpm, spread_s, seeds=range(6)) >= least


@pytest.mark.parametrize("qpm", [40.0, 90.0, 208.0])
def test_an_exact_line_comes_back_whole(qpm: float) -> None:
    truth = tune(3)
    placed = place_onsets([float(place) for place in truth], [60.0 / qpm] * len(truth))
    assert list(placed.onsets_quarter) == truth


@pytest.mark.parametrize("denominator", [8, 12, 5, 6, 16])
def test_an_exact_line_in_a_rare_division_is_taken_at_its_word(denominator: int) -> None:
    truth = [Fraction(n, denominator) for n in range(denominator)] + [Fraction(1), Fraction(2)]
    placed = place_onsets([round(480 * place) / 480 for place in truth], [0.6] * len(truth))
    assert list(placed.onsets_quarter) == truth


def test_nothing_played_gives_nothing() -> None:
    assert place_onsets([], []).onsets_quarter == ()


@settings(max_examples=40, deadline=None)
@given(st.lists(st.floats(0.0, 30.0, allow_nan=False), min_size=1, max_size=25, unique=True))
def test_every_onset_gets_a_place_near_it(onsets: list[float]) -> None:
    played = sorted(onsets)
    placed = place_onsets(played, [0.5] * len(played))
    assert len(placed.onsets_quarter) == len(played)
    assert all(abs(float(place) - onset) < 0.75 for place, onset in zip(placed.onsets_quarter, played, strict=True))
