import pytest

from slurwright.devices.engraver_fonts import EngraverFonts
from slurwright.formats.pages import Paper
from slurwright.formats.pages.room import free_below_mm, last_is_nearly_empty

SYSTEM = '<g class="system"><path d="M0 {top} L100 {bottom}"/></g>'


def page(*systems: tuple[int, int]) -> str:
    inside = "".join(SYSTEM.format(top=top, bottom=bottom) for top, bottom in systems)
    foot = '<g class="pgFoot"><path d="M0 26000 L100 27000"/></g>'
    return (
        '<svg xmlns="http://www.w3.org/2000/svg"><g class="page-margin" transform="translate(1300, 1300)">'
        f"{inside}{foot}</g></svg>"
    )


@pytest.mark.parametrize(("paper", "height_mm"), [(Paper.A4, 297.0), (Paper.LETTER, 279.4)])
def test_what_is_free_lies_between_the_last_system_and_the_foot(paper: Paper, height_mm: float) -> None:
    free = free_below_mm(page((0, 2000), (3000, 8700)), paper, font=EngraverFonts())
    # The lowest ink is 87 mm under a margin of 13 mm; margin and number take 19 mm at the foot (derived).
    assert free == pytest.approx(height_mm - 19.0 - 100.0)


def test_a_last_page_of_two_systems_is_hardly_worth_the_turn() -> None:
    full = page(*((top, top + 1500) for top in range(0, 16000, 2000)))
    short, shorter = page((0, 1500), (2000, 3500)), page((0, 1500))
    assert last_is_nearly_empty((full, short))
    assert last_is_nearly_empty((full, shorter))
    assert not last_is_nearly_empty((full, full))
    assert not last_is_nearly_empty((shorter,)), "a single page is never turned"
