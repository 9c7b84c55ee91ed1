"""Rhythms and contours of exercises: measures are full, beats are shown, the wanted step is slurred."""

from fractions import Fraction
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from slurwright.practice.exercise.rhythm import Grain, draw_cell, draw_contour, draw_metre
from slurwright.score import value_of_length

SEEDS = st.integers(0, 2**32 - 1)


@settings(max_examples=50)
@given(seed=SEEDS, grain=st.sampled_from(Grain), whole=st.sampled_from([None, True, False]))
def test_a_cell_fills_two_measures_and_breathes_at_the_end(seed: int, grain: Grain, *, whole: bool | None) -> None:
    rng = np.random.default_rng(seed)
    metre = draw_metre(grain, rng)
    cell = draw_cell(metre, grain, rng, whole=whole)
    assert sum((beat.length_quarter for beat in cell.beats), Fraction(0)) == 2 * metre.length_quarter
    assert [beat.silent for beat in cell.beats] == [False] * cell.sounding + [True]
    assert cell.sounding >= 3
    place = Fraction(0)
    for beat in cell.beats:
        assert value_of_length(beat.length_quarter) is not None
        assert place % metre.length_quarter + beat.length_quarter <= metre.length_quarter
        place += beat.length_quarter
    joined = [beat.joined for beat in cell.beats if not beat.silent]
    assert joined[0]
    assert not joined[-1]
    if whole:
        assert all(joined[:-1])


@settings(max_examples=50)
@given(seed=SEEDS, grain=st.sampled_from(Grain))
def test_every_note_is_under_a_slur(seed: int, grain: Grain) -> None:
    rng = np.random.default_rng(seed)
    cell = draw_cell(draw_metre(grain, rng), grain, rng)
    joined = [beat.joined for beat in cell.beats if not beat.silent]
    assert all(here or before for before, here in pairwise(joined))


@settings(max_examples=50)
@given(seed=SEEDS, rungs=st.integers(2, 4), count=st.integers(5, 9), data=st.data())
def test_a_contour_steps_along_the_ladder_and_slurs_the_wanted_step(
    seed: int, rungs: int, count: int, data: st.DataObject
) -> None:
    low = data.draw(st.integers(0, rungs - 2))
    step = data.draw(st.sampled_from([(low, low + 1), (low + 1, low)]))
    joined = [True] * (count - 1) + [False]
    walk = draw_contour(count, rungs, np.random.default_rng(seed), step=step, joined=joined)
    assert len(walk) == count
    assert set(walk) <= set(range(rungs))
    assert all(abs(second - first) == 1 for first, second in pairwise(walk))
    assert step in set(pairwise(walk))


@pytest.mark.parametrize("grain", list(Grain))
def test_the_grains_differ_in_their_shortest_value(grain: Grain) -> None:
    shortest = min(
        beat.length_quarter
        for seed in range(1000, 1040)
        for beat in draw_cell(
            draw_metre(grain, np.random.default_rng(seed)), grain, np.random.default_rng(seed)
        ).beats
    )
    assert shortest == {Grain.WIDE: 1, Grain.MIDDLE: Fraction(1, 2), Grain.QUICK: Fraction(1, 3)}[grain]
