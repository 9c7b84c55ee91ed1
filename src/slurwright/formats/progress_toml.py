"""The table of progress as TOML, see `figures_toml`: which range each figure has."""

from collections.abc import Mapping
from dataclasses import fields
from typing import Any

from slurwright.evidence.progress.table import NoteRules, ProgressTable, SlurRules
from slurwright.formats.figures_toml import read_blocks

__all__ = ["parse_progress"]

_BLOCKS: Mapping[str, type[Any]] = {"slurs": SlurRules, "notes": NoteRules}
_SEVERAL = ("scatter_cents", "wander_cents")
_CHANCES = ("sure", "worth", "holds")


def parse_progress(text: str) -> ProgressTable:
    """Read the table of progress.

    Args:
        text: TOML with the blocks slurs and notes.

    Raises:
        RequestError: not TOML, or an entry that is missing, unknown, out of range or without its origin.
    """
    wanted = {name: tuple(field.name for field in fields(kind)) for name, kind in _BLOCKS.items()}
    figures = read_blocks(text, wanted, called="progress.toml", problem=_problem, lists=_SEVERAL)
    return ProgressTable(slurs=SlurRules(**figures["slurs"]), notes=NoteRules(**figures["notes"]))


def _problem(name: str, value: float) -> str:
    """Say what would be allowed instead; empty where the value is."""
    if name in _CHANCES:
        return "" if 0 < value < 1 else "above 0, below 1"
    return "" if value > 0 else "above 0"
