"""Whole takes followed through their parts, on seeds that nothing was set by."""

import subprocess
from dataclasses import replace
from functools import cache
from pathlib import Path

import numpy as np
import pytest

from builders.follower_takes import CASES, FollowerTake, follower_take, score_of, tune
from slurwright.listen.followed import Following, PlayedAs
from slurwright.listen.following import follow
from slurwright.listen.passage import AskedNote, Passage
from slurwright.listen.sound import HeldSound, Samples
from slurwright.listen.tracking import pitch_track

SEED = 1000
RATE_HZ = 22050.0


@cache
def take_of(case: str, tuning_cents: float = 0.0, octaves: int = 0) -> tuple[FollowerTake, Following]:
    take = follower_take(case, seed=SEED, notes=20, tuning_cents=tuning_cents + 1200.0 * octaves)
    return take, follow(take.sound, take.track, take.passage)


def followed(samples: Samples, passage: Passage, rate_hz: float = RATE_HZ) -> Following:
    sound = HeldSound(samples, rate_hz)
    return follow(sound, pitch_track(sound), passage)


def talk(seed: int, seconds: float) -> Samples:
    """A voice that talks, made up: syllables whose pitch glides, with pauses."""
    rng = np.random.default_rng(seed)
    parts: list[np.ndarray[tuple[int], np.dtype[np.float64]]] = []
    while sum(len(part) for part in parts) < seconds * RATE_HZ:
        count = int(rng.uniform(0.08, 0.25) * RATE_HZ)
        hz = rng.uniform(90.0, 220.0) * 2.0 ** (np.linspace(0.0, rng.uniform(-7.0, 5.0), count) / 12.0)
        phase = 2.0 * np.pi * np.cumsum(hz) / RATE_HZ
        wave = sum(np.sin(number * phase) / number for number in range(1, 12))
        parts += [0.1 * wave * np.hanning(count), np.zeros(int(rng.uniform(0.0, 0.12) * RATE_HZ))]
    sound = np.concatenate(parts)[: int(seconds * RATE_HZ)]
    return np.asarray(sound + 1e-4 * rng.standard_normal(len(sound)), np.float32)


@pytest.mark.parametrize("case", sorted(CASES))
def test_what_was_played_is_what_is_found(case: str) -> None:
    take, following = take_of(case)
    found = [(note.asked, note.played_as.value) for note in following.played]
    assert found == [(note.asked, note.standing.value) for note in take.truth]


@pytest.mark.parametrize("case", sorted(CASES))
def test_notes_start_and_stop_when_they_do(case: str) -> None:
    take, following = take_of(case)
    onsets = np.array([note.onset_s for note in following.played]) - [note.onset_s for note in take.truth]
    assert np.median(np.abs(onsets)) < 0.004
    assert np.percentile(np.abs(onsets), 95) < 0.015
    offsets = np.array([note.offset_s for note in following.played]) - [note.offset_s for note in take.truth]
    assert np.median(np.abs(offsets)) < 0.01
    assert all(note.onset_s < note.offset_s for note in following.played)
    assert all(0.0 < note.onset_sd_s < 0.05 for note in following.played)


def test_intervals_hold_the_truth_about_nine_times_in_ten() -> None:
    scores = [score_of(*take_of(case)) for case in CASES]
    honest = [inside for score in scores for inside in score.honest]
    assert np.mean(honest) > 0.85


def test_missed_notes_are_said() -> None:
    take, following = take_of("two missed")
    sounded = {note.asked for note in take.truth}
    assert following.missed == tuple(at for at in range(len(take.passage.notes)) if at not in sounded)
    assert len(following.missed) == 2
    assert following.restarts == ()


@pytest.mark.parametrize("case", ["restarted", "interrupted"])
def test_a_retake_is_said(case: str) -> None:
    take, following = take_of(case)
    asked = [note.asked for note in take.truth]
    back = [at for at in range(1, len(asked)) if asked[at] != asked[at - 1] + 1]  # type: ignore[operator]
    assert list(following.restarts) == back
    assert following.missed == ()


def test_an_excerpt_misses_nothing() -> None:
    take, following = take_of("excerpt")
    assert following.missed == ()
    assert following.first_asked == take.truth[0].asked
    assert take.truth[0].asked


def test_slurred_and_touched_notes_are_joined() -> None:
    for case in ("plain", "retongued"):
        take, following = take_of(case)
        told = [note.joined_to_next for note in following.played]
        assert np.mean(np.array(told) == [note.joined_to_next for note in take.truth]) > 0.95


