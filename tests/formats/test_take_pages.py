"""Blocks on pages: what belongs together stays together, and no page is begun for a line or two."""

import pytest

from slurwright.formats.pages.look import PAPER_SIZES_MM
from slurwright.formats.pages.request import Paper
from slurwright.formats.take_pages import Placed, write_take_pages
from slurwright.picture.shapes import Text
from slurwright.picture.take.blocks import Block

ROOM_MM = PAPER_SIZES_MM[Paper.A4][1] - 26.0


def page_of(blocks: list[Placed]) -> list[list[str]]:
    pages = write_take_pages(blocks, paper=Paper.A4, title="T")
    return [[f"b{number}" for number in range(len(blocks)) if f">b{number}<" in page] for page in pages]


def equal(count: int, height_mm: float, *, keep: bool = False) -> list[Placed]:
    return [
        Placed(Block((Text(0.0, 2.0, f"b{number}", size=2.0),), height_mm, keep_with_next=keep and number % 2 == 0))
        for number in range(count)
    ]


@pytest.mark.parametrize(("height_mm", "pages"), [(24.0, 1), (25.5, 1), (27.0, 2)])
def test_blocks_move_closer_where_that_saves_a_page(height_mm: float, pages: int) -> None:
    assert 10 * 24.0 + 9 * 3.0 < ROOM_MM < 10 * 25.5 + 9 * 3.0, "the second needs less room between"
    assert len(page_of(equal(10, height_mm))) == pages


def test_what_belongs_together_stays_on_one_page() -> None:
    pages = page_of(equal(10, 50.0, keep=True))
    assert [name for page in pages for name in page] == [f"b{number}" for number in range(10)]
    assert all(len(page) % 2 == 0 for page in pages)
