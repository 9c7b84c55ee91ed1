import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from slurwright.picture.placing import Area, Placer, around, strip

FRAME = Area(0, 0, 200, 200)
places = st.floats(5, 195)
sizes = st.floats(0.1, 20)


@st.composite
def areas(draw: st.DrawFn) -> Area:
    return around(draw(places), draw(places), half_width=draw(sizes), half_height=draw(sizes))


@given(areas(), areas())
@settings(max_examples=60)
def test_overlap_is_mutual_and_no_larger_than_either(one: Area, other: Area) -> None:
    shared = one.overlap(other)
    assert shared == pytest.approx(other.overlap(one))
    for area in (one, other):
        assert shared <= (area.right - area.left) * (area.bottom - area.top) + 1e-9


@given(st.lists(areas(), max_size=12), areas())
@settings(max_examples=60)
def test_the_cells_find_every_neighbour(taken: list[Area], asked: Area) -> None:
    placer = Placer(Area(-1e3, -1e3, 1e3, 1e3))
    placer.take(taken)
    assert placer.cover([asked]) == pytest.approx(sum(asked.overlap(area) for area in taken))


def test_a_free_place_beats_a_covered_one() -> None:
    placer = Placer(FRAME)
    placer.take([Area(0, 0, 10, 10)])
    index, cover = placer.best([[Area(2, 2, 6, 6)], [Area(20, 20, 24, 24)]])
    assert (index, cover) == (1, 0.0)


def test_the_preferred_place_wins_over_a_slight_touch_and_between_equals() -> None:
    placer = Placer(FRAME)
    placer.take([Area(0, 0, 10, 10)])
    assert placer.best([[Area(9.95, 0, 14, 2)], [Area(20, 20, 24, 22)]])[0] == 0
    assert placer.best([[Area(30, 0, 34, 2)], [Area(20, 20, 24, 22)]])[0] == 0


def test_leaving_the_frame_costs_more_than_covering() -> None:
    placer = Placer(FRAME)
    placer.take([Area(0, 0, 10, 10)])
    assert placer.best([[Area(-4, 50, 0, 54)], [Area(2, 2, 6, 6)]])[0] == 1


def test_a_strip_covers_its_whole_line() -> None:
    pieces = strip((0, 0), (12, 9), half_width=0.5)
    for step in range(101):
        x, y = 12 * step / 100, 9 * step / 100
        assert any(p.left <= x <= p.right and p.top <= y <= p.bottom for p in pieces)
    assert max(p.right for p in pieces) <= 12 + math.sqrt(0.5)
