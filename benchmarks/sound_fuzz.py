"""Spoiled sound files by the thousand: does any of them harm the program?

Run: ``PYTHONPATH=tests python benchmarks/sound_fuzz.py [files] [seed]`` (default 15,000 and 2; about two minutes).

Files of fifteen kinds (WAV in four forms, FLAC, OGG with Vorbis and with Opus, MP3, AIFF, AU, CAF, M4A, bare AAC,
WebM, 3GP), each spoiled in one to four places, are decoded in child processes. Every file must give sound or a
`SoundError`. A file of which a child dies is opened once more as the program opens it, and must give a `SoundError`
there; so are a few hundred others.
"""

import sys
import tempfile
import time
from pathlib import Path

from builders.sound_fuzz import fuzz, spoiled
from slurwright.devices.sound import open_sound
from slurwright.errors import SoundError

FILES, SEED, OPENED = 15_000, 2, 200


def opened(number: int, folder: Path, *, seed: int) -> str:
    """What the program says of one spoiled file."""
    kind, data = spoiled(number, seed=seed)
    path = folder / f"take.{kind}"
    path.write_bytes(data)
    try:
        with open_sound(path) as sound:
            return f"sound, {sound.sound.length} samples"
    except SoundError as error:
        return f"refused: {error}"


def main(files: int, seed: int) -> int:
    start = time.perf_counter()
    report = fuzz(files, seed=seed)
    print(
        f"{report.tried} files: {report.sound} gave sound, {report.refused} were refused in words, "
        f"{len(report.deaths)} killed their child, {len(report.bugs)} raised anything else; "
        f"slowest {report.slowest_s:.2f} s, peak {report.peak_mb:.0f} MB, {time.perf_counter() - start:.0f} s in all"
    )
    for bug in report.bugs:
        print(bug)
    with tempfile.TemporaryDirectory() as folder:
        for number in report.deaths:
            print(number, opened(number, Path(folder), seed=seed))
        start = time.perf_counter()
        for number in range(files, files + OPENED):
            opened(number, Path(folder), seed=seed)
    print(f"{OPENED} more opened as the program does, {time.perf_counter() - start:.0f} s: each sound or words")
    return int(bool(report.bugs))


if __name__ == "__main__":
    given = [int(word) for word in sys.argv[1:]]
    sys.exit(main(*(given + [FILES, SEED][len(given) :])))
