"""Rough recordings: a note keeps its pitch through few bits, a low rate, cut tops and lossy codecs."""

from collections.abc import Callable
from io import BytesIO

import numpy as np
import pytest
from numpy.typing import NDArray

from builders.sound_files import encoded
from builders.takes import RATE_HZ, lone_note
from slurwright.devices.sound_scratch import ScratchSound
from slurwright.formats.sound.working import to_working_rate
from slurwright.listen.figure import Figure
from slurwright.listen.followed import PlayedAs, PlayedNote
from slurwright.listen.levels import level_check
from slurwright.listen.measures import LevelFault
from slurwright.listen.notes import measure_note
from slurwright.listen.sound import HeldSound
from slurwright.listen.tracking import pitch_track

Wave = NDArray[np.float32]
WITHIN_CENTS = 1.0


def to_8_khz(samples: Wave) -> Wave:
    """As an old recorder has it: every partial above 3.6 kHz is gone."""
    spectrum = np.fft.rfft(samples)
    count = round(len(samples) * 8_000 / RATE_HZ)
    kept = spectrum[: count // 2 + 1] * (np.arange(count // 2 + 1) < 0.45 * count)
    return np.asarray(np.fft.irfft(kept, count) * count / len(samples), np.float32)


def loud(samples: Wave) -> Wave:
    return np.asarray(0.5 * samples / np.abs(samples).max(), np.float32)


def same(samples: Wave) -> Wave:
    return samples


ROUGH: dict[str, tuple[Callable[[Wave], Wave], str, int]] = {
    "8 kHz": (to_8_khz, "wav", 8_000),
    "8 bit": (same, "wav8", 22_050),
    "8 kHz, 8 bit": (to_8_khz, "wav8", 8_000),
    "offset": (lambda x: x + np.float32(0.3), "wav", 22_050),
    "cut off at half": (lambda x: np.clip(x, -0.25, 0.25), "wav", 22_050),
    "very soft": (lambda x: x * np.float32(0.01), "wav", 22_050),
    "mp3": (same, "mp3", 22_050),
    "ogg": (same, "ogg", 22_050),
    "out of phase": (lambda x: np.stack((x, -x), axis=1), "flac", 22_050),
}
FAULTS = {"cut off at half": LevelFault.CLIPPED, "very soft": LevelFault.SOFT}


@pytest.mark.parametrize("way", ROUGH)
@pytest.mark.parametrize("hz", [58.27, 233.08, 698.46])
def test_a_note_keeps_its_pitch(way: str, hz: float) -> None:
    spoil, kind, rate_hz = ROUGH[way]
    whole = loud(lone_note(hz, "clean", seed=1_050).samples)
    scratch = BytesIO()
    data = encoded(spoil(whole), kind, rate_hz=rate_hz)
    made = to_working_rate(BytesIO(data), name=f"take.{kind}", write=scratch.write)
    sound = ScratchSound(scratch, rate_hz=made.rate_hz, length=made.length, weights=made.weights, offset=made.offset)
    track = pitch_track(sound)
    check = level_check(sound, track, raw=made.info.raw)
    assert (FAULTS[way] in check.faults) if way in FAULTS else (check.faults == ())
    played = PlayedNote(0.5, 0.01, 2.0, hz, 0, PlayedAs.ASKED)
    cents = measure_note(sound, track, played, played_index=0, target_hz=hz).cents
    best = measure_note(
        HeldSound(whole, RATE_HZ), pitch_track(HeldSound(whole, RATE_HZ)), played, played_index=0, target_hz=hz
    ).cents
    assert isinstance(cents, Figure)
    assert isinstance(best, Figure)
    assert abs(cents.value - best.value) < WITHIN_CENTS
