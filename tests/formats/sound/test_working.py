"""Sound files read block by block: every kind gives its sound; what is odd is said, what is no sound raises."""

import io
import re

import numpy as np
import pytest
from numpy.typing import NDArray

from builders.sound_files import KINDS, encoded, tone, wav_bytes, with_chunk_size
from slurwright.errors import SoundError
from slurwright.formats.sound import working
from slurwright.formats.sound.working import Working, to_working_rate

HZ = 220.0
RATE = 48_000
TONE = tone(hz=HZ, rate_hz=RATE)
EXTRA = ("m4a", "adts", "webm", "3gp")


def read(data: bytes, name: str = "take.wav") -> tuple[np.ndarray, Working]:
    """What the listening room gets of a file."""
    out = io.BytesIO()
    made = to_working_rate(io.BytesIO(data), name=name, write=out.write)
    frames = np.frombuffer(out.getvalue(), np.float32).reshape(-1, made.info.channels)
    assert len(frames) == made.length
    return frames @ np.array(made.weights, np.float32) - np.float32(made.offset), made


def lag_of(heard: np.ndarray, wanted: np.ndarray) -> int:
    """By how many samples ``heard`` comes later."""
    length = min(len(heard), len(wanted))
    spectrum = np.fft.rfft(heard[:length], 2 * length) * np.conj(np.fft.rfft(wanted[:length], 2 * length))
    lag = int(np.argmax(np.fft.irfft(spectrum)))
    return lag - 2 * length if lag > length else lag


def chirp(rate_hz: int = RATE) -> NDArray[np.float32]:
    time = np.arange(rate_hz) / rate_hz
    wave = np.sin(2 * np.pi * (100 * time + 700 * time**2))
    return np.asarray(0.3 * (wave - wave.mean()), np.float32)


@pytest.mark.parametrize("kind", KINDS)
def test_every_kind_is_read_in_time_and_loudness(kind: str) -> None:
    heard, made = read(encoded(chirp(), kind), f"take.{kind.rstrip('8234fd')}")
    wanted = chirp()[::2]
    assert made.rate_hz == 24_000
    assert made.remarks == ()
    assert lag_of(heard, wanted) == 0
    within = {"wav8": 0.01, "ogg": 0.05, "opus": 0.05, "mp3": 0.05}.get(kind, 2e-4)
    middle = slice(2_000, 22_000)
    assert np.sqrt(np.mean((heard[middle] - wanted[middle]) ** 2)) < within


@pytest.mark.parametrize("kind", EXTRA)
def test_kinds_of_the_extra_are_read(kind: str) -> None:
    pytest.importorskip("av")
    heard, made = read(encoded(chirp(), kind), f"take.{ {'adts': 'aac'}.get(kind, kind) }")
    wanted = chirp()[::2]
    lag = lag_of(heard, wanted)
    assert lag == (512 if kind == "adts" else 0)  # bare AAC frames do not say how long their encoder took
    assert made.remarks == ()
    middle = slice(2_000 + lag, 22_000)
    assert np.sqrt(np.mean((heard[middle] - wanted[2_000 : 22_000 - lag]) ** 2)) < 0.02


def test_without_the_extra_it_is_said_how_to_get_it(monkeypatch: pytest.MonkeyPatch) -> None:
    pytest.importorskip("av")
    data = encoded(TONE, "m4a")
    monkeypatch.setattr("slurwright.formats.sound.with_ffmpeg.find_spec", lambda _: None)
    with pytest.raises(SoundError, match=r"M4A needs an extra .* pip install 'slurwright\[m4a\]'"):
        read(data, "take.m4a")


@pytest.mark.parametrize("rate_hz", [8_000, 11_025, 16_000, 22_050, 32_000, 44_100, 88_200, 96_000, 192_000])
def test_rates(rate_hz: int) -> None:
    heard, made = read(encoded(tone(rate_hz=rate_hz), "wav", rate_hz=rate_hz))
    assert made.info.rate_hz == rate_hz
    assert len(heard) / made.rate_hz == pytest.approx(1.0, abs=1e-3)
    spectrum = np.abs(np.fft.rfft(heard * np.hanning(len(heard))))
    assert np.fft.rfftfreq(len(heard), 1 / made.rate_hz)[np.argmax(spectrum)] == pytest.approx(HZ, abs=1.0)


@pytest.mark.parametrize("rate_hz", [0, 1, 3_999, 768_001, 0x7FFFFFFF])
def test_a_rate_that_makes_no_sense_is_refused(rate_hz: int) -> None:
    with pytest.raises(SoundError, match=r"take\.wav: "):
        read(wav_bytes(bytes(9_600), rate_hz=rate_hz))


def test_stereo_is_mixed() -> None:
    both = np.stack((TONE, 0.5 * TONE), axis=1)
    heard, made = read(encoded(both, "wav"))
    np.testing.assert_allclose(heard[100:-100], 0.75 * TONE[::2][100:-100], atol=1e-3)
    assert made.remarks == ()


