"""A recording in which nothing is heard, and folders that are not there."""

from pathlib import Path

import numpy as np
import pytest

from slurwright.devices.packaged import load_horn
from slurwright.errors import RequestError, SoundError
from slurwright.formats.sound.wav import wav_bytes
from slurwright.jobs.study import StudyRequest
from slurwright.jobs.take.measure import TakeRequest
from slurwright.wiring.take import TakeOutputs, asked_part, measure_file


def test_what_was_assumed_is_said_beside_the_refusal(tmp_path: Path) -> None:
    part = asked_part(None, "K:Bb clef=treble\nL:1/4\nFBdf|", load_horn("trumpet-b"), StudyRequest())
    noise = 0.1 * np.random.default_rng(1000).standard_normal(4 * 22050)
    recording = tmp_path / "monday.wav"
    recording.write_bytes(wav_bytes(noise.astype(np.float32), 22050)[:150_000])
    with pytest.raises(SoundError) as caught:
        measure_file(recording, part.study, TakeRequest(), tick=lambda _share: None)
    heard, *notes = (str(fault) for fault in caught.value.faults)
    assert "nothing of the passage is heard" in heard
    assert any("damaged or cut off" in note for note in notes)
    assert any("say --written-for treble-b" in note for note in notes)


def test_all_that_cannot_be_written_is_told_before_any_work(tmp_path: Path) -> None:
    gone = tmp_path / "gone"
    with pytest.raises(RequestError) as caught:
        TakeOutputs(page=gone / "take.pdf", notes=gone / "notes.csv", slurs=Path("slurs.txt"))
    assert [fault.problem for fault in caught.value.faults] == [
        "a table of slurs cannot be written as this",
        "there is no such folder to write into",
    ]
