"""What is said of progress is true about as often as it claims; the full tables: benchmarks/progress_told."""

import numpy as np
import pytest

from builders.progress_worlds import Said, said_of_notes, said_of_slurs
from slurwright.evidence.progress.values import Verdict

TOLD = {Verdict.BETTER: 1.0, Verdict.WORSE: -1.0}


@pytest.fixture(scope="module")
def jumping() -> tuple[Said, ...]:
    return tuple(one for seed in range(1000, 1024) for one in said_of_slurs("one jump", seed))


def test_changes_of_slurs_that_are_told_are_true(jumping: tuple[Said, ...]) -> None:
    told = [one.gain * TOLD[one.verdict] > 0 for one in jumping if one.verdict in TOLD]
    assert len(told) >= 8, "half of the slurs change by more than a factor of two in their odds"
    assert np.mean(told) >= 0.8


def test_chances_of_a_change_foretell_it(jumping: tuple[Said, ...]) -> None:
    said = np.array([one.better for one in jumping])
    true = np.array([one.gain > 0 for one in jumping])
    assert np.mean((said - true) ** 2) < 0.23, "a coin that is always called even scores 0.25"
    sure = np.maximum(said, 1.0 - said)
    right = np.where(said >= 0.5, true, ~true)
    assert np.mean(right) == pytest.approx(np.mean(sure), abs=0.12)


def test_slurs_that_stay_are_seldom_told_as_changed() -> None:
    said = [one for seed in range(1000, 1012) for one in said_of_slurs("stays", seed)]
    assert np.mean([one.verdict in TOLD for one in said]) <= 0.06
    assert np.mean([one.end_held for one in said]) >= 0.78


def test_notes_that_came_nearer_are_told_and_those_that_stay_are_not() -> None:
    learnt = [one for seed in range(1000, 1024) for one in said_of_notes("half of them learnt", seed)]
    told = [one.gain * TOLD[one.verdict] > 0 for one in learnt if one.verdict in TOLD]
    assert len(told) >= 8
    assert np.mean(told) >= 0.8
    assert np.mean([one.end_held for one in learnt]) >= 0.82
    stayed = [one for seed in range(1000, 1012) for one in said_of_notes("stay", seed)]
    assert np.mean([one.verdict in TOLD for one in stayed]) <= 0.03
    assert 0.88 <= np.mean([one.end_held for one in stayed]) <= 0.99
