"""Measured takes made by hand: a good one and a faulty one, with a track that shows what the measures say.

Figures here are stated, not measured: pictures, files and words must show whatever they are given.
"""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np

from builders.parts import part_of
from builders.studies import hand_made_study
from slurwright.jobs.passage import passage_of
from slurwright.jobs.take.measured import MeasuredTake
from slurwright.listen.figure import Figure, Hidden, Veil
from slurwright.listen.followed import Following, PlayedAs, PlayedNote
from slurwright.listen.measures import (
    Foreign,
    LevelCheck,
    LevelFault,
    NoteMeasure,
    Reason,
    Room,
    SlurMeasure,
    SlurOutcome,
    SlurPath,
    Vibrato,
)
from slurwright.listen.passage import Passage
from slurwright.listen.take import TakeMeasure
from slurwright.listen.track import PitchTrack
from slurwright.pitch import Clef
from slurwright.plan.study import Study
from slurwright.score import Key

TUNE = (
    "(Bb2 F3) (D3 Bb3) | (G3/2 Eb3 C3) | F3/2 (D3 Bb2) | C3/3 r | "
    "(F3/1/2 A3/1/2 C4 A3) F3 | (Bb3 D4 Bb3) F3 | (Eb3 G3 Eb3 C3) | (D3 C3) Bb2/2"
)
STEP_S = 0.005


@dataclass(frozen=True, slots=True)
class Turn:
    """What was played of one asked note, and how the slur from it went."""

    asked: int | None
    cents: float = 0.0
    half: float = 1.2
    as_what: PlayedAs = PlayedAs.ASKED
    semitones: int = 0
    vibrato: bool = False
    scoop: float = 0.0
    drift: float = 0.0
    slur: str = "clean"
    hidden: Veil | None = None
    length_s: float | None = None


def around(value: float, half: float) -> Figure:
    return Figure(value, value - half, value + half)


def above_zero(value: float, half: float) -> Figure:
    return Figure(value, max(0.0, value - half), value + half)


def tune_study() -> Study:
    part = part_of(TUNE, key=-2, clef=Clef.BASS)
    measures = tuple(replace(measure, key=Key(-2)) for measure in part.measures)
    return hand_made_study(replace(part, measures=measures, title="Lanterns on Weir Street"))


def good_take() -> MeasuredTake:
    """A take with nothing wrong in it: some cents here and there, every slur clean."""
    rng = np.random.default_rng(5)
    study = tune_study()
    count = len(study.line.sounds)
    turns = [
        Turn(index, cents=6.0 + float(rng.normal(0, 4)), vibrato=study.line.sounds[index].duration_s > 1.0)
        for index in range(count)
    ]
    return taken(study, turns)


def faulty_take() -> MeasuredTake:
    """A take with one of everything."""
    study = tune_study()
    turns = {index: Turn(index, cents=8.0 - (index % 5)) for index in range(len(study.line.sounds))}
    changes: Mapping[int, Mapping[str, object]] = {
        0: {"slur": "broke"},
        1: {"cents": 21.0, "half": 2.0},
        2: {"slur": "split"},
        4: {"slur": "scoop", "vibrato": True},
        5: {"slur": "tongued", "cents": -14.0},
        8: {"slur": "overshoot"},
        10: {"scoop": 35.0, "drift": -9.0, "length_s": 1.6},
        11: {"slur": "fell back"},
        12: {"slur": "slow", "cents": 62.0},
        13: {"slur": "wrong"},
        14: {"as_what": PlayedAs.WRONG, "semitones": 2},
        17: {"slur": "room"},
        18: {"hidden": Veil.SHORT},
        20: {"as_what": PlayedAs.OCTAVE, "semitones": -12},
    }
    for index, change in changes.items():
        turns[index] = replace(turns[index], **change)  # type: ignore[arg-type]
    order = [turns[index] for index in range(16)]
    order += [Turn(15, cents=4.0), *(turns[index] for index in (16, 17, 18))]
    order += [Turn(None, as_what=PlayedAs.EXTRA, semitones=50, length_s=0.3)]
    order += [turns[index] for index in (20, 21, 22)]
    order += [turns[index] for index in range(23, len(study.line.sounds))]
    level = LevelCheck(-0.1, -14.0, -52.0, 0.002, (LevelFault.CLIPPED, LevelFault.ECHO))
    room = Room(around(0.62, 0.1), around(5.0, 2.0))
    return taken(study, order, missed=(19,), restarts=(16,), level=level, room=room)


