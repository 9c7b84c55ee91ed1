"""The order of play: repeats, endings, jumps."""

from typing import Any

import pytest

from builders.parts import part_of
from slurwright.errors import PartError
from slurwright.score import Jump, jump_notices, played_measures


def order(count: int, bars: dict[int, dict[str, Any]]) -> str:
    """Play a part of so many measures, named by letters."""
    part = part_of(" | ".join(["C4"] * count), bars=bars)
    return "".join("abcdefghij"[index] for index, _ in played_measures(part))


def ending(*numbers: int, starts: bool = True, stops: bool = True, back: int = 0) -> dict[str, Any]:
    return {"endings": numbers, "ending_starts": starts, "ending_stops": stops, "repeat_ends": back}


CASES: dict[str, tuple[int, dict[int, dict[str, Any]], str]] = {
    "straight": (3, {}, "abc"),
    "repeat from the start": (2, {0: {"repeat_ends": 2}}, "aab"),
    "repeat from its sign": (3, {1: {"repeat_starts": True, "repeat_ends": 2}}, "abbc"),
    "three times": (2, {0: {"repeat_ends": 3}}, "aaab"),
    "two repeats in a row": (3, {0: {"repeat_ends": 2}, 2: {"repeat_ends": 2}}, "aabcbc"),
    "first and second ending": (4, {1: ending(1, back=2), 2: ending(2)}, "abacd"),
    "endings of two measures": (
        6,
        {
            1: ending(1, stops=False),
            2: ending(1, starts=False, back=2),
            3: ending(2, stops=False),
            4: ending(2, starts=False),
        },
        "abcadef",
    ),
    "three times by two brackets": (4, {1: ending(1, 2, back=2), 2: ending(3)}, "ababacd"),
    "four endings": (
        6,
        {1: ending(1, back=2), 2: ending(2, back=2), 3: ending(3, back=2), 4: ending(4)},
        "abacadaef",
    ),
    "a repeat sign at the last ending too": (3, {1: ending(1, back=2), 2: ending(2, back=2)}, "abac"),
    "a first ending alone": (3, {1: ending(1, back=2)}, "abac"),
    "two groups of endings": (
        6,
        {1: ending(1, back=2), 2: ending(2), 4: ending(1, back=2), 5: ending(2)},
        "abacdedf",
    ),
    "two groups of endings touching": (
        5,
        {1: ending(1, back=2), 2: ending(2), 3: ending(1, back=2), 4: ending(2)},
        "abacde",
    ),
    "da capo": (3, {2: {"jumps": (Jump.DA_CAPO,)}}, "abcabc"),
    "da capo al fine": (3, {0: {"jumps": (Jump.FINE,)}, 2: {"jumps": (Jump.DA_CAPO,)}}, "abca"),
    "dal segno al fine": (
        4,
        {1: {"jumps": (Jump.SEGNO,)}, 2: {"jumps": (Jump.FINE,)}, 3: {"jumps": (Jump.DAL_SEGNO,)}},
        "abcdbc",
    ),
    "da capo al coda": (
        4,
        {1: {"jumps": (Jump.TO_CODA,)}, 2: {"jumps": (Jump.DA_CAPO,)}, 3: {"jumps": (Jump.CODA,)}},
        "abcabd",
    ),
    "dal segno al coda": (
        5,
        {
            1: {"jumps": (Jump.SEGNO,)},
            2: {"jumps": (Jump.TO_CODA,)},
            3: {"jumps": (Jump.DAL_SEGNO,)},
            4: {"jumps": (Jump.CODA,)},
        },
        "abcdbce",
    ),
    "no repeats after a jump": (3, {0: {"repeat_ends": 2}, 2: {"jumps": (Jump.DA_CAPO,)}}, "aabcabc"),
    "the last ending after a jump": (
        4,
        {1: ending(1, back=2), 2: ending(2), 3: {"jumps": (Jump.DA_CAPO,)}},
        "abacdacd",
    ),
    "a repeat at the jump comes first": (2, {1: {"repeat_ends": 2, "jumps": (Jump.DA_CAPO,)}}, "ababab"),
    "a repeat in the coda is played": (
        4,
        {
            0: {"jumps": (Jump.TO_CODA,)},
            1: {"jumps": (Jump.DA_CAPO,)},
            2: {"jumps": (Jump.CODA,)},
            3: {"repeat_starts": True, "repeat_ends": 2},
        },
        "abacdd",
    ),
    "fine counts after a jump only": (2, {0: {"jumps": (Jump.FINE,)}}, "ab"),
    "dal segno without a segno goes on": (2, {0: {"jumps": (Jump.DAL_SEGNO,)}}, "ab"),
}


@pytest.mark.parametrize("name", CASES)
def test_order_of_play(name: str) -> None:
    count, bars, want = CASES[name]
    assert order(count, bars) == want


def test_passes_are_counted() -> None:
    assert played_measures(part_of("C4 | D4", bars={0: {"repeat_ends": 2}})) == ((0, 1), (0, 2), (1, 1))


def test_repeats_without_end_are_refused() -> None:
    with pytest.raises(PartError, match="repeats do not end"):
        order(2, {0: {"repeat_ends": 1000}})


@pytest.mark.parametrize(
    ("jump", "words"),
    [(Jump.DAL_SEGNO, "no segno"), (Jump.TO_CODA, "no coda"), (Jump.TO_CODA, "no jump leads back")],
)
def test_jumps_that_lead_nowhere_are_noticed(jump: Jump, words: str) -> None:
    notices = jump_notices(part_of("C4 | D4", bars={1: {"jumps": (jump,)}}))
    assert any(words in notice.what and notice.where == "measure 2" for notice in notices)
