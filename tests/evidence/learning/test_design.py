"""Attempts that are alike share a row; columns say what a slur is."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from builders.tried import BELIEFS, CHANCES, HORN, TODAY, attempt, named_horn, slur
from slurwright.evidence.attempts import Attempt
from slurwright.evidence.learning.design import Design, design_of, thinned
from slurwright.evidence.learning.effects import EFFECTS, TECHNIQUES, knot_weights
from slurwright.evidence.learning.laid import lay_out, way_on
from slurwright.horn import Horn
from slurwright.plan import Technique

TROMBONE = named_horn("trombone", "slide")
LIP = slur("F3", "Bb3")


def made(*attempts: Attempt, horn: Horn = HORN) -> Design:
    laid, notices = lay_out(attempts, {horn.id: horn}, today=TODAY)
    assert not notices
    return design_of(laid, chances=CHANCES, beliefs=BELIEFS)


def columns(design: Design, row: int = 0) -> dict[str, float]:
    """Effects that a row has."""
    return {
        name: value for name, value in zip(EFFECTS, design.common[row].tolist(), strict=False) if abs(value) > 0.01
    }


def test_attempts_that_are_alike_share_a_row() -> None:
    near = replace(LIP, dynamic=0.1, time_s=0.505)
    design = made(attempt(LIP, 0.98), attempt(near, 0.98), attempt(LIP, 0.02), attempt(LIP, 0.02, weeks=1))
    assert len(design.prior) == 2
    assert sorted(zip(design.row.tolist(), design.spoke.tolist(), design.times.tolist(), strict=True)) == [
        (0, 0.02, 1.0),
        (0, 0.98, 2.0),
        (1, 0.02, 1.0),
    ]


def test_columns_say_what_a_slur_is() -> None:
    lip = columns(made(attempt(LIP, 1.0)))
    assert set(lip) == {"every", "crossing", "lip", "hurry"}
    soft = columns(made(attempt(slur("Bb3", "F3", dynamic=-3.0, technique=Technique.LEGATO_TONGUE), 1.0)))
    assert set(soft) - set(lip) == {"down", "softer", "tongue", "tongue_down"}
    assert (soft["softer"], soft["down"]) == (3.0, 1.0)
    assert set(columns(made(attempt(slur("C4", "D4"), 1.0)))) == {"every", "valve"}
    assert "both" in columns(made(attempt(slur("C4", "F4"), 1.0)))


def test_a_slide_has_columns_of_its_own() -> None:
    # Bb2 to C3 changes partial on a trombone, D3 to E3 does not
    staying = slur("D3", "E3", horn=TROMBONE)
    tongued = replace(staying, technique=Technique.LEGATO_TONGUE)
    smeared, touched = (made(attempt(one, 1.0, horn="slide"), horn=TROMBONE) for one in (staying, tongued))
    assert set(columns(smeared)) == {"every", "slide", "smeared"}
    assert set(columns(touched)) == {"every", "slide", "tongued"}
    assert smeared.prior[0] > 10.0 * touched.prior[0]


def test_a_place_of_the_slide_is_known_by_its_partial() -> None:
    way = slur("D3", "E3", horn=TROMBONE).ways[1]
    found = way_on(TROMBONE, replace(way, fingering="7"))
    assert found is not None
    assert found.fingering == way.fingering
    assert way_on(HORN, replace(LIP.ways[0], fingering="7")) is None


def test_a_pair_has_a_column_for_good_one_for_its_technique_and_its_knots() -> None:
    design = made(attempt(replace(LIP, technique=Technique.HALF_VALVE), 1.0, weeks=1))
    knots = len(BELIEFS.drift.ways_knots_weeks)
    number = TECHNIQUES.index(Technique.HALF_VALVE)
    assert design.own[0, 0] == 1.0
    assert design.own[0, 1:4].tolist() == [float(at == number) for at in range(3)]
    assert design.own[0, 4:].tolist() == pytest.approx([0.5, 0.5, *[0.0] * (knots - 2)])


@settings(max_examples=50)
@given(st.lists(st.floats(0.0, 500.0), min_size=1, max_size=20))
def test_knots_share_every_moment(ages: list[float]) -> None:
    knots = BELIEFS.drift.crossing_knots_weeks
    weights = knot_weights(np.array(ages), knots)
    assert np.all(weights >= 0.0)
    np.testing.assert_allclose(weights.sum(axis=1), 1.0)
    np.testing.assert_allclose(weights @ np.array(knots), np.minimum(ages, knots[-1]), atol=1e-9)
    assert np.all((weights > 0.0).sum(axis=1) <= 2)


def test_a_thinned_design_is_that_of_fewer_pairs() -> None:
    slurs = [slur(one, two) for one, two in (("F3", "Bb3"), ("Bb3", "F3"), ("C4", "D4"), ("D4", "F4"), ("Bb2", "F3"))]
    attempts = [attempt(one, spoke, weeks=weeks) for one in slurs for spoke in (0.02, 0.98) for weeks in (0, 3)]
    whole = made(*attempts)
    part = thinned(whole, rows=len(whole.prior) // 2)
    assert part.pairs == whole.pairs[::2]
    kept = [one for one in attempts if any(_is_of(one, name) for name in part.pairs)]
    alone = made(*kept)
    assert part.pairs == alone.pairs
    for name in ("prior", "common", "own", "pair", "starts", "row", "spoke", "times"):
        assert np.array_equal(getattr(part, name), getattr(alone, name))
    assert thinned(whole, rows=1000) is whole


def _is_of(one: Attempt, name: tuple[str, tuple[int, str, int], tuple[int, str, int]]) -> bool:
    return tuple((way.sounding.midi, way.fingering, way.partial) for way in one.tried.ways) == name[1:]
