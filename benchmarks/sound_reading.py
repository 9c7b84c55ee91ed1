"""Open recordings: a minute of each kind, two hours in bounded memory; beside librosa and soundfile.

Run ``PYTHONPATH=tests python benchmarks/sound_reading.py`` for a table of every kind and of long files; some of its
lines are in the table of ``python -m benchmarks``. The long WAV is a sparse file: two hours of stereo silence between
two tones, 1.3 GB to read and next to nothing on the disk. The long MP3 is one minute of sound, 120 times.
"""

import resource
import struct
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

import numpy as np
import soundfile

from slurwright.devices.sound import open_sound

RATE_HZ = 44_100
HOURS = 2.0


def tones(length_s: float, *, channels: int = 1) -> np.ndarray:
    """Some notes with a little noise."""
    time_s = np.arange(round(length_s * RATE_HZ)) / RATE_HZ
    hz = 110 * 2 ** (np.floor(time_s) % 12 / 12)
    phase = 2 * np.pi * np.cumsum(hz) / RATE_HZ
    wave = np.sum([0.2 * 0.6**k * np.sin((k + 1) * phase) for k in range(6)], axis=0)
    wave = wave + 1e-3 * np.random.default_rng(1).standard_normal(len(wave))
    return np.repeat(np.asarray(wave, np.float32)[:, None], channels, axis=1)


def write(path: Path, samples: np.ndarray, **form: str) -> Path:
    """Write in pieces, for the library's Vorbis dies of more at once."""
    with soundfile.SoundFile(path, "w", RATE_HZ, samples.shape[1], **form) as file:
        for start in range(0, len(samples), 4096):
            file.write(samples[start : start + 4096])
    return path


def minute(folder: Path) -> Path:
    """A minute as WAV."""
    path = folder / "minute.wav"
    return path if path.exists() else write(path, tones(60.0), format="WAV", subtype="PCM_16")


def long_wav(folder: Path) -> Path:
    """Two hours in stereo, most of it a hole in the file."""
    path = folder / "long.wav"
    if not path.exists():
        write(path, tones(20.0, channels=2), format="WAV", subtype="PCM_16")
        size = round(HOURS * 3600 * RATE_HZ) * 4
        sound = path.read_bytes()[44:]
        with path.open("r+b") as file:
            file.truncate(44 + size)
            file.seek(44 + size - len(sound))
            file.write(sound)
            file.seek(4)
            file.write(struct.pack("<I", 36 + size))
            file.seek(40)
            file.write(struct.pack("<I", size))
    return path


def prepare_open(which: str, folder: str) -> Callable[[], object]:
    """Open a recording and read it to its end, block by block."""
    path = _file(which, folder)

    def work() -> int:
        with open_sound(path) as opened:
            sound = opened.sound
            return sum(len(sound.read(at, at + 65_536)) for at in range(0, sound.length, 65_536))

    return work


def prepare_librosa(which: str, folder: str) -> Callable[[], object]:
    """Load the same at half its rate, whole, in this process."""
    import librosa  # noqa: PLC0415

    path = _file(which, folder)
    librosa.load(path, sr=RATE_HZ // 2, duration=0.1)  # what it puts off until it is first used
    return lambda: librosa.load(path, sr=RATE_HZ // 2)


def prepare_soundfile(which: str, folder: str) -> Callable[[], object]:
    """Only read the same, block by block, at its own rate, in this process."""
    path = _file(which, folder)
    return lambda: sum(len(block) for block in soundfile.blocks(path, 65_536, dtype="float32"))


def _file(which: str, folder: str) -> Path:
    return {"minute": minute, "long": long_wav}[which](Path(folder))


def kinds(folder: Path) -> dict[str, Path]:
    """A minute of every kind, and two long files."""
    from builders.sound_files import encoded  # noqa: PLC0415

    samples = tones(60.0)
    files = {"WAV, 60 s": minute(folder)}
    for kind in ("flac", "ogg", "mp3", "m4a"):
        path = folder / f"minute.{kind}"
        path.write_bytes(encoded(samples[:, 0], kind, rate_hz=RATE_HZ))
        files[f"{kind.upper()}, 60 s"] = path
    files["WAV, stereo, 2 h, sparse"] = long_wav(folder)
    files["MP3, 2 h"] = folder / "long.mp3"
    # The header of the first frame says how long the minute is; without it, frames are read while there are any.
    frames = (folder / "minute.mp3").read_bytes().replace(b"Xing", bytes(4), 1).replace(b"Info", bytes(4), 1)
    files["MP3, 2 h"].write_bytes(frames * 120)
    return files


def main() -> None:
    with tempfile.TemporaryDirectory() as name:
        print(
            "| file | MB | hours | open, s | child's processor, s | read all, s | peak here, MB | of the child, MB |"
        )
        print("|---|---|---|---|---|---|---|---|")
        for what, path in kinds(Path(name)).items():
            # A process of its own for each, for a child is charged with what its parent held when it was started.
            line = [sys.executable, __file__, what, str(path)]
            print(subprocess.run(line, capture_output=True, check=True, text=True).stdout, end="", flush=True)


def row(what: str, path: Path) -> str:
    """Open one file, read it to its end, and say what that took."""
    start = time.perf_counter()
    with open_sound(path) as opened:
        opened_s, start = time.perf_counter() - start, time.perf_counter()
        sound = opened.sound
        for at in range(0, sound.length, 65_536):
            sound.read(at, at + 65_536)
        read_s = time.perf_counter() - start
    child = resource.getrusage(resource.RUSAGE_CHILDREN)
    status = dict(line.split(":", 1) for line in Path("/proc/self/status").read_text().splitlines())
    own_mb = int(status["VmHWM"].split()[0]) / 1024  # unlike the usual figure, without what the parent held
    size = f"{what} | {path.stat().st_size / 1e6:.0f} | {opened.info.length_s / 3600:.2f}"
    times = f"{opened_s:.2f} | {child.ru_utime + child.ru_stime:.2f} | {read_s:.2f}"
    return f"| {size} | {times} | {own_mb:.0f} | {child.ru_maxrss / 1024:.0f} |"


if __name__ == "__main__":
    if len(sys.argv) == 3:
        print(row(sys.argv[1], Path(sys.argv[2])))
    else:
        main()
