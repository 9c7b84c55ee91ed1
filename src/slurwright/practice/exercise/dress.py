"""A drill becomes an exercise: named, timed, with the rest that belongs after it."""

import math

from slurwright.practice.exercise.lips import Drill
from slurwright.practice.exercise.rules import ExerciseRules
from slurwright.practice.exercise.rungs import Rungs
from slurwright.practice.exercise.values import Exercise, ExerciseKind
from slurwright.score import DirectionKind
from slurwright.score.dynamics import DYNAMIC_LEVELS

__all__ = ["dressed"]

_REST_STEP_S = 5.0


def dressed(
    kind: ExerciseKind,
    drill: Drill,
    words: tuple[str, str],
    *,
    rungs: Rungs,
    rules: ExerciseRules,
    level: int = 1,
    times: int = 1,
) -> Exercise:
    """Make an exercise of what is to be played.

    Args:
        kind: what it is.
        drill: what is to be played.
        words: what it is good for, and how to play it.
        rungs: knows the range.
        rules: figures.
        level: place on the way from easy to hard.
        times: how often it is played.

    """
    part = drill.part
    marks = (sign.text for sign in part.directions if sign.kind is DirectionKind.DYNAMIC)
    dynamic = next(marks, "mf")
    last = part.measures[-1]
    play_s = times * float(last.onset_quarter + last.duration_quarter) * 60.0 / drill.tempo_qpm
    high = rungs.low_midi + rules.high_share * (rungs.high_midi - rungs.low_midi)
    soft = DYNAMIC_LEVELS.get(dynamic, 0.0) <= rules.soft_steps
    tiring = soft and any(note.sounding.midi >= high for note in part.notes)
    share = rules.tiring_rest_share if tiring else rules.rest_share
    rest_s = max(rules.least_rest_s, _REST_STEP_S * math.ceil(share * play_s / _REST_STEP_S))
    return Exercise(
        kind=kind,
        title=part.title,
        purpose=words[0],
        how=words[1],
        part=part,
        ways=drill.ways,
        techniques=drill.techniques,
        tempo_qpm=drill.tempo_qpm,
        dynamic=dynamic,
        level=level,
        times=times,
        play_s=play_s,
        rest_s=rest_s,
        slur=drill.slur,
    )
