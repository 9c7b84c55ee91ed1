"""The table of priors: every figure says where it is from, and all faults are told at once."""

import re
import tomllib
from importlib import resources

import pytest

from slurwright.devices.packaged import load_chances
from slurwright.errors import RequestError
from slurwright.formats.chances_toml import parse_chances
from slurwright.formats.figures_toml import ORIGINS

TEXT = (resources.files("slurwright") / "data" / "chances.toml").read_text(encoding="utf-8")


def test_the_packaged_table_is_read() -> None:
    chances = load_chances()
    assert chances == parse_chances(TEXT)
    assert chances.slur.lip == tomllib.loads(TEXT)["slur"]["lip"]["value"]


def test_every_figure_says_where_it_is_from() -> None:
    entries = [entry for block in tomllib.loads(TEXT).values() for entry in block.values()]
    assert len(entries) > 45
    assert {entry["from"] for entry in entries} <= set(ORIGINS)
    for entry in entries:
        assert entry["from"] != "published" or re.search(r"\(\d{4}\)", entry["why"]), (
            "a published figure names its year"
        )


@pytest.mark.parametrize(
    ("found", "put", "said"),
    [
        ("[slur]", "[slur", "not TOML"),
        ("[tune]", "[tune_]", "no such block; got tune_"),
        ('from = "derived"', 'from = "somewhere"', "no origin; got 'somewhere'; allowed: published"),
        ("value = 0.97,", "value = 1.5,", "out of range; got 1.5; allowed: above 0, up to 1"),
        ("value = 0.465,", "value = -0.465,", r"slur, each_softer: out of range; got -0.465; allowed: 0 or above"),
        ("value = 8.0,", "value = 0.0,", "tune, edge_cents: out of range"),
        ("value = -3.13,", 'value = "low",', "slur, lip: not a number"),
        ("value = -3.13,", "value = inf,", "slur, lip: not a number"),
        ("each_gap ", "each_gasp ", "no such entry; got each_gasp"),
        ("each_gap ", "each_gasp ", "missing entry; allowed: each_gap"),
        ('why = "more air helps a little"', 'why = " "', "no source or reason"),
        (', why = "more air helps a little"', "", "value, from and why"),
    ],
)
def test_faults_are_named(found: str, put: str, said: str) -> None:
    assert found in TEXT
    with pytest.raises(RequestError, match=said):
        parse_chances(TEXT.replace(found, put, 1))


def test_all_faults_are_told_at_once() -> None:
    broken = TEXT.replace("value = -3.13", "value = true").replace("value = 8.0", "value = 0")
    with pytest.raises(RequestError) as caught:
        parse_chances(broken)
    assert len(caught.value.faults) == 2
