"""Recording: from a microphone made up for the purpose, in every way in which it can end."""

import errno
import os
import re
import signal
import subprocess
import sys
import time
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from types import SimpleNamespace

import numpy as np
import pytest
import soundfile

from builders.sound_files import tone
from slurwright.devices import growing_wav, sound_card
from slurwright.devices.microphone import Chunk, Meter, Source, record
from slurwright.errors import SoundError

RATE = 16_000
BLOCK = 1_600


class Player:
    """A microphone that hears given chunks; None where nothing comes, an error where it is gone."""

    rate_hz = RATE

    def __init__(self, chunks: Sequence[Chunk | BaseException | None]) -> None:
        self._chunks = iter(chunks)

    def read(self, wait_s: float) -> Chunk | None:
        what = next(self._chunks, None)
        if isinstance(what, BaseException):
            raise what
        return what


@contextmanager
def hearing(*chunks: Chunk | BaseException | None) -> Iterator[Source]:
    yield Player(chunks)


def chunk(level: float = 0.3, *, lost: bool = False) -> Chunk:
    wave = tone(length_s=BLOCK / RATE, rate_hz=RATE, peak=level) if level else np.zeros(BLOCK, np.float32)
    return Chunk(np.round(wave * 32_767).astype("<i2").tobytes(), lost=lost)


def never() -> bool:
    return False


def test_it_records_until_told_to_stop(tmp_path: Path) -> None:
    answers = iter([False, False, False, True])
    told: list[Meter] = []
    made = record(
        hearing(*[chunk()] * 9), tmp_path / "take.wav", most_s=60, stop=lambda: next(answers), meter=told.append
    )
    assert made.length_s == pytest.approx(0.3)
    assert made.notices == ()
    samples, rate = soundfile.read(tmp_path / "take.wav")
    assert rate == RATE
    np.testing.assert_allclose(samples, np.tile(tone(length_s=0.1, rate_hz=RATE), 3), atol=1e-4)
    assert [meter.elapsed_s for meter in told] == pytest.approx([0.1, 0.2, 0.3])
    assert told[0].peak_db == pytest.approx(20 * np.log10(0.3), abs=0.1)
    assert not told[0].full


def test_it_stops_when_the_time_is_up(tmp_path: Path) -> None:
    made = record(hearing(*[chunk()] * 9), tmp_path / "take.wav", most_s=0.25, stop=never)
    assert made.length_s == pytest.approx(0.25)


def test_ctrl_c_keeps_what_was_played(tmp_path: Path) -> None:
    made = record(hearing(chunk(), chunk(), KeyboardInterrupt()), tmp_path / "take.wav", most_s=60, stop=never)
    assert made.length_s == pytest.approx(0.2)
    assert made.notices == ()


def test_an_unplugged_microphone_keeps_what_was_played(tmp_path: Path) -> None:
    made = record(
        hearing(chunk(), SoundError("the microphone is gone")), tmp_path / "take.wav", most_s=60, stop=never
    )
    assert made.length_s == pytest.approx(0.1)
    assert "the microphone is gone; what was recorded before is kept" in str(made.notices[0])


def test_a_microphone_that_falls_silent_is_not_waited_for(tmp_path: Path) -> None:
    made = record(hearing(chunk()), tmp_path / "take.wav", most_s=60, stop=never)
    assert "stopped giving sound" in str(made.notices[0])


def test_a_full_disk_keeps_what_was_played(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    append = growing_wav.GrowingWav.append
    written: list[bytes] = []

    def full(self: growing_wav.GrowingWav, samples: bytes) -> None:
        if len(written) == 2:
            raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))
        written.append(samples)
        append(self, samples)

    monkeypatch.setattr(growing_wav.GrowingWav, "append", full)
    made = record(hearing(*[chunk()] * 5), tmp_path / "take.wav", most_s=60, stop=never)
    assert made.length_s == pytest.approx(0.2)
    assert "No space left on device" in str(made.notices[0])
    assert soundfile.info(tmp_path / "take.wav").frames == 2 * BLOCK


def test_lost_sound_is_told_with_its_time(tmp_path: Path) -> None:
    made = record(hearing(chunk(), chunk(lost=True), chunk(lost=True)), tmp_path / "t.wav", most_s=0.3, stop=never)
    assert "lost sound, first at 0.1 s" in str(made.notices[0])
    assert "2 times" in str(made.notices[0])


def test_digital_silence_is_told(tmp_path: Path) -> None:
    made = record(hearing(*[chunk(0.0)] * 3), tmp_path / "take.wav", most_s=0.3, stop=never)
    assert "muted, or not allowed" in str(made.notices[0])


def test_a_full_scale_is_shown(tmp_path: Path) -> None:
    told: list[Meter] = []
    record(hearing(chunk(1.0)), tmp_path / "take.wav", most_s=0.1, stop=never, meter=told.append)
    assert told[0].full


def test_nothing_is_overwritten(tmp_path: Path) -> None:
    (tmp_path / "take.wav").write_bytes(b"mine")
    with pytest.raises(SoundError, match="nothing is overwritten"):
        record(hearing(chunk()), tmp_path / "take.wav", most_s=60, stop=never)
    assert (tmp_path / "take.wav").read_bytes() == b"mine"


def test_there_must_be_a_folder(tmp_path: Path) -> None:
    with pytest.raises(SoundError, match="cannot record into this file: No such file"):
        record(hearing(chunk()), tmp_path / "no" / "take.wav", most_s=60, stop=never)


