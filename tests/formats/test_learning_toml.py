"""The table of priors is read whole or refused whole."""

from importlib import resources

import pytest

from slurwright.errors import HornError
from slurwright.formats.learning_toml import priors_from_toml

TABLE = (resources.files("slurwright") / "data" / "learning.toml").read_text(encoding="utf-8")


def test_packaged_table_reads() -> None:
    priors = priors_from_toml(TABLE)
    assert priors.reading_sd_cents == 6.0
    # 12 cents of scatter between partials, 15 cents of a session
    assert (priors.smooth_sd_cents**2 + priors.fine_sd_cents**2) ** 0.5 == pytest.approx(12.0, abs=0.1)
    assert (priors.air_sd_cents**2 + priors.main_slide_sd_cents**2) ** 0.5 == pytest.approx(15.0, abs=0.2)


@pytest.mark.parametrize(
    ("old", "new", "match"),
    [
        ("reading_sd_cents = 6.0", "reading_sd_cents = -1", "above zero"),
        ("reading_sd_cents = 6.0", "", "missing"),
        ("reading_sd_cents = 6.0", "reading_sd_cents = 6.0\nwishes = 3", "no such prior"),
        ('tag = "ours, provisional"', 'tag = "certain"', "provenance"),
        ("[reading]", "[reading", "not TOML"),
    ],
)
def test_a_damaged_table_is_refused(old: str, new: str, match: str) -> None:
    assert old in TABLE
    with pytest.raises(HornError, match=match):
        priors_from_toml(TABLE.replace(old, new, 1))


def test_a_block_without_source_is_refused() -> None:
    head, _, tail = TABLE.partition('source = "')
    with pytest.raises(HornError, match="no source"):
        priors_from_toml(head + 'source = "' + tail[tail.index('"') :])
