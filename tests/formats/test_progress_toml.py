"""The table of progress is read whole or refused whole."""

from importlib import resources

import pytest

from slurwright.errors import RequestError
from slurwright.formats.progress_toml import parse_progress

TABLE = (resources.files("slurwright") / "data" / "progress.toml").read_text(encoding="utf-8")


def test_the_packaged_table_reads() -> None:
    table = parse_progress(TABLE)
    assert table.slurs.least_attempts == 8.0
    assert table.notes.scatter_cents == (2.0, 4.0, 8.0)


@pytest.mark.parametrize(
    ("old", "new", "match"),
    [
        ("value = 8, ", "value = -8, ", "above 0"),
        ("sure           = { value = 0.9,", "sure           = { value = 1.5,", "above 0, below 1"),
        ("value = [2.0, 4.0, 8.0]", "value = 4.0", "not a list of numbers"),
        ("value = [2.0, 4.0, 8.0]", "value = []", "not a list of numbers"),
        ("value = 8, ", "value = true, ", "not a number"),
        ("tail           =", "tails          =", "no such entry"),
        ("tail           =", "tails          =", "missing entry"),
        ("[notes]", "[melodies]", "no such block"),
        ('from = "ours, provisional", why = "as for slurs"', 'from = "certain", why = "as for slurs"', "no origin"),
        ('why = "as for slurs"', 'why = " "', "no source or reason"),
        ("[slurs]", "[slurs", "not TOML"),
    ],
)
def test_a_damaged_table_is_refused(old: str, new: str, match: str) -> None:
    assert old in TABLE
    with pytest.raises(RequestError, match=match):
        parse_progress(TABLE.replace(old, new, 1))
