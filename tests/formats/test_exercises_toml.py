"""The table of figures by which exercises are made is read whole or refused whole."""

from importlib import resources

import pytest

from slurwright.errors import RequestError
from slurwright.formats.exercises_toml import parse_exercise_rules
from slurwright.practice.exercise.rules import ExerciseRules

TABLE = (resources.files("slurwright") / "data" / "exercises.toml").read_text(encoding="utf-8")


def test_the_packaged_table_reads() -> None:
    assert parse_exercise_rules(TABLE) == ExerciseRules()


@pytest.mark.parametrize(
    ("old", "new", "match"),
    [
        ("value = 60.0", "value = -60.0", "above 0"),
        ("value = 60.0", 'value = "slow"', "not a number"),
        ("easy_qpm ", "hasty_qpm ", "no such entry"),
        ("easy_qpm ", "hasty_qpm ", "missing entry"),
        ('from = "common practice"', 'from = "certain"', "no origin"),
        ('why = "a beat', 'whence = "a beat', "value, from and why"),
        ("[rest]", "[rest", "not TOML"),
        ("[rest]", "[rest]\nnothing = 3", "no such entry"),
    ],
)
def test_a_damaged_table_is_refused(old: str, new: str, match: str) -> None:
    assert old in TABLE
    with pytest.raises(RequestError, match=match):
        parse_exercise_rules(TABLE.replace(old, new, 1))
