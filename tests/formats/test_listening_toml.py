"""The table of limits is read whole or refused whole."""

from importlib import resources

import pytest

from slurwright.errors import SoundError
from slurwright.formats.listening_toml import limits_from_toml

TABLE = (resources.files("slurwright") / "data" / "listening.toml").read_text(encoding="utf-8")


def test_packaged_table_reads() -> None:
    limits = limits_from_toml(TABLE)
    assert limits.quality.silence_ms[0] < limits.quality.silence_ms[1]
    assert limits.losses.silence > limits.losses.abrupt


@pytest.mark.parametrize(
    ("old", "new", "match"),
    [
        ("silence    = 3.5", "silence = true", "allowed: a number"),
        ("silence    = 3.5", "silence = inf", "allowed: a number"),
        ("silence    = 3.5", "", "missing"),
        ("silence    = 3.5", "silence = 3.5\nwishes = 3", "no such limit"),
        ("silence_ms      = [8.0, 60.0]", "silence_ms = [60.0, 8.0]", "rising"),
        ("silence_ms      = [8.0, 60.0]", "silence_ms = 8.0", "rising"),
        ('tag = "ours, provisional"', 'tag = "certain"', "provenance"),
        ("[losses]", "[hopes]", "no such block"),
        ("[losses]", "[losses", "not TOML"),
    ],
)
def test_a_damaged_table_is_refused(old: str, new: str, match: str) -> None:
    assert old in TABLE
    with pytest.raises(SoundError, match=match):
        limits_from_toml(TABLE.replace(old, new, 1))


def test_a_block_without_source_is_refused() -> None:
    head, _, tail = TABLE.partition('source = "')
    with pytest.raises(SoundError, match="no source"):
        limits_from_toml(head + 'source = "' + tail[tail.index('"') :])


def test_all_faults_are_told_at_once() -> None:
    with pytest.raises(SoundError) as caught:
        limits_from_toml("[quality]\nsilence_ms = 3\n")
    assert len(caught.value.faults) > 8
