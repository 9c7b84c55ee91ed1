"""Spoiled files of every kind: sound or an error in words, never a dead process, in little time and memory.

`benchmarks/sound_fuzz.py` does the same with many more.
"""

import pytest

from builders.sound_fuzz import fuzz

pytest.importorskip("av")


def test_fifteen_hundred_spoiled_files_do_no_harm() -> None:
    report = fuzz(1_500, seed=1)
    assert report.bugs == ()
    assert report.deaths == ()
    assert report.sound > 300
    assert report.refused > 300
    assert report.peak_mb < 300
