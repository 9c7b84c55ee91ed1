"""The table of practice as TOML, see `figures_toml`: which range each figure has."""

from dataclasses import fields
from typing import Any

from slurwright.formats.figures_toml import read_blocks
from slurwright.practice.sheet.table import GainTable, PracticeTable, ReturnTable, ShapeTable, TimeTable

__all__ = ["practice_from_toml"]

_BLOCKS: dict[str, type[Any]] = {"gain": GainTable, "returns": ReturnTable, "time": TimeTable, "shape": ShapeTable}
_SHARES = {
    "again",
    "kept",
    "share",
    "good_from",
    "rough_counts",
    "warm_up_share",
    "lip_slurs_share",
    "least_risk",
    "high_from",
    "ease_above",
    "ease_tempo",
    "passage_share",
    "passage_below",
    "rescue_above",
}
_ANY_SIGN = {"soft_to"}
_AT_LEAST_ONE = {"rest_each", "soft_high_rest_each", "set_tries", "most_tries", "most_slurs", "longest_days"}


def practice_from_toml(text: str) -> PracticeTable:
    """Read the table of practice.

    Args:
        text: TOML with the blocks gain, returns, time and shape.

    Raises:
        RequestError: not TOML, or an entry that is missing, unknown, out of range or without its origin.

    """
    wanted = {block: tuple(field.name for field in fields(kind)) for block, kind in _BLOCKS.items()}
    figures = read_blocks(text, wanted, called="table of practice", problem=_problem)
    return PracticeTable(**{block: kind(**figures[block]) for block, kind in _BLOCKS.items()})


def _problem(name: str, value: float) -> str:
    """Say what would be allowed instead; empty where the value is."""
    if name in _SHARES:
        return "" if 0 < value <= 1 else "above 0, up to 1"
    if name in _AT_LEAST_ONE:
        return "" if value >= 1 else "1 or above"
    return "" if value > 0 or name in _ANY_SIGN else "above 0"
