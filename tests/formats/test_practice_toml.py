"""The table of practice: read whole, or refused with every fault."""

from importlib import resources

import pytest

from slurwright.devices.packaged import load_practice
from slurwright.errors import RequestError
from slurwright.formats.practice_toml import practice_from_toml


def _packaged() -> str:
    return (resources.files("slurwright") / "data" / "practice.toml").read_text(encoding="utf-8")


def test_the_packaged_table_is_whole() -> None:
    table = practice_from_toml(_packaged())
    assert table == load_practice()
    assert table.time.soft_high_rest_each >= table.time.rest_each >= 1.0, "the sheet keeps to its own caution"


@pytest.mark.parametrize(
    ("old", "new", "words"),
    [
        ("each           = { value = 0.08", "each           = { value = -1.0", "gain, each: out of range"),
        ("kept           = { value = 0.6", "kept           = { value = 1.6", "gain, kept: out of range"),
        ("kept           = { value = 0.6", 'kept           = { value = "half"', "gain, kept: not a number"),
        ("set_tries     =", "set_trys      =", "shape: no such entry; got set_trys"),
        ("set_tries     =", "set_trys      =", "shape: missing entry; allowed: set_tries"),
        ("most_slurs    = { value = 5.0", "most_slurs    = { value = 0.0", "shape, most_slurs: out of range"),
        ('from = "common practice"', 'from = "hearsay"', "no origin"),
        ('why = "rest as long as you play"', 'why = " "', "no source or reason"),
        ("[returns]", "[turns]", "no such block"),
        ("[gain]", "[gain", "not TOML"),
    ],
)
def test_faults_are_named(old: str, new: str, words: str) -> None:
    text = _packaged()
    assert old in text
    with pytest.raises(RequestError) as caught:
        practice_from_toml(text.replace(old, new, 1))
    assert words in str(caught.value)


def test_all_faults_come_at_once() -> None:
    text = (
        _packaged()
        .replace("again          =", "agin           =", 1)
        .replace("kept           =", "kpt            =", 1)
    )
    with pytest.raises(RequestError) as caught:
        practice_from_toml(text)
    assert len(caught.value.faults) == 4
