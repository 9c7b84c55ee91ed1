"""The table of beliefs is read whole or refused whole."""

from importlib import resources

import pytest

from slurwright.errors import RequestError
from slurwright.formats.evidence_toml import parse_beliefs

TABLE = (resources.files("slurwright") / "data" / "evidence.toml").read_text(encoding="utf-8")


def test_packaged_table_reads() -> None:
    beliefs = parse_beliefs(TABLE)
    assert beliefs.effects.crossing == 0.5
    assert beliefs.drift.crossing_knots_weeks[:3] == (0.0, 1.0, 2.0)
    assert 1.0 in beliefs.scales.sizes
    assert beliefs.ear.doubt < 0.5


@pytest.mark.parametrize(
    ("old", "new", "match"),
    [
        ("lip             = { value = 0.35", "lip             = { value = -1", "above 0"),
        ("lip             = { value = 0.35", 'lip             = { value = "a"', "not a number"),
        ("lip             = { value = 0.35", "lip             = { value = [0.35]", "not a number"),
        ("[0, 2, 6, 18, 54]", "54", "not a list of numbers"),
        ("[0, 2, 6, 18, 54]", "[2, 6]", "rise from 0"),
        ("[0, 2, 6, 18, 54]", "[0, 6, 2]", "rise from 0"),
        ("[0, 2, 6, 18, 54]", "[]", "not a list of numbers"),
        ("good   = { value = 0.95", "good   = { value = 1.5", "0 to 1"),
        ("doubt  = { value = 0.02", "doubt  = { value = 0.5", "below 0.5"),
        ('from = "from memory"', 'from = "somebody"', "no origin"),
        ('why = "a season"', 'why = " "', "no source or reason"),
        ("[hands]", "[feet]", "no such block"),
        ("memory_weeks   =", "memory_years   =", "missing entry"),
        ("memory_weeks   =", "memory_years   =", "no such entry"),
        ("[ear]", "[ear", "not TOML"),
    ],
)
def test_a_damaged_table_is_refused(old: str, new: str, match: str) -> None:
    assert old in TABLE
    with pytest.raises(RequestError, match=match):
        parse_beliefs(TABLE.replace(old, new, 1))


def test_all_faults_are_told_at_once() -> None:
    with pytest.raises(RequestError) as caught:
        parse_beliefs(TABLE.replace("0.35", "-1"))
    assert len(caught.value.faults) >= 3
