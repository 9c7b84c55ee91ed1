"""Recorded brass notes, and scores rendered with a sound font: our pitches agree with an independent tracker.

And speech and noise: nothing is heard that was not played.

`benchmarks/real_sound.py` measures every note that there is; here a few of each instrument.
"""

from functools import cache
from pathlib import Path

import numpy as np
import pytest

from builders.outside_pitch import praat_cents
from builders.real_sound import PACKAGES, ScoreNote, recorded_notes, rendered, sound_at, spoken
from slurwright.listen.figure import Figure
from slurwright.listen.followed import PlayedAs, PlayedNote
from slurwright.listen.following import follow
from slurwright.listen.levels import level_check
from slurwright.listen.notes import measure_note
from slurwright.listen.passage import AskedNote, Passage
from slurwright.listen.sound import HeldSound
from slurwright.listen.stretches import steady_stretches
from slurwright.listen.track import PitchTrack
from slurwright.listen.tracking import pitch_track
from slurwright.synth import Colour
from slurwright.synth.rooms import noise_like

pytestmark = pytest.mark.oracle

HIGHER = {("trumpet", 48): 60, ("trumpet", 58): 70}
"""Two files of the trumpet's package sound an octave above their names."""
SCALES = {"tuba": (29, 38, 50), "trombone": (40, 53, 65), "french-horn": (41, 55, 70), "trumpet": (55, 67, 79)}
FEW = 4
WORDS = (
    "Please stop the recording, I was not ready. We begin again at bar five, all together, and not too loud.",
    "One, two, three, four. The second time we leave the repeat out, and watch the slur into the high note.",
)
MEDIAN_CENTS, MOST_CENTS = 3.0, 10.0


def hz_of(midi: int) -> float:
    return float(440 * 2 ** ((midi - 69) / 12))


@cache
def start_of(path: Path) -> tuple[HeldSound, PitchTrack]:
    """The first seconds of a recorded note, and their track."""
    whole = sound_at(path)
    sound = HeldSound(whole.samples[: round(3 * whole.rate_hz)], whole.rate_hz)
    return sound, pitch_track(sound)


def few(instrument: str) -> list[tuple[int, Path]]:
    notes = recorded_notes(instrument)
    return notes[:: max(1, len(notes) // FEW)]


def difference(sound: HeldSound, track: PitchTrack, played: PlayedNote, target_hz: float) -> float:
    """Cents by which our pitch of a note lies from Praat's."""
    ours = measure_note(sound, track, played, played_index=0, target_hz=target_hz)
    assert isinstance(ours.cents, Figure)
    return ours.cents.value - praat_cents(sound, ours.steady_s, target_hz=target_hz)


@pytest.mark.parametrize("instrument", PACKAGES)
def test_recorded_notes_have_the_pitch_that_praat_gives(instrument: str) -> None:
    apart = []
    for midi, path in few(instrument):
        sound, track = start_of(path)
        start, stop = max(steady_stretches(track), key=lambda stretch: stretch[1] - stretch[0])
        hz = float(np.median(track.hz[start:stop]))
        target_hz = hz_of(HIGHER.get((instrument, midi), midi))
        assert abs(1200 * np.log2(hz / target_hz)) < 60, path.name
        played = PlayedNote(start * track.step_s, 0.01, stop * track.step_s, hz, None, PlayedAs.EXTRA)
        apart.append(difference(sound, track, played, target_hz))
    assert np.median(np.abs(apart)) < MEDIAN_CENTS
    assert np.abs(apart).max() < MOST_CENTS


@pytest.mark.parametrize("instrument", SCALES)
def test_rendered_scores_have_the_pitch_that_praat_gives(instrument: str) -> None:
    notes = [ScoreNote(midi, 0.5 + 1.5 * at, 1.2) for at, midi in enumerate(SCALES[instrument])]
    sound = rendered(notes, instrument)
    track = pitch_track(sound)
    apart = []
    for note in notes:
        hz = hz_of(note.midi)
        played = PlayedNote(note.onset_s, 0.01, note.onset_s + note.length_s, hz, None, PlayedAs.EXTRA)
        apart.append(difference(sound, track, played, hz))
    assert np.median(np.abs(apart)) < MEDIAN_CENTS
    assert np.abs(apart).max() < MOST_CENTS


@pytest.mark.parametrize("instrument", PACKAGES)
def test_recorded_notes_are_found_good_to_measure_from(instrument: str) -> None:
    for _, path in few(instrument):
        assert level_check(*start_of(path)).faults == ()


def passage(lowest_hz: float) -> Passage:
    """An octave up and down, slurred, half a second a note."""
    steps = (0, 2, 4, 5, 7, 9, 11, 12, 11, 9, 7, 5, 4, 2, 0)
    return Passage(
        tuple(
            AskedNote(lowest_hz * 2 ** (step / 12), 0.5 * at, 0.5, slurred_to_next=True)
            for at, step in enumerate(steps)
        )
    )


@pytest.mark.parametrize("words", WORDS)
def test_nothing_asked_is_heard_in_speech(words: str) -> None:
    sound = spoken(words)
    track = pitch_track(sound)
    for lowest_hz in (58.27, 116.5, 233.1):
        played = follow(sound, track, passage(lowest_hz)).played
        assert [note for note in played if note.asked is not None] == []


@pytest.mark.parametrize("colour", [Colour.WHITE, Colour.PINK])
def test_nothing_is_heard_in_noise(colour: Colour) -> None:
    noise = noise_like(15 * 22_050, 22_050, colour=colour, rng=np.random.default_rng(1_040))
    sound = HeldSound(np.asarray(0.05 * noise, np.float32), 22_050)
    track = pitch_track(sound)
    assert np.mean(track.hz > 0) < 0.005
    assert follow(sound, track, passage(116.5)).played == ()
