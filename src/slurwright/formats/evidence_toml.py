"""What is believed of players as TOML, see `figures_toml`: which range each figure has."""

from typing import Any, get_type_hints

from slurwright.errors import Fault, RequestError
from slurwright.evidence.learning.beliefs import Beliefs
from slurwright.formats.figures_toml import read_blocks

__all__ = ["parse_beliefs"]

_BLOCKS: dict[str, type[Any]] = get_type_hints(Beliefs)
_UNIT_INTERVAL = {"good", "rough", "missed", "trusted"}
_BELOW_HALF = {"doubt"}
_KNOTS = {"crossing_knots_weeks", "ways_knots_weeks"}


def parse_beliefs(text: str) -> Beliefs:
    """Read what is believed of players.

    Args:
        text: TOML with one block for each field of ``Beliefs``.

    Raises:
        RequestError: not TOML, or an entry that is missing, unknown, out of range or without its origin.
    """
    kinds = {block: get_type_hints(kind) for block, kind in _BLOCKS.items()}
    lists = {name for hints in kinds.values() for name, kind in hints.items() if kind is not float}
    figures = read_blocks(text, kinds, called="table of beliefs", problem=_problem, lists=lists)
    faults = tuple(
        Fault("not ages", got=repr(list(value)), allowed="numbers that rise from 0", where=f"{block}, {name}")
        for block, entries in figures.items()
        for name, value in entries.items()
        if name in _KNOTS and (value[0] != 0 or list(value) != sorted(set(value)))
    )
    if faults:
        raise RequestError(faults=faults)
    return Beliefs(**{block: kind(**figures[block]) for block, kind in _BLOCKS.items()})


def _problem(name: str, value: float) -> str:
    """Say what would be allowed instead; empty where the value is."""
    if name in _KNOTS:
        return "" if value >= 0 else "0 or above"
    if name in _UNIT_INTERVAL:
        return "" if 0 <= value <= 1 else "0 to 1"
    if name in _BELOW_HALF:
        return "" if 0 <= value < 0.5 else "0 or above, below 0.5"
    return "" if value > 0 else "above 0"
