"""Takes for the follower: invented tunes, played with stated faults in a simulated room.

Seeds under 1000 are for fixing thresholds, from 1000 up for testing. A tune has stepwise and leaping motion, repeated
notes, slurs, rests, sixteenths to dotted halves. Left-out and wrong notes are never the first or last, and never
beside a note of the same pitch where no listener could say which of the two it was.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from builders.takes import heard, place_named, voice_for
from slurwright.listen.followed import Following
from slurwright.listen.passage import AskedNote, Passage
from slurwright.listen.sound import HeldSound
from slurwright.listen.track import PitchTrack
from slurwright.listen.tracking import pitch_track
from slurwright.synth import Player, Vibrato
from slurwright.synth.faults import (
    Breathing,
    Excerpt,
    ExtraNote,
    Fault,
    GoBack,
    LeaveOut,
    Manner,
    OctaveAway,
    WrongNote,
)
from slurwright.synth.performing import perform
from slurwright.synth.rendering import render
from slurwright.synth.truth import NoteTruth

__all__ = ["CASES", "FollowerTake", "Score", "follower_take", "score_of", "tune"]

_SCALE = (0, 2, 4, 5, 7, 9, 11)
_LOWEST = (31, 38, 45, 50, 57)
_HIGHEST = 84
_TOLERANCE_S = 0.15
_WRONG_STEPS = (-5, -4, -3, -2, -1, 1, 2, 3, 4, 5)

Rng = np.random.Generator


@dataclass(frozen=True, slots=True, eq=False)
class FollowerTake:
    """A take, its part, and what is true."""

    passage: Passage
    sound: HeldSound
    track: PitchTrack
    truth: tuple[NoteTruth, ...]

    @property
    def length_s(self) -> float:
        return self.sound.length / self.sound.rate_hz


@dataclass(frozen=True, slots=True)
class Score:
    """How well a take was followed."""

    exact: bool
    """The notes that sounded, each with what it stands for and how, are exactly the true ones."""
    errors_s: tuple[float, ...]
    """Onsets found minus true ones, of the notes that were found [s]."""
    honest: tuple[bool, ...]
    """Of the same: the truth lies within the interval for nine cases of ten."""
    joins: tuple[str, ...]
    """Of the same: rest, slur or tongued (without a gap)."""
    lost: int
    count: int


def _hz(midi: float) -> float:
    return float(440.0 * 2.0 ** ((midi - 69.0) / 12.0))


def tune(rng: Rng, *, notes: int = 30, slurs: float = 0.5, repeats: float = 0.12) -> Passage:
    """An invented tune in some key and register, at some marked tempo."""
    low = int(rng.choice(_LOWEST)) + int(rng.integers(8))
    beat_s = 60.0 / rng.uniform(66.0, 126.0)
    step = int(rng.integers(5, 10))
    pitches: list[int] = []
    for index in range(notes):
        if not index or rng.random() >= repeats:
            step = int(np.clip(step + rng.choice([-4, -3, -2, -1, -1, -1, 1, 1, 1, 2, 3, 4]), 0, 15))
        pitch = low + 12 * (step // 7) + _SCALE[step % 7] + int(rng.random() < 0.06)
        pitches.append(pitch if index == 0 or pitch != pitches[-1] or rng.random() < 0.5 else pitches[-1])
    pitches = [pitch - 12 * max(0, -((_HIGHEST - max(pitches)) // 12)) for pitch in pitches]
    asked, at = [], 0.0
    for index, pitch in enumerate(pitches):
        length_s = beat_s * float(rng.choice([0.25, 0.5, 0.5, 0.5, 1.0, 1.0, 1.0, 1.5, 2.0]))
        slurred = index + 1 < notes and pitches[index + 1] != pitch and rng.random() < slurs
        rest_s = beat_s * float(rng.choice([0.5, 1.0])) if not slurred and rng.random() < 0.06 else 0.0
        asked.append(AskedNote(_hz(pitch), at, length_s, slurred_to_next=bool(slurred)))
        at += length_s + rest_s
    return Passage(tuple(asked))


def _sure(passage: Passage) -> list[int]:
    """Notes whose neighbours have another pitch, neither first nor last."""
    hz = [note.hz for note in passage.notes]
    return [at for at in range(1, len(hz) - 1) if abs(hz[at] - hz[at - 1]) > 0.1 and abs(hz[at] - hz[at + 1]) > 0.1]


def _wrong(rng: Rng, passage: Passage, count: int) -> list[Fault]:
    faults: list[Fault] = []
    for at in rng.choice(_sure(passage), count, replace=False).tolist():
        near = [passage.notes[index].hz for index in (at - 1, at, at + 1)]
        options = [passage.notes[at].hz * 2.0 ** (step / 12.0) for step in _WRONG_STEPS]
        free = [hz for hz in options if all(abs(12.0 * np.log2(hz / other)) > 0.5 for other in near)]
        faults.append(WrongNote(at, float(rng.choice(free))))
    return faults


def _missed(rng: Rng, passage: Passage, count: int) -> list[Fault]:
    chosen = rng.choice(_sure(passage), count, replace=False).tolist()
    return [LeaveOut(at, closed_up=bool(rng.random() < 0.5)) for at in chosen]


def _restart(rng: Rng, passage: Passage) -> list[Fault]:
    return [GoBack(int(rng.integers(2, max(4, len(passage.notes) // 3))), 0, float(rng.uniform(0.3, 1.5)))]


def _interrupted(rng: Rng, passage: Passage) -> list[Fault]:
    after = int(rng.integers(len(passage.notes) // 3, len(passage.notes) - 2))
    return [GoBack(after, max(0, after - int(rng.integers(1, 8))), float(rng.uniform(0.3, 2.0)))]


def _everything(rng: Rng, passage: Passage) -> list[Fault]:
    return [*_interrupted(rng, passage), *_wrong(rng, passage, 1), Breathing(int(rng.integers(3, 12)))]


def _excerpt(rng: Rng, passage: Passage) -> list[Fault]:
    first = int(rng.integers(4, len(passage.notes) // 2))
    return [Excerpt(first, first + 10)]


def _octave(rng: Rng, passage: Passage) -> list[Fault]:
    return [OctaveAway(int(rng.choice(_sure(passage))), 1 if np.median([n.hz for n in passage.notes]) < 300 else -1)]


def _extra(rng: Rng, passage: Passage) -> list[Fault]:
    before = int(rng.choice(_sure(passage)))
    hz = passage.notes[before].hz * 2.0 ** (float(rng.choice([-7, -6, 6, 7])) / 12.0)
    return [ExtraNote(before, float(hz), float(rng.uniform(0.15, 0.4)))]


CASES: dict[str, Callable[[Rng, Passage], Sequence[Fault]]] = {
    "plain": lambda _rng, _passage: (),
    "two wrong": lambda rng, passage: _wrong(rng, passage, 2),
    "two missed": lambda rng, passage: _missed(rng, passage, 2),
    "restarted": _restart,
    "interrupted": _interrupted,
    "interrupted, one wrong": _everything,
    "excerpt": _excerpt,
    "one an octave off": _octave,
    "one too many": _extra,
    "retongued": lambda _rng, _passage: (),
}
"""What goes wrong in a take; in the last one all notes that are not slurred touch each other."""


def follower_take(
    case: str, *, seed: int, room: str = "near", notes: int = 30, tuning_cents: float = 0.0
) -> FollowerTake:
    """A take of a new tune with such faults."""
    rng = np.random.default_rng([seed, *case.encode()])
    retongued = case == "retongued"
    passage = tune(rng, notes=notes, slurs=0.25 if retongued else 0.5, repeats=0.4 if retongued else 0.12)
    middle_hz = float(np.median([note.hz for note in passage.notes]))
    manner = Manner(
        voice=voice_for(middle_hz),
        tempo=float(rng.uniform(0.75, 1.3)),
        rubato=0.06,
        timing_s=0.012,
        tune_cents=8.0,
        level_sd_db=1.5,
        gap_s=0.0 if retongued else float(rng.uniform(0.02, 0.08)),
        vibrato=Vibrato(5.5, 12.0, 0.15) if rng.random() < 0.3 else None,
    )
    ratio = 2.0 ** ((tuning_cents + float(rng.normal(0.0, 15.0))) / 1200.0)
    wanted = [replace(note, hz=note.hz * ratio) for note in passage.notes]
    faults = [replace(f, hz=f.hz * ratio) if isinstance(f, WrongNote) else f for f in CASES[case](rng, passage)]
    script = perform(
        wanted, rng=rng, faults=faults, manner=manner, player=Player(3.0, jitter_cents=0.5, shimmer_db=0.4)
    )
    take = render(script, rng=rng, place=place_named(room, rng))
    sound = heard(take)
    return FollowerTake(passage, sound, pitch_track(sound), take.truth.notes)


def score_of(take: FollowerTake, following: Following) -> Score:
    """Compare what was found with the truth."""
    found = [(note.asked, note.played_as.value) for note in following.played]
    exact = found == [(note.asked, note.standing.value) for note in take.truth]
    errors, honest, joins = [], [], []
    for index, true in enumerate(take.truth):
        near = [n for n in following.played if n.asked == true.asked and abs(n.onset_s - true.onset_s) < _TOLERANCE_S]
        if near:
            best = min(near, key=lambda note: abs(note.onset_s - true.onset_s))
            errors.append(best.onset_s - true.onset_s)
            honest.append(abs(errors[-1]) < 1.645 * best.onset_sd_s)
            joins.append(_join(take.passage, take.truth[index - 1] if index else None, true))
    return Score(exact, tuple(errors), tuple(honest), tuple(joins), len(take.truth) - len(errors), len(take.truth))


def _join(passage: Passage, before: NoteTruth | None, note: NoteTruth) -> str:
    if before is None or not before.joined_to_next:
        return "rest"
    if before.asked is not None and note.asked == before.asked + 1 and passage.notes[before.asked].slurred_to_next:
        return "slur"
    return "tongued"
