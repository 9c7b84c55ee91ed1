"""How trials are judged as TOML, see `figures_toml`: which range each figure has."""

from dataclasses import fields

from slurwright.errors import RequestError
from slurwright.evidence.trial.values import TrialRules
from slurwright.formats.figures_toml import read_entries

__all__ = ["parse_trial_rules"]

_WHERE = "trials.toml"
_CHANCES = {"clear_first", "clear_last", "gain_unlikely", "hardly", "otherwise", "worth_chance", "smooth_mean"}
_COUNTS = {"least_blocks", "most_blocks", "round_tries"}


def parse_trial_rules(text: str) -> TrialRules:
    """Read how trials are judged.

    Args:
        text: TOML with an entry for each field of ``TrialRules``.

    Raises:
        RequestError: not TOML, or an entry that is missing, unknown, out of range or without its origin.
    """
    wanted = [field.name for field in fields(TrialRules)]
    figures = read_entries(text, wanted, called=_WHERE, problem=_problem)
    rules = TrialRules(**figures | {name: int(figures[name]) for name in _COUNTS})
    if rules.hardly + rules.otherwise >= 1.0:
        got = f"{rules.hardly:g} and {rules.otherwise:g}"
        raise RequestError("nothing is left for what the plan believes", got=got, where=_WHERE)
    return rules


def _problem(name: str, value: float) -> str:
    """Say what would be allowed instead; empty where the value is."""
    if name in _COUNTS:
        return "" if float(value).is_integer() and value >= 1 else "a whole number from 1"
    if name in _CHANCES:
        return "" if 0 < value < 1 else "above 0, below 1"
    return "" if value > 0 else "above 0"
