"""Recordings on disk: whatever comes gives its sound or an error in words."""

from pathlib import Path

import numpy as np
import pytest
import soundfile

from slurwright.devices.sound import open_sound
from slurwright.errors import SoundError

RATE = 48_000
SECOND = np.arange(RATE) / RATE


def tone(hz: float = 220.0, peak: float = 0.3) -> np.ndarray:
    return (peak * np.sin(2 * np.pi * hz * SECOND)).astype(np.float32)


def test_a_recording_is_read_at_the_working_rate(tmp_path: Path) -> None:
    soundfile.write(tmp_path / "take.wav", tone(), RATE)
    with open_sound(tmp_path / "take.wav") as opened:
        assert (opened.sound.rate_hz, opened.sound.length) == (24_000, 24_000)
        assert opened.info.words == "WAV, 16 bit"
        assert opened.notices == ()
        middle = opened.sound.read(1000, 2000)
    np.testing.assert_allclose(middle, tone()[2000:4000:2], atol=2e-4)


def test_there_must_be_a_file(tmp_path: Path) -> None:
    with pytest.raises(SoundError, match="there is no such file"), open_sound(tmp_path / "no.wav"):
        pass
