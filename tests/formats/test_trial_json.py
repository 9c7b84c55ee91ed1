"""The design of a trial goes into its document and comes back; a damaged one is refused with its faults."""

import json
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from builders.trials import trial_of
from slurwright.errors import StoreError
from slurwright.evidence.trial.values import Aspect
from slurwright.formats.trial_json import design_from_json, design_to_json


@given(
    arms=st.integers(2, 4), seed=st.integers(0, 2**31 - 1), aim=st.sampled_from(Aspect), worth=st.floats(0.01, 0.9)
)
@settings(max_examples=40, deadline=None)
def test_round_trip(arms: int, seed: int, aim: Aspect, worth: float) -> None:
    design = trial_of(arms, seed=seed, aim=aim, worth_chance=worth)
    text = design_to_json(design)
    assert design_from_json(text) == design
    assert design_to_json(design_from_json(text)) == text


def spoilt(change: dict[str, Any], *path: str | int) -> str:
    document = json.loads(design_to_json(trial_of()))
    inner = document
    for key in path:
        inner = inner[key]
    inner.update(change)
    return json.dumps(document)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("{", "not JSON"),
        ("[]", "not an object"),
        (spoilt({"schema": 2}), "trial.schema"),
        (spoilt({"aim": "loudness"}), "trial.aim"),
        (spoilt({"arms": []}), "too few or too many arms"),
        (spoilt({"technique": "growl"}, "arms", 0), "trial.arms.technique"),
        (spoilt({"ways": []}, "arms", 1), "two of them"),
        (spoilt({"written": "H3"}, "arms", 0, "ways", 0), "trial.arms.ways.written"),
        (spoilt({"most_blocks": 10**9}, "rules"), "not a length of a trial"),
        (spoilt({"clear_first": True}, "rules"), "trial.rules.clear_first"),
        (spoilt({"more": 1}), "not known"),
    ],
)
def test_faults_are_said(text: str, said: str) -> None:
    with pytest.raises(StoreError, match=said):
        design_from_json(text)