def test_no_sound_leaves_no_file(tmp_path: Path) -> None:
    with pytest.raises(SoundError, match="gave no sound"):
        record(hearing(), tmp_path / "take.wav", most_s=60, stop=never)
    assert list(tmp_path.iterdir()) == []


ENDLESS = """
import sys, time
from contextlib import contextmanager
from pathlib import Path
from slurwright.devices.microphone import Chunk, record
class Endless:
    rate_hz = 16_000
    def read(self, wait_s):
        time.sleep(0.001)
        return Chunk(b"\\x10\\x20" * 800)
@contextmanager
def endless():
    yield Endless()
record(endless(), Path(sys.argv[1]), most_s=1e6, stop=lambda: False)
"""


def test_a_killed_recorder_leaves_a_whole_file(tmp_path: Path) -> None:
    for attempt in range(3):
        path = tmp_path / f"take{attempt}.wav"
        recorder = subprocess.Popen([sys.executable, "-c", ENDLESS, str(path)])
        while not path.exists() or path.stat().st_size < 20_000 * (attempt + 1):
            time.sleep(0.003)
        recorder.send_signal(signal.SIGKILL)
        recorder.wait()
        size = path.stat().st_size
        announced = soundfile.info(path).frames * 2 + 44
        assert 0 <= size - announced <= 1_600  # at most the last block is not announced
        assert announced >= 20_000


class Card:
    """A sound card made up in the shape of the library."""

    class PortAudioError(Exception):
        pass

    def __init__(self, *devices: tuple[str, int], refuses: bool = False) -> None:
        self._devices = [
            {"name": name, "max_input_channels": inputs, "default_samplerate": 44_100.0} for name, inputs in devices
        ]
        self.default = SimpleNamespace(device=(-1, -1))
        self._refuses = refuses
        self.opened: list[dict[str, object]] = []

    def query_devices(self) -> list[dict[str, object]]:
        return self._devices

    def RawInputStream(self, **asked: object) -> "Card.Stream":  # noqa: N802 - the library's name
        if self._refuses:
            raise self.PortAudioError("Device unavailable", -9985)
        self.opened.append(asked)
        return self.Stream(asked["callback"])

    class Stream:
        def __init__(self, callback: object) -> None:
            self.callback, self.active = callback, False
            self.closed = False

        def start(self) -> None:
            self.active = True
            self.callback(b"\1\0\2\0", 2, None, SimpleNamespace(input_overflow=False))  # type: ignore[operator]
            self.callback(b"\3\0", 1, None, SimpleNamespace(input_overflow=True))  # type: ignore[operator]

        def abort(self, *, ignore_errors: bool) -> None:
            self.active = False

        def close(self, *, ignore_errors: bool) -> None:
            self.closed = True


TWO = (("Speakers", 0), ("Built-in microphone", 2), ("USB microphone", 1))


def plugged(monkeypatch: pytest.MonkeyPatch, card: Card) -> Card:
    monkeypatch.setattr(sound_card, "_library", lambda: card)
    return card


def test_microphones_are_listed(monkeypatch: pytest.MonkeyPatch) -> None:
    plugged(monkeypatch, Card(*TWO))
    assert [(one.number, one.name, one.rate_hz, one.usual) for one in sound_card.microphones()] == [
        (1, "Built-in microphone", 44_100, True),
        (2, "USB microphone", 44_100, False),
    ]


@pytest.mark.parametrize(("wanted", "number"), [(None, 1), ("2", 2), ("usb", 2), ("built", 1)])
def test_a_microphone_is_chosen(monkeypatch: pytest.MonkeyPatch, wanted: str | None, number: int) -> None:
    card = plugged(monkeypatch, Card(*TWO))
    with sound_card.listening(wanted) as source:
        assert source.rate_hz == 44_100
        assert source.read(0.01) == Chunk(b"\1\0\2\0")
        assert source.read(0.01) == Chunk(b"\3\0", lost=True)
        assert source.read(0.01) is None
    assert card.opened[0]["device"] == number
    with pytest.raises(SoundError, match="unplugged"):
        source.read(0.01)


@pytest.mark.parametrize(
    ("card", "wanted", "words"),
    [
        (Card(), None, "no microphone was found"),
        (Card(*TWO), "phone", "several microphones"),
        (Card(*TWO), "tape", "there is no such microphone; got 'tape'; allowed: 1 Built-in microphone, 2 USB"),
        (
            Card(*TWO, refuses=True),
            None,
            "Built-in microphone: the microphone cannot be used; got Device unavailable",
        ),
    ],
)
def test_what_is_wrong_is_said(monkeypatch: pytest.MonkeyPatch, card: Card, wanted: str | None, words: str) -> None:
    plugged(monkeypatch, card)
    with pytest.raises(SoundError, match=words), sound_card.listening(wanted):
        pass


def test_without_the_extra_it_is_said_how_to_get_it(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "sounddevice", None)
    with pytest.raises(SoundError, match=r"pip install 'slurwright\[microphone\]'"):
        sound_card.microphones()


def test_here_there_is_an_answer_or_words() -> None:
    try:
        assert isinstance(sound_card.microphones(), tuple)
    except SoundError as error:
        assert re.search("sound system|extra|library of the system", str(error))  # noqa: PT017  either way is allowed
