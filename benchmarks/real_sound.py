"""Every recorded note, and scales rendered with a sound font: our pitch beside Praat's and YIN's on the same stretch.

Run: ``PYTHONPATH=tests python benchmarks/real_sound.py`` (about three minutes). The sounds are those of
``tests/references/real-sound/README.md``. Where no truth is known, two independent methods that agree are the
measure; the last column says how far Praat and YIN lie from each other.
"""

import numpy as np

from builders.outside_pitch import praat_cents, yin_cents
from builders.real_sound import PACKAGES, ScoreNote, recorded_notes, rendered, sound_at
from slurwright.listen.figure import Figure
from slurwright.listen.followed import PlayedAs, PlayedNote
from slurwright.listen.notes import measure_note
from slurwright.listen.sound import HeldSound
from slurwright.listen.stretches import steady_stretches
from slurwright.listen.track import PitchTrack
from slurwright.listen.tracking import pitch_track

LONGEST_S = 6.0
SCALES = {"tuba": (26, 53), "trombone": (40, 70), "french-horn": (38, 77), "trumpet": (54, 82)}
"""Lowest and highest note that is rendered [MIDI]."""

Three = tuple[float, float, float]


def compared(sound: HeldSound, track: PitchTrack, played: PlayedNote) -> Three | None:
    """Cents of ours, Praat's and YIN's against the coarse pitch; None where we give none."""
    ours = measure_note(sound, track, played, played_index=0, target_hz=played.hz)
    if not isinstance(ours.cents, Figure):
        return None
    span = ours.steady_s
    praat, yin = praat_cents(sound, span, target_hz=played.hz), yin_cents(sound, span, target_hz=played.hz)
    return ours.cents.value, praat, yin


def recorded(instrument: str) -> list[Three | None]:
    """Each recorded note of an instrument."""
    found = []
    for _, path in recorded_notes(instrument):
        whole = sound_at(path)
        sound = HeldSound(whole.samples[: round(LONGEST_S * whole.rate_hz)], whole.rate_hz)
        track = pitch_track(sound)
        start, stop = max(steady_stretches(track), key=lambda stretch: stretch[1] - stretch[0])
        hz = float(np.median(track.hz[start:stop]))
        played = PlayedNote(start * track.step_s, 0.01, stop * track.step_s, hz, None, PlayedAs.EXTRA)
        found.append(compared(sound, track, played))
    return found


def scale(instrument: str) -> list[Three | None]:
    """A chromatic scale, rendered."""
    low, high = SCALES[instrument]
    notes = [ScoreNote(midi, 0.5 + 1.5 * at, 1.2) for at, midi in enumerate(range(low, high + 1))]
    sound = rendered(notes, instrument)
    track = pitch_track(sound)
    return [
        compared(
            sound,
            track,
            PlayedNote(
                note.onset_s,
                0.01,
                note.onset_s + note.length_s,
                440 * 2 ** ((note.midi - 69) / 12),
                None,
                PlayedAs.EXTRA,
            ),
        )
        for note in notes
    ]


def line(what: str, found: list[Three | None]) -> str:
    """One line of the table."""
    figures = np.array([three for three in found if three is not None])
    ours, praat, yin = figures.T
    cells = [f"{np.median(np.abs(a - b)):.2f} / {np.abs(a - b).max():.1f}" for a, b in ((ours, praat), (ours, yin))]
    apart = f"{np.median(np.abs(praat - yin)):.2f} / {np.abs(praat - yin).max():.1f}"
    return f"| {what} | {len(figures)} of {len(found)} | {cells[0]} | {cells[1]} | {apart} |"


def main() -> None:
    print("cents, median / largest\n")
    print("| sound | measured | ours and Praat | ours and YIN | Praat and YIN |")
    print("|---|---|---|---|---|")
    for instrument in PACKAGES:
        print(line(f"recorded {instrument}", recorded(instrument)), flush=True)
    for instrument in SCALES:
        print(line(f"sound font, {instrument}", scale(instrument)), flush=True)


if __name__ == "__main__":
    main()
