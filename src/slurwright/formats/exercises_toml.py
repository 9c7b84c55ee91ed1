"""The figures by which exercises are made as TOML, see `figures_toml`: which range each has."""

from dataclasses import fields

from slurwright.formats.figures_toml import read_entries
from slurwright.practice.exercise.rules import ExerciseRules

__all__ = ["parse_exercise_rules"]

_ANY_SIGN = {"soft_steps"}


def parse_exercise_rules(text: str) -> ExerciseRules:
    """Read the figures.

    Args:
        text: TOML with an entry for each field of ``ExerciseRules``.

    Raises:
        RequestError: not TOML, or an entry that is missing, unknown, out of range or without its origin.

    """
    names = [field.name for field in fields(ExerciseRules)]
    return ExerciseRules(**read_entries(text, names, called="exercises.toml", problem=_problem))


def _problem(name: str, value: float) -> str:
    """Say what would be allowed instead; empty where the value is."""
    return "" if value > 0 or name in _ANY_SIGN else "above 0"