def taken(
    study: Study,
    turns: Sequence[Turn],
    *,
    missed: tuple[int, ...] = (),
    restarts: tuple[int, ...] = (),
    level: LevelCheck | None = None,
    room: Room | None = None,
) -> MeasuredTake:
    """Make a take of what was played, turn by turn."""
    asked = passage_of(study)
    played = _played(turns, asked.passage)
    slurs = _slurs(turns, asked.passage)
    length_s = played[-1].offset_s + 1.0
    measure = TakeMeasure(
        passage=asked.passage,
        length_s=length_s,
        level=level or LevelCheck(-4.0, -16.0, -63.0, 0.0),
        room=room or Room(around(0.31, 0.05), around(12.0, 2.5)),
        track=_track(turns, played, asked.passage, length_s),
        following=Following(played, missed, restarts),
        notes=tuple(_note(at, turn, played[at]) for at, turn in enumerate(turns) if turn.asked is not None),
        slurs=slurs,
    )
    return MeasuredTake(study, measure, asked.sounds)


def _played(turns: Sequence[Turn], passage: Passage) -> tuple[PlayedNote, ...]:
    played: list[PlayedNote] = []
    now_s = 0.4
    last_end = 0.0
    for at, turn in enumerate(turns):
        if turn.asked is None:
            hz, length_s = 440.0 * 2 ** ((turn.semitones - 69) / 12), turn.length_s or 0.3
        else:
            note = passage.notes[turn.asked]
            hz = note.hz * 2 ** (turn.semitones / 12 + turn.cents / 1200)
            length_s = turn.length_s or note.length_s
            before = turns[at - 1].asked if at else None
            if before is not None and turn.asked == before + 1:
                asked_end = passage.notes[before].onset_s + passage.notes[before].length_s
                now_s += max(0.0, note.onset_s - asked_end)
            elif at and not played[-1].joined_to_next:
                now_s += 0.8
        now_s = max(now_s, last_end)
        following = turns[at + 1].asked if at + 1 < len(turns) else None
        joined = turn.asked is not None and following is not None and passage.notes[turn.asked].slurred_to_next
        end_s = now_s + length_s * (1.0 if joined else 0.9)
        played.append(PlayedNote(now_s, 0.003, end_s, hz, turn.asked, turn.as_what, joined))
        last_end, now_s = end_s, now_s + length_s
    return tuple(played)


def _note(at: int, turn: Turn, played: PlayedNote) -> NoteMeasure:
    level_db = -18.0 + 2.0 * math.sin(at)
    cents = turn.cents + 100.0 * turn.semitones
    return NoteMeasure(
        played=at,
        cents=Hidden(turn.hidden) if turn.hidden else around(cents, turn.half),
        steady_s=(played.onset_s + 0.06, max(played.onset_s + 0.08, played.offset_s - 0.04)),
        drift_cents_s=around(turn.drift, 1.5) if not turn.hidden else Hidden(turn.hidden),
        wander_cents=above_zero(2.5, 0.5),
        scoop_cents=above_zero(turn.scoop, 5.0),
        vibrato=Vibrato(around(5.4, 0.2), around(11.0, 1.0)) if turn.vibrato else None,
        level_db=level_db,
        brightness=around(3.2, 0.3),
    )


_CLEAN = {
    "time_ms": above_zero(42.0, 7.0),
    "dip_db": above_zero(2.5, 1.0),
    "dip_ms": above_zero(0.0, 4.0),
    "silence_ms": above_zero(0.0, 4.0),
    "scoop_cents": above_zero(4.0, 6.0),
    "overshoot_cents": above_zero(3.0, 5.0),
    "path": SlurPath.DIRECT,
    "foreign": None,
    "outcome": SlurOutcome.CLEAN,
    "outcome_chance": 0.97,
    "quality": Figure(0.93, 0.88, 0.97),
    "reasons": (),
}
_KINDS: Mapping[str, Mapping[str, object]] = {
    "clean": {},
    "broke": {
        "dip_db": above_zero(34.0, 5.0),
        "dip_ms": above_zero(120.0, 12.0),
        "silence_ms": above_zero(85.0, 9.0),
        "outcome": SlurOutcome.BROKE,
        "quality": Figure(0.08, 0.03, 0.14),
        "reasons": (Reason.SILENCE, Reason.ABRUPT),
    },
    "split": {
        "path": SlurPath.PARTIAL,
        "outcome": SlurOutcome.BROKE,
        "time_ms": above_zero(118.0, 12.0),
        "quality": Figure(0.24, 0.16, 0.33),
        "reasons": (Reason.FOREIGN, Reason.SLOW),
    },
    "tongued": {
        "dip_db": above_zero(13.0, 3.0),
        "dip_ms": above_zero(30.0, 6.0),
        "outcome": SlurOutcome.TONGUED,
        "outcome_chance": 0.64,
        "quality": Figure(0.42, 0.3, 0.55),
        "reasons": (Reason.TONGUE, Reason.ABRUPT),
    },
    "scoop": {
        "path": SlurPath.SCOOP,
        "scoop_cents": above_zero(48.0, 9.0),
        "quality": Figure(0.66, 0.57, 0.74),
        "reasons": (Reason.SCOOP,),
    },
    "overshoot": {
        "path": SlurPath.OVERSHOOT,
        "overshoot_cents": above_zero(39.0, 8.0),
        "quality": Figure(0.74, 0.66, 0.82),
        "reasons": (Reason.OVERSHOOT,),
    },
    "fell back": {
        "path": SlurPath.FELL_BACK,
        "outcome": SlurOutcome.BROKE,
        "time_ms": above_zero(190.0, 20.0),
        "quality": Figure(0.15, 0.08, 0.24),
        "reasons": (Reason.FELL_BACK, Reason.SLOW),
    },
    "slow": {
        "time_ms": above_zero(210.0, 18.0),
        "quality": Figure(0.45, 0.38, 0.52),
        "reasons": (Reason.SLOW,),
    },
    "wrong": {
        "outcome": SlurOutcome.WRONG_NOTE,
        "quality": Figure(0.6, 0.5, 0.7),
        "reasons": (Reason.WRONG_NOTE,),
    },
    "room": {
        "time_ms": Hidden(Veil.ROOM),
        "dip_db": Hidden(Veil.ROOM),
        "dip_ms": Hidden(Veil.ROOM),
        "silence_ms": Hidden(Veil.ROOM),
        "scoop_cents": Hidden(Veil.ROOM),
        "overshoot_cents": Hidden(Veil.ROOM),
        "outcome_chance": 0.71,
        "quality": Hidden(Veil.ROOM),
    },
}


