from hypothesis import given
from hypothesis import strategies as st

from slurwright.formats.pages.nest import Branch, Run, nested


def _events(branches: tuple[Branch | int, ...]) -> list[int]:
    found: list[int] = []
    for branch in branches:
        found += _events(branch.children) if isinstance(branch, Branch) else [branch]
    return found


def _runs(branches: tuple[Branch | int, ...]) -> list[Run]:
    found: list[Run] = []
    for branch in branches:
        if isinstance(branch, Branch):
            found += [branch.run, *_runs(branch.children)]
    return found


def test_a_beam_over_a_tuplet_holds_it() -> None:
    (outer,) = nested(4, [Run("tuplet", 1, 3)], [Run("beam", 0, 3)])
    assert isinstance(outer, Branch)
    assert outer.run.kind == "beam"
    assert [child if isinstance(child, int) else child.run.kind for child in outer.children] == [0, "tuplet"]


def test_a_tuplet_as_long_as_its_beam_is_outside() -> None:
    (outer,) = nested(3, [Run("tuplet", 0, 2)], [Run("beam", 0, 2)])
    assert isinstance(outer, Branch)
    assert outer.run.kind == "tuplet"


def test_a_beam_that_crosses_the_edge_of_a_tuplet_is_cut() -> None:
    tree = nested(6, [Run("tuplet", 0, 2)], [Run("beam", 1, 4)])
    assert set(_runs(tree)) == {Run("tuplet", 0, 2), Run("beam", 1, 2), Run("beam", 3, 4)}


@st.composite
def _some_runs(draw: st.DrawFn, kind: str) -> list[Run]:
    edges = sorted(draw(st.sets(st.integers(0, 15), max_size=8)))
    pairs = zip(edges[0::2], edges[1::2], strict=False)
    return [Run(kind, first, last) for first, last in pairs]


@given(_some_runs("tuplet"), _some_runs("beam"))
def test_every_event_stands_once_and_in_order(tuplets: list[Run], beams: list[Run]) -> None:
    tree = nested(16, tuplets, beams)
    assert _events(tree) == list(range(16))
    runs = _runs(tree)
    assert [run for run in runs if run.kind == "tuplet"] == tuplets
    for beam in (run for run in runs if run.kind == "beam"):
        assert any(whole.first <= beam.first and beam.last <= whole.last for whole in beams)