@pytest.mark.parametrize("tuning_cents", [-95.0, 60.0, 95.0])
def test_the_whole_take_may_be_out_of_tune(tuning_cents: float) -> None:
    take, following = take_of("plain", tuning_cents)
    assert score_of(take, following).exact


@pytest.mark.parametrize("octaves", [-1, 1])
def test_the_whole_take_may_be_an_octave_away(octaves: int) -> None:
    take, following = take_of("plain", octaves=octaves)
    assert [note.asked for note in following.played] == [note.asked for note in take.truth]
    assert {note.played_as for note in following.played} == {PlayedAs.OCTAVE}


def test_talk_before_and_after_is_not_taken_for_notes() -> None:
    take, following = take_of("plain")
    before = talk(1, 4.0)
    samples = np.concatenate((before, take.sound.samples, talk(2, 3.0)))
    moved = followed(samples, take.passage)
    asked = [note for note in moved.played if note.asked is not None]
    assert [note.asked for note in asked] == [note.asked for note in following.played]
    start = len(before) / RATE_HZ
    assert np.allclose([n.onset_s - start for n in asked], [n.onset_s for n in following.played], atol=0.005)


@pytest.mark.parametrize("notes", [1, 4, 20])
@pytest.mark.parametrize(
    ("name", "samples"),
    [
        ("silence", np.zeros(60_000, np.float32)),
        ("noise", (0.1 * np.random.default_rng(3).standard_normal(120_000)).astype(np.float32)),
        ("talk", talk(5, 6.0)),
    ],
)
def test_nothing_is_heard_where_nothing_was_played(name: str, samples: Samples, notes: int) -> None:
    passage = Passage(tune(np.random.default_rng(SEED), notes=20).notes[:notes])
    assert followed(samples, passage) == Following((), ()), name


def test_nothing_is_heard_of_a_piece_that_was_not_played() -> None:
    take, _ = take_of("plain")
    for other in (take_of("two wrong")[0].passage, shuffled(take.passage)):
        assert follow(take.sound, take.track, other) == Following((), ())


def shuffled(passage: Passage) -> Passage:
    """The same notes in another order: the same key, the same register."""
    order = np.random.default_rng(4).permutation(len(passage.notes))
    notes, at = [], 0.0
    for index in order:
        notes.append(replace(passage.notes[index], onset_s=at, slurred_to_next=False))
        at += passage.notes[index].length_s
    return Passage(tuple(notes))


@pytest.mark.needs("espeak-ng")
@pytest.mark.parametrize("voice", ["en", "en+m7", "de+f2"])
def test_a_talking_voice_is_no_playing(voice: str, tmp_path: Path) -> None:
    soundfile = pytest.importorskip("soundfile")
    words = "Shall we take it again from bar five, a little slower this time, and mind the slur."
    subprocess.run(["espeak-ng", "-v", voice, "-w", str(tmp_path / "talk.wav"), words], check=True)
    samples, rate_hz = soundfile.read(tmp_path / "talk.wav", dtype="float32")
    for notes in (1, 3, 20):
        passage = Passage(tune(np.random.default_rng(SEED + notes), notes=20).notes[:notes])
        assert followed(samples, passage, float(rate_hz)).played == ()


def test_the_same_take_is_followed_the_same_way() -> None:
    take, following = take_of("two wrong")
    assert follow(take.sound, take.track, take.passage) == following


def test_one_long_tone_is_heard() -> None:
    take, following = take_of("plain")
    longest = max(following.played, key=lambda note: note.offset_s - note.onset_s)
    start, stop = (round(time_s * RATE_HZ) for time_s in (longest.onset_s - 0.02, longest.offset_s - 0.02))
    quiet = np.full(8000, 1e-5, np.float32)
    asked = take.passage.notes[longest.asked or 0]
    passage = Passage((AskedNote(asked.hz, 0.0, asked.length_s),))
    found = followed(np.concatenate((quiet, take.sound.samples[start:stop], quiet)), passage)
    assert [(note.asked, note.played_as) for note in found.played] == [(0, PlayedAs.ASKED)]


def test_an_empty_sound_holds_nothing() -> None:
    passage = tune(np.random.default_rng(SEED), notes=5)
    assert followed(np.zeros(0, np.float32), passage) == Following((), ())
