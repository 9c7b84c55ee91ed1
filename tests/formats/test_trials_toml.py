"""The table by which trials are judged: as packaged, and with faults."""

from importlib import resources

import pytest

from slurwright.devices.packaged import load_trial_rules
from slurwright.errors import RequestError
from slurwright.formats.trials_toml import parse_trial_rules

TEXT = (resources.files("slurwright") / "data" / "trials.toml").read_text(encoding="utf-8")


def test_the_packaged_table() -> None:
    rules = load_trial_rules()
    assert (rules.worth_chance, rules.worth_smoothness, rules.worth_cents) == (0.05, 0.1, 5.0)
    assert 0.5 < rules.clear_last <= rules.clear_first < 1.0
    assert isinstance(rules.most_blocks, int)


@pytest.mark.parametrize(
    ("before", "after", "said"),
    [
        ("clear_last         =", "clear_lost =", "clear_last.*\n.*clear_lost"),
        ("value = 0.945", "value = 1.5", "out of range; got 1.5"),
        ("value = 30,", "value = 30.5,", "a whole number from 1"),
        ("value = 30,", "value = true,", "not a number"),
        ('why = "one slur in twenty"', 'why = ""', "no source or reason"),
        ('from = "common practice"', 'from = "hearsay"', "no origin"),
        ("hardly             = { value = 0.35", "hardly = { value = 0.85", "nothing is left"),
        ("[judging]", "[judging", "not TOML"),
    ],
)
def test_faults_are_said(before: str, after: str, said: str) -> None:
    assert before in TEXT
    with pytest.raises(RequestError, match=said):
        parse_trial_rules(TEXT.replace(before, after, 1))
