"""Recordings on disk: a child process decodes them; whatever becomes of it, there is sound or an error in words."""

import os
import tempfile
import threading
from collections.abc import Callable, Iterator
from pathlib import Path

import numpy as np
import pytest

from builders.sound_files import encoded, tone, written
from slurwright.devices import sound_errand
from slurwright.devices.sound import open_sound
from slurwright.devices.sound_errand import DecodeLimits
from slurwright.errors import SoundError
from slurwright.listen.levels import raw_levels

TONE = tone()


@pytest.fixture(autouse=True)
def nothing_left_behind(tmp_path_factory: pytest.TempPathFactory, monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    """Nothing may stay in the folder for temporary files, no process and no thread."""
    folder = tmp_path_factory.mktemp("scratch")
    monkeypatch.setattr(tempfile, "tempdir", str(folder))
    threads = threading.active_count()
    yield
    assert list(folder.iterdir()) == []
    assert threading.active_count() == threads


def opened(path: Path, *, limits: DecodeLimits | None = None) -> None:
    with open_sound(path, limits=limits or DecodeLimits()):
        pass


def test_a_recording_is_read_at_the_working_rate(tmp_path: Path) -> None:
    told: list[float] = []
    path = written(tmp_path / "take.wav", encoded(tone(length_s=3.0), "wav"))
    with open_sound(path, tick=told.append) as take:
        assert (take.sound.rate_hz, take.sound.length) == (24_000, 72_000)
        assert (take.info.words, take.info.rate_hz, take.info.channels) == ("WAV, 16 bit", 48_000, 1)
        assert take.info.length_s == pytest.approx(3.0)
        assert take.notices == ()
        np.testing.assert_allclose(take.sound.read(1_000, 2_000), tone(length_s=3.0)[2_000:4_000:2], atol=2e-4)
    assert told == sorted(told)
    assert told[-1] == 1.0


def test_any_stretch_can_be_read_again(tmp_path: Path) -> None:
    with open_sound(written(tmp_path / "take.flac", encoded(TONE, "flac"))) as take:
        whole = take.sound.read(0, take.sound.length)
        np.testing.assert_array_equal(take.sound.read(500, 700), whole[500:700])
        np.testing.assert_array_equal(take.sound.read(-50, 100), whole[:100])
        np.testing.assert_array_equal(take.sound.read(23_990, 99_999), whole[-10:])
        assert len(take.sound.read(30_000, 31_000)) == 0
        assert len(take.sound.read(200, 100)) == 0
        assert whole.dtype == np.float32


def test_stereo_out_of_phase_is_said(tmp_path: Path) -> None:
    path = written(tmp_path / "take.wav", encoded(np.stack((TONE, -TONE), axis=1), "wav"))
    with open_sound(path) as take:
        assert np.abs(take.sound.read(0, 20_000)).max() == pytest.approx(0.3, abs=0.01)
        assert str(take.notices[0]) == (
            f"{path}: the channels cancel each other when mixed: channel 1 of 2 alone is measured"
        )


def test_marks_of_the_samples_come_from_before_the_filter(tmp_path: Path) -> None:
    cut = np.clip(tone(peak=1.0) * 2, -1, 1)
    cut[20_000:20_100] = 0
    with open_sound(written(tmp_path / "take.wav", encoded(cut, "wav"))) as take:
        assert take.info.raw.clipped_share > 0.1
        assert take.info.raw.lost_runs == 1
        assert take.info.raw.first_lost_s == pytest.approx(20_000 / 48_000)
        assert raw_levels(take.sound).lost_runs == 0


def test_a_wrong_name_and_a_cut_off_end_are_said(tmp_path: Path) -> None:
    data = encoded(tone(length_s=4.0), "flac")
    with open_sound(written(tmp_path / "take.wav", data[: len(data) // 2])) as take:
        assert "it is FLAC" in take.notices[0].what
        assert "cut off" in take.notices[1].what


@pytest.mark.parametrize(
    ("name", "data", "words"),
    [
        ("take.wav", b"", "the file is empty"),
        ("take.wav", b"%PDF-1.7 ...", "no sound file; got a PDF document"),
        ("take.mp3", b"once upon a time", "no sound file; got text"),
        ("take.flac", b"fLaC" + bytes(100), "cannot be read; got damaged or unusual FLAC"),
        ("take.wav", encoded(np.full(9_600, np.nan, np.float32), "wavf"), "got nan at 0.000 s"),
        ("take.wav", encoded(np.zeros(9_600, np.float32), "wav"), "silent from start to end"),
    ],
)
def test_what_is_no_sound_is_said(tmp_path: Path, name: str, data: bytes, words: str) -> None:
    path = written(tmp_path / name, data)
    with pytest.raises(SoundError, match=words) as raised:
        opened(path)
    assert str(raised.value).startswith(str(path))


def test_there_must_be_a_file(tmp_path: Path) -> None:
    with pytest.raises(SoundError, match="there is no such file"):
        opened(tmp_path / "no.wav")
    with pytest.raises(SoundError, match="a folder, not a file"):
        opened(tmp_path)


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="this system has no named pipes")
def test_a_pipe_is_not_waited_for(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "pipe.wav")
    with pytest.raises(SoundError, match="not a file that can be read from start to end"):
        opened(tmp_path / "pipe.wav")


def test_odd_names_do_not_matter(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    written(tmp_path / "-i étude №3 'x'.wav", encoded(TONE, "wav"))
    monkeypatch.chdir(tmp_path)
    opened(Path("-i étude №3 'x'.wav"))


def test_nothing_is_imported_from_where_the_player_is(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    for module in ("numpy", "soundfile", "json"):
        (tmp_path / f"{module}.py").write_text("raise SystemExit('not this one')\n")
    written(tmp_path / "take.wav", encoded(TONE, "wav"))
    monkeypatch.chdir(tmp_path)
    opened(Path("take.wav"))


def test_too_little_memory_is_an_error_of_ours_to_say(tmp_path: Path) -> None:
    path = written(tmp_path / "take.wav", encoded(TONE, "wav"))
    with pytest.raises(SoundError, match=r"take.wav: "):
        opened(path, limits=DecodeLimits(memory_bytes=30_000_000))


def test_too_little_time_is_said(tmp_path: Path) -> None:
    path = written(tmp_path / "take.wav", encoded(TONE, "wav"))
    with pytest.raises(SoundError, match="decoding it took too long"):
        opened(path, limits=DecodeLimits(wall_s=0.001))


def instead(monkeypatch: pytest.MonkeyPatch, tmp_path: Path, code: str) -> None:
    """Have another child take the decoder's place."""
    (tmp_path / "other_child.py").write_text(f"import os, sys, time, signal\nsys.stdin.read()\n{code}\n")
    monkeypatch.setenv("PYTHONPATH", str(tmp_path))
    monkeypatch.setattr(sound_errand, "_CHILD", "other_child")


@pytest.mark.parametrize(
    ("code", "words"),
    [
        ("os.kill(os.getpid(), signal.SIGSEGV)", r"the decoder died of it \(SIGSEGV\)"),
        ("os.kill(os.getpid(), signal.SIGKILL)", "more time or memory than it may"),
        ("sys.exit('no such library')", "no such library"),
        ("sys.exit(3)", "nothing that the decoder knows"),
        ("print('0.5', 'x', file=sys.stderr)", "0.5 x"),
        (
            "os.close(2); os.close(1); time.sleep(60)",
            "the decoder fell silent",
        ),
    ],
)
def test_a_child_that_dies_is_an_error_of_the_file(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, code: str, words: str
) -> None:
    path = written(tmp_path / "take.wav", encoded(TONE, "wav"))
    instead(monkeypatch, tmp_path, code)
    with pytest.raises(SoundError, match=words):
        opened(path, limits=DecodeLimits(wall_s=5))


def test_a_child_that_hangs_is_stopped(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = written(tmp_path / "take.wav", encoded(TONE, "wav"))
    instead(monkeypatch, tmp_path, "print(0.5, file=sys.stderr, flush=True); time.sleep(60)")
    told: list[float] = []
    with (
        pytest.raises(SoundError, match="decoding it took too long"),
        open_sound(path, limits=DecodeLimits(wall_s=0.5), tick=told.append),
    ):
        pass
    assert told == [0.5]


@pytest.mark.parametrize("error", [KeyboardInterrupt, ZeroDivisionError])
def test_a_cancel_while_decoding_leaves_nothing(tmp_path: Path, error: type[BaseException]) -> None:
    path = written(tmp_path / "take.wav", encoded(tone(length_s=20.0), "wav"))

    def cancel(_: float) -> None:
        raise error

    with pytest.raises(error), open_sound(path, tick=cancel):
        pass


@pytest.mark.parametrize("error", [KeyboardInterrupt, OSError])
def test_an_error_while_listening_is_handed_on(tmp_path: Path, error: type[BaseException]) -> None:
    path = written(tmp_path / "take.wav", encoded(TONE, "wav"))

    def listen(work: Callable[[], None]) -> None:
        with open_sound(path):
            work()

    def fail() -> None:
        raise error

    with pytest.raises(error):
        listen(fail)


def test_no_room_for_scratch_is_said(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = written(tmp_path / "take.wav", encoded(TONE, "wav"))
    with monkeypatch.context() as patched:
        patched.setattr(tempfile, "tempdir", str(tmp_path / "gone"))
        with pytest.raises(SoundError, match="no room to decode into"):
            opened(path)
