"""Passages for tests of following, drawn at random; what was played, as the room that listens would say it."""

from collections.abc import Sequence

import numpy as np

from builders.takes import RATE_HZ, place_named, varied, voice_for
from slurwright.listen.followed import Following, PlayedAs, PlayedNote
from slurwright.listen.passage import AskedNote, Passage
from slurwright.synth import Choke, Dwell, Player, Slur, Tongue, Vibrato
from slurwright.synth.faults import (
    Breathing,
    Excerpt,
    ExtraNote,
    Fault,
    GoBack,
    LeaveOut,
    Manner,
    OctaveAway,
    Pause,
    SlurAs,
    WrongNote,
)
from slurwright.synth.performing import perform
from slurwright.synth.rendering import RenderedTake, render

__all__ = ["FREE", "SCENES", "any_passage", "faults_of", "following_of", "passage_take"]

SCENES = (
    "plain",
    "wrong",
    "missed",
    "octave",
    "extra",
    "silence",
    "restart",
    "retake",
    "excerpt",
    "no gaps",
    "bad slurs",
    "deep",
)
"""What goes wrong in a take: nothing, two wrong notes, two missed notes, one note an octave off, an extra note,
silences and a breath, a start that is repeated, a stop and a retake in the middle, only some notes of it, tongued
notes without a gap, every other slur split, broken, tongued or scooped; nothing, but on a contrabass tuba."""

FREE = Manner(rubato=0.12, timing_s=0.012, tune_cents=8.0, level_sd_db=1.5, vibrato=Vibrato(5.3, 6.0, 0.2))
"""A player with a free tempo and a human ear."""

_MAJOR = (0, 2, 4, 5, 7, 9, 11)
_STEPS = (-4, -3, -2, -2, -1, -1, -1, 0, 1, 1, 1, 2, 2, 3, 4)
_LENGTHS_S = (0.25, 0.25, 0.5, 0.5, 0.5, 0.75, 1.0)


def any_passage(rng: np.random.Generator, *, count: int = 40, lowest_midi: int | None = None) -> Passage:
    """Draw a tune: steps and leaps on a major scale over two octaves, slurred groups, rests, repeated notes."""
    lowest = int(rng.integers(34, 62)) if lowest_midi is None else lowest_midi
    scale = [lowest + 12 * octave + step for octave in range(2) for step in _MAJOR]
    degree, at, left = int(rng.integers(3, 10)), 0.0, 0
    notes: list[AskedNote] = []
    for index in range(count):
        length_s = float(rng.choice(_LENGTHS_S))
        left = left - 1 if left else int(rng.choice((0, 0, 1, 2, 3, 4)))
        move = int(rng.choice(_STEPS))
        slurred = left > 0 and index + 1 < count
        if slurred and move == 0:
            move = 1
        rest_s = float(rng.choice((0.0, 0.5, 1.0), p=(0.8, 0.15, 0.05))) if not slurred else 0.0
        notes.append(_asked(scale[degree], at, length_s, slurred=slurred))
        at += length_s + rest_s
        degree = degree + move if 0 <= degree + move < len(scale) else degree - move
    return Passage(tuple(notes))