def _slurs(turns: Sequence[Turn], passage: Passage) -> tuple[SlurMeasure, ...]:
    slurs = []
    joined = set(passage.joined())
    for at, (first, second) in enumerate(pairwise(turns)):
        if first.asked is None or (first.asked, second.asked) not in joined:
            continue
        figures = {**_CLEAN, **_KINDS[first.slur]}
        if first.slur == "split":
            note = passage.notes[first.asked]
            partial = (note.partial or 0) + 1
            figures["foreign"] = Foreign(note.series_hz[partial - 1], partial, above_zero(74.0, 10.0))
        slurs.append(SlurMeasure(at, at + 1, **figures))  # type: ignore[arg-type]
    return tuple(slurs)


def _track(turns: Sequence[Turn], played: Sequence[PlayedNote], passage: Passage, length_s: float) -> PitchTrack:
    frames = math.ceil(length_s / STEP_S)
    time_s = STEP_S * np.arange(frames)
    hz, level = np.zeros(frames), np.full(frames, -60.0)
    rng = np.random.default_rng(1)
    for at, (turn, note) in enumerate(zip(turns, played, strict=True)):
        inside = (time_s >= note.onset_s) & (time_s < note.offset_s)
        since = time_s[inside] - note.onset_s
        cents = turn.drift * (since - since.mean()) + np.cumsum(rng.normal(0, 0.5, since.size)) * 0.5
        cents += 11.0 * np.sin(2 * np.pi * 5.4 * since) * np.clip(since - 0.3, 0, 1) if turn.vibrato else 0.0
        cents -= turn.scoop * np.exp(-since / 0.05)
        before = turns[at - 1] if at else None
        if before is not None and before.slur in {"scoop", "overshoot"}:
            cents += {"scoop": -60.0, "overshoot": 45.0}[before.slur] * np.exp(-since / 0.06)
        hz[inside] = note.hz * 2 ** (cents / 1200)
        level[inside] = (
            -18.0
            + 2.0 * math.sin(at)
            - 1.5 * since
            - 20.0 * np.exp(-since / 0.015) * (not (at and played[at - 1].joined_to_next))
        )
        if turn.slur == "broke":
            gap = np.abs(time_s - note.offset_s) < 0.0425
            hz[gap], level[gap] = 0.0, -52.0
        elif turn.slur == "tongued":
            gap = np.abs(time_s - note.offset_s) < 0.02
            level[gap] -= 13.0
        elif turn.slur == "fell back" and at + 1 < len(played):
            back = (time_s > note.offset_s - 0.15) & (time_s < note.offset_s - 0.08)
            hz[back] = played[at + 1].hz
        elif turn.slur == "split":
            asked = passage.notes[turn.asked or 0]
            there = (time_s > note.offset_s - 0.074) & (time_s < note.offset_s)
            hz[there] = asked.series_hz[asked.partial or 0]
    strength = np.where(hz > 0, 0.97, 0.1)
    return PitchTrack(0.0, STEP_S, hz.astype(np.float32), strength.astype(np.float32), level.astype(np.float32))
