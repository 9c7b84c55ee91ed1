"""Widths against the advance widths of Liberation Sans, a metric twin of the common sans faces.

Advance widths in 1/2048 em, read from the face itself (hmtx table of Liberation Sans Regular 1.07.4).
"""

import pytest

from slurwright.picture.metrics import text_width

LIBERATION_SANS = {"0": 1139, "1": 1139, "-": 682, " ": 569, "%": 1821, "S": 1366, "c": 1024, "B": 1366, "T": 1251}


@pytest.mark.parametrize("letter", LIBERATION_SANS)
def test_room_is_enough_and_not_wasted(letter: str) -> None:
    real = LIBERATION_SANS[letter] / 2048
    assert real - 0.001 <= text_width(letter, 1.0) <= real + 0.12


def test_room_grows_with_words_and_size() -> None:
    assert text_width("1-2-3", 2.0) == pytest.approx(2 * text_width("1-2-3", 1.0))
    assert text_width("1-2-3", 2.0, bold=True) > text_width("1-2-3", 2.0) > text_width("1-2", 2.0)
