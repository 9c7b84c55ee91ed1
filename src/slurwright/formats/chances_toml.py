"""The table of priors as TOML, see `figures_toml`: which range each figure has."""

from dataclasses import fields
from typing import Any

from slurwright.formats.figures_toml import read_blocks
from slurwright.plan.chances import (
    Chances,
    FingerChances,
    SlideChances,
    SlurChances,
    TechniqueChances,
    TuneChances,
)

__all__ = ["parse_chances"]

_BLOCKS: dict[str, type[Any]] = {
    "slur": SlurChances,
    "slide": SlideChances,
    "technique": TechniqueChances,
    "fingers": FingerChances,
    "tune": TuneChances,
}
_LIMITS = ("weak_above",)
_UNIT_INTERVAL = {
    "tongue_known",
    "half_valve_known",
    "normal",
    "departing",
    "even_each_semitone",
    "even_each_rung",
    "weak_above",
}
_ABOVE_ZERO = {
    "edge_cents",
    "usual_trip_s",
    "need_s",
    "slide_need_s",
    "short_s",
    "noticed_cents",
    "same_place_m",
    "smear_usual_m",
}
_NOT_BELOW_ZERO = {
    "each_gap",
    "each_interval",
    "each_skipped",
    "each_closer",
    "each_softer",
    "each_louder",
    "down",
    "each_doubling",
    "settle_trips",
    "hurry",
    "cover",
    "valve_each_softer",
    "each_dm",
    "tongued_each_softer",
    "crossing_each_dm",
    "half_valve_moves",
    "each_moved",
    "each_contrary",
    "thumb",
    "need_each_moved_s",
    "slide_each_dm",
    "slide_need_each_dm_s",
    "lipped_down_cents",
    "lipped_up_cents",
    "loudest",
    "close_below_cents",
}


def parse_chances(text: str) -> Chances:
    """Read the table of priors.

    Args:
        text: TOML with the blocks slur, slide, technique, fingers, tune and limits.

    Raises:
        RequestError: not TOML, or an entry that is missing, unknown, out of range or without its origin.

    """
    wanted = {block: tuple(field.name for field in fields(kind)) for block, kind in _BLOCKS.items()}
    wanted["limits"] = _LIMITS
    figures = read_blocks(text, wanted, called="table of chances", problem=_problem)
    return Chances(
        slur=SlurChances(**figures["slur"]),
        slide=SlideChances(**figures["slide"]),
        technique=TechniqueChances(**figures["technique"]),
        fingers=FingerChances(**figures["fingers"]),
        tune=TuneChances(**figures["tune"]),
        weak_above=figures["limits"]["weak_above"],
    )


def _problem(name: str, value: float) -> str:
    """Say what would be allowed instead; empty where the value is."""
    if name in _UNIT_INTERVAL:
        return "" if 0 < value <= 1 else "above 0, up to 1"
    if name in _ABOVE_ZERO:
        return "" if value > 0 else "above 0"
    return "0 or above" if name in _NOT_BELOW_ZERO and value < 0 else ""