def test_channels_that_cancel_each_other_are_not_mixed() -> None:
    heard, made = read(encoded(np.stack((0.7 * TONE, -TONE), axis=1), "wav"))
    np.testing.assert_allclose(heard[100:-100], -TONE[::2][100:-100], atol=1e-3)
    assert "channel 2 of 2 alone" in made.remarks[0]


def test_an_empty_channel_is_left_out() -> None:
    heard, made = read(encoded(np.stack((np.zeros_like(TONE), TONE), axis=1), "wav"))
    np.testing.assert_allclose(heard[100:-100], TONE[::2][100:-100], atol=1e-3)
    assert "only channel 2 of 2" in made.remarks[0]


def test_six_channels_are_mixed() -> None:
    heard, made = read(encoded(np.tile(TONE[:, None], 6), "wav"))
    assert made.info.channels == 6
    np.testing.assert_allclose(heard[100:-100], TONE[::2][100:-100], atol=1e-3)


def test_an_offset_is_taken_out_and_said() -> None:
    heard, made = read(encoded(TONE + np.float32(0.2), "wav"))
    assert abs(float(heard.mean())) < 1e-4
    assert made.info.raw.offset == pytest.approx(0.2, abs=1e-3)
    assert made.info.raw.peak == pytest.approx(0.3, abs=0.01)
    assert "20.0% of full scale" in made.remarks[0]


def test_samples_in_another_scale_are_brought_down() -> None:
    heard, made = read(encoded(TONE * np.float32(32_768), "wavf"))
    assert np.abs(heard).max() == pytest.approx(1.0, abs=0.01)
    assert "times full scale" in made.remarks[0]


@pytest.mark.parametrize("value", [np.nan, np.inf, -np.inf, 1e30])
def test_samples_that_are_no_numbers_are_named_with_their_time(value: float) -> None:
    samples = TONE.copy()
    samples[36_000] = value
    with pytest.raises(SoundError, match=rf"no sound; got {re.escape(f'{value:g}')} at 0.750 s"):
        read(encoded(samples, "wavf"))


@pytest.mark.parametrize("kind", ["wav", "flac", "wavf"])
def test_silence_is_said(kind: str) -> None:
    with pytest.raises(SoundError, match="silent from start to end"):
        read(encoded(np.zeros(RATE, np.float32), kind))


def test_an_offset_alone_is_silence() -> None:
    with pytest.raises(SoundError, match="silent"):
        read(encoded(np.full(RATE, 0.25, np.float32), "wav"))


@pytest.mark.parametrize("kind", ["wav", "flac", "aiff"])
def test_no_samples_is_said(kind: str) -> None:
    with pytest.raises(SoundError, match=r"zero|empty|cannot be read"):
        read(encoded(np.zeros(0, np.float32), kind))


def test_no_bytes_is_said() -> None:
    with pytest.raises(SoundError, match="the file is empty"):
        read(b"")


@pytest.mark.parametrize("kind", ["wav", "flac", "mp3", "ogg", "aiff"])
def test_a_file_cut_off_is_read_as_far_as_it_goes(kind: str) -> None:
    whole = encoded(tone(length_s=4.0), kind)
    heard, made = read(whole[: len(whole) * 6 // 10], f"take.{kind}")
    assert 1.5 < len(heard) / made.rate_hz < 3.0
    assert any("cut off" in remark or "did not finish" in remark for remark in made.remarks)


def test_a_recorder_that_did_not_finish_is_forgiven() -> None:
    for size in (0, 0xFFFFFFFF):
        heard, made = read(with_chunk_size(encoded(TONE, "wav"), size))
        assert len(heard) == 24_000
        assert any("did not finish" in remark for remark in made.remarks)


def test_an_mp3_that_does_not_say_its_length_is_read_to_its_end() -> None:
    pytest.importorskip("av")
    second = encoded(TONE, "mp3").replace(b"Xing", bytes(4)).replace(b"Info", bytes(4))
    heard, made = read(7 * second, "take.mp3")
    assert len(heard) / made.rate_hz > 7.0
    assert made.remarks == ()


def test_a_wrong_name_makes_no_difference() -> None:
    heard, made = read(encoded(TONE, "flac"), "take.wav")
    assert len(heard) == 24_000
    assert made.remarks == ("its name says WAV, but it is FLAC; it was read as what it is",)


@pytest.mark.parametrize("name", ["take.wav", "take.mp3", "take.m4a", "take", "take.aac"])
def test_what_is_no_sound_is_named(name: str) -> None:
    with pytest.raises(SoundError, match="a MIDI file"):
        read(b"MThd\0\0\0\6\0\0\0\1\1\xe0MTrk", name)


def test_too_many_channels_are_refused() -> None:
    with pytest.raises(SoundError, match=r"take\.wav"):
        read(wav_bytes(bytes(64 * 2 * 4_800), channels=64))


def test_a_recording_without_end_is_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(working, "LONGEST_S", 0.5)
    with pytest.raises(SoundError, match="too long"):
        read(encoded(TONE, "wav"))


def test_progress_is_told() -> None:
    told: list[float] = []
    to_working_rate(io.BytesIO(encoded(tone(length_s=4.0), "wav")), name="t", write=lambda _: None, tick=told.append)
    assert told == sorted(told)
    assert len(told) > 3
    assert told[-1] == 1.0