def faults_of(scene: str, passage: Passage, rng: np.random.Generator) -> tuple[Fault, ...]:
    """What goes wrong in one of the scenes, drawn at random."""
    count = len(passage.notes)
    places = [int(at) for at in np.sort(rng.choice(np.arange(3, count - 3), 4, replace=False))]
    steps = [int(step) for step in rng.choice((-3, -2, -1, 1, 2, 3), 2)]
    match scene:
        case "wrong":
            return tuple(
                WrongNote(at, passage.notes[at].hz * 2.0 ** (step / 12.0))
                for at, step in zip(places[::3], steps, strict=True)
            )
        case "missed":
            return tuple(LeaveOut(at, closed_up=bool(rng.random() < 0.5)) for at in places[::3])
        case "octave":
            return (OctaveAway(places[0], -1 if passage.notes[places[0]].hz > 140.0 else 1),)
        case "extra":
            return (ExtraNote(places[1], passage.notes[places[1]].hz * 2.0 ** (2 * steps[0] / 12.0 + 0.04), 0.3),)
        case "silence":
            return Pause(places[0], 1.5), Pause(places[2], 0.7), Breathing(places[3], 0.35)
        case "restart":
            return (GoBack(int(rng.integers(2, 6)), 0, float(rng.uniform(0.5, 1.5))),)
        case "retake":
            return (GoBack(places[2], max(0, places[2] - int(rng.integers(3, 9))), float(rng.uniform(0.4, 1.5))),)
        case "excerpt":
            first = int(rng.integers(0, count // 2))
            return (Excerpt(first, min(count - 1, first + int(rng.integers(10, 18)))),)
        case "bad slurs":
            return tuple(
                SlurAs(first, _bad_slur(passage.notes[first], passage.notes[second], rng))
                for first, second in passage.joined()
                if rng.random() < 0.5
            )
        case _:
            return ()


def passage_take(
    scene: str, room: str, *, seed: int, count: int = 40, rate_hz: float = RATE_HZ
) -> tuple[Passage, RenderedTake]:
    """Play a random passage in one of the scenes and one of the rooms."""
    rng = np.random.default_rng([seed, SCENES.index(scene)])
    lowest_midi = int(rng.integers(22, 33)) if scene == "deep" else None
    passage = any_passage(rng, count=count, lowest_midi=lowest_midi)
    gap_s = 0.0 if scene == "no gaps" else float(rng.uniform(0.03, 0.07))
    lowest_hz = min(note.hz for note in passage.notes)
    manner = Manner(
        voice=varied(voice_for(1.6 * lowest_hz), rng),
        tempo=float(rng.uniform(0.8, 1.2)),
        rubato=FREE.rubato,
        timing_s=FREE.timing_s,
        tune_cents=FREE.tune_cents,
        level_sd_db=FREE.level_sd_db,
        gap_s=gap_s,
        vibrato=FREE.vibrato if rng.random() < 0.5 else None,
    )
    player = Player(wander_cents=3.0, jitter_cents=0.5, shimmer_db=0.3, breath_db=-46.0)
    script = perform(passage.notes, rng=rng, faults=faults_of(scene, passage, rng), manner=manner, player=player)
    return passage, render(script, rng=rng, rate_hz=rate_hz, place=place_named(room, np.random.default_rng(seed)))


def following_of(take: RenderedTake, passage: Passage) -> Following:
    """What a perfect ear would say was played."""
    notes = take.truth.notes
    played = tuple(
        PlayedNote(
            note.onset_s,
            0.001,
            note.offset_s,
            note.hz,
            note.asked,
            PlayedAs(note.standing.value),
            note.joined_to_next,
        )
        for note in notes
    )
    asked = [note.asked for note in notes if note.asked is not None]
    inside = range(min(asked), max(asked) + 1) if asked else range(0)
    return Following(
        played, tuple(at for at in inside if at not in asked), _restarts(notes_asked=[n.asked for n in notes])
    )


def _bad_slur(first: AskedNote, second: AskedNote, rng: np.random.Generator) -> Slur:
    """One of the ways in which a slur goes wrong."""
    others = [
        hz
        for hz in second.series_hz
        if min(abs(np.log2(hz / first.hz)), abs(np.log2(hz / second.hz))) > 0.06
        and abs(np.log2(hz / second.hz)) < 0.6
    ]
    foreign = others[int(rng.integers(len(others)))] if others else first.hz
    choices = (
        Slur(0.02, dwells=(Dwell(foreign, float(rng.uniform(0.05, 0.12))),)),
        Slur(silence_s=float(rng.uniform(0.03, 0.1))),
        Slur(0.015, tongue=Tongue()),
        Slur(scoop_cents=float(rng.uniform(40.0, 120.0)), settle_s=0.15),
        Slur(dip_db=float(rng.uniform(7.0, 13.0)), dip_s=0.09),
        Slur(choke=Choke()),
    )
    return choices[int(rng.integers(len(choices)))]


def _restarts(*, notes_asked: Sequence[int | None]) -> tuple[int, ...]:
    found, latest = [], None
    for index, asked in enumerate(notes_asked):
        if asked is None:
            continue
        if latest is not None and asked <= latest:
            found.append(index)
        latest = asked
    return tuple(found)


def _asked(midi: int, at: float, length_s: float, *, slurred: bool) -> AskedNote:
    """A note with the series of a fingering that plays it: a B flat tube of fitting size and up to six semitones."""
    hz = 440.0 * 2.0 ** ((midi - 69) / 12.0)
    open_hz = 29.1352 if midi < 48 else 58.2705
    for partial in range(2, 17):
        semitones = 12.0 * np.log2(partial * open_hz / hz)
        if -0.5 < semitones < 6.5:
            series = tuple(float(hz / partial * n) for n in range(1, 17))
            return AskedNote(hz, at, length_s, slurred, series, partial)
    return AskedNote(hz, at, length_s, slurred)
