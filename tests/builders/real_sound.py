"""Sound from outside the project: recorded brass notes, scores rendered with a sound font, spoken words, noise.

None of it is kept in the project (see ``tests/references/real-sound/README.md``). The recorded notes lie in the
folder that ``SLURWRIGHT_BRASS_SAMPLES`` names, else in ``.cache/brass-samples`` of the checkout, one folder for each
package; the sound font where Debian puts it, else where ``SLURWRIGHT_SOUND_FONT`` says. A test whose sounds are
missing is skipped and named.
"""

import os
import re
import shutil
import subprocess
import tempfile
from collections.abc import Sequence
from dataclasses import dataclass
from io import BytesIO
from pathlib import Path

import numpy as np
import pytest

from slurwright.devices.sound_scratch import ScratchSound
from slurwright.formats.sound.working import to_working_rate
from slurwright.listen.sound import HeldSound

__all__ = ["PACKAGES", "PROGRAMS", "ScoreNote", "recorded_notes", "rendered", "sound_at", "spoken"]

PACKAGES = {name: f"tonejs-instrument-{name}-mp3" for name in ("tuba", "trombone", "french-horn", "trumpet")}
"""Packages of recorded notes, one file a note, named by it."""
PROGRAMS = {"tuba": 58, "trombone": 57, "french-horn": 60, "trumpet": 56}
"""Of General MIDI, from 0."""
_ROOT = Path(__file__).parents[2]
_FONT = Path(os.environ.get("SLURWRIGHT_SOUND_FONT", "/usr/share/sounds/sf2/FluidR3_GM.sf2"))
_FILE_NAME = re.compile(r"([A-G])(s?)(-?\d)")
_STEPS = {"C": 0, "D": 2, "E": 4, "F": 5, "G": 7, "A": 9, "B": 11}
_TICKS = 480


@dataclass(frozen=True, slots=True)
class ScoreNote:
    """One note of a score to be rendered."""

    midi: int
    onset_s: float
    length_s: float
    velocity: int = 90


def recorded_notes(instrument: str) -> list[tuple[int, Path]]:
    """List the recorded notes of an instrument: MIDI number and file, rising."""
    folder = Path(os.environ.get("SLURWRIGHT_BRASS_SAMPLES", _ROOT / ".cache" / "brass-samples"))
    found = []
    for path in (folder / PACKAGES[instrument]).glob("*.mp3"):
        name = _FILE_NAME.fullmatch(path.stem)
        if name:
            found.append((12 * (int(name[3]) + 1) + _STEPS[name[1]] + len(name[2]), path))
    if not found:
        pytest.skip(f"recorded notes of the npm package {PACKAGES[instrument]} are not here; see tests/references")
    return sorted(found)


def rendered(notes: Sequence[ScoreNote], instrument: str) -> HeldSound:
    """Render a score with FluidSynth and a General MIDI sound font, without its room and chorus."""
    if shutil.which("fluidsynth") is None or not _FONT.exists():
        pytest.skip("fluidsynth or the sound font of fluid-soundfont-gm is not on this machine")
    with tempfile.TemporaryDirectory() as name:
        score, out = Path(name) / "score.mid", Path(name) / "out.wav"
        score.write_bytes(_midi_file(notes, PROGRAMS[instrument]))
        subprocess.run(
            ["fluidsynth", "-ni", "-q", "-R", "0", "-C", "0", "-r", "44100", "-F", str(out), str(_FONT), str(score)],
            check=True,
            capture_output=True,
        )
        return sound_at(out)


def spoken(words: str) -> HeldSound:
    """Have words spoken by espeak-ng."""
    if shutil.which("espeak-ng") is None:
        pytest.skip("espeak-ng is not on this machine")
    with tempfile.TemporaryDirectory() as name:
        out = Path(name) / "words.wav"
        subprocess.run(["espeak-ng", "-v", "en", "-w", str(out), words], check=True, capture_output=True)
        return sound_at(out)


def sound_at(path: Path) -> HeldSound:
    """Read a file as the program does, in this process."""
    samples = BytesIO()
    with path.open("rb") as stream:
        made = to_working_rate(stream, name=path.name, write=samples.write)
    scratch = ScratchSound(
        samples, rate_hz=made.rate_hz, length=made.length, weights=made.weights, offset=made.offset
    )
    return HeldSound(np.array(scratch.read(0, made.length)), made.rate_hz)


def _midi_file(notes: Sequence[ScoreNote], program: int) -> bytes:
    import mido  # noqa: PLC0415

    events = [(note.onset_s, 1, note) for note in notes] + [(note.onset_s + note.length_s, 0, note) for note in notes]
    track = mido.MidiTrack([mido.Message("program_change", program=program)])
    at = 0
    for time_s, on, note in sorted(events, key=lambda event: event[:2]):
        tick = round(time_s * 2 * _TICKS)  # 120 quarters a minute, MIDI's own tempo
        kind = "note_on" if on else "note_off"
        track.append(mido.Message(kind, note=note.midi, velocity=note.velocity * on, time=tick - at))
        at = tick
    track.append(mido.MetaMessage("end_of_track", time=2 * _TICKS))
    out = BytesIO()
    mido.MidiFile(ticks_per_beat=_TICKS, tracks=[track]).save(file=out)
    return out.getvalue()
