"""Trials as JSON values that other programs can build on.

The shapes are published as ``docs/schemas/trial.schema.json`` and ``docs/schemas/trials.schema.json``; fields may be
added, never renamed.
"""

from collections.abc import Mapping, Sequence
from typing import Any

from slurwright.evidence.trial.tries import arm_key
from slurwright.evidence.trial.values import Aspect, Compared
from slurwright.evidence.trial.verdict import worth_of
from slurwright.jobs.trial.running import RunningTrial
from slurwright.jobs.trial.words import play_lines, rest_words, sentence_of, slur_said, state_words
from slurwright.jobs.words import CAUTIONS
from slurwright.listen.figure import Figure

__all__ = ["trial_answer", "trials_answer"]

Json = dict[str, Any]

_UNITS = {
    "chance": "that the slur speaks cleanly, 0 to 1, in an average block",
    "speaking": "chance, 0 to 1",
    "smoothness": "from 0, broken, to 1, as measured in takes",
    "tuning": "cents by which the worse of the two notes lies off its target; less is better",
    "figure": "value with low and high, the interval that holds the truth nine times in ten",
    "gain": "by how much the first arm is better than the second, in the unit of the aspect; below 0 it is not",
    "tempo_qpm": "quarters a minute",
    "dynamic": "steps from mf",
}


def trial_answer(trial: RunningTrial, *, horn: str, notices: Sequence[str] = ()) -> Json:
    """Write a trial, how it stands, and what to play next.

    Args:
        trial: the trial.
        horn: what the player calls it.
        notices: what was assumed or is to be known.
    """
    design, standing = trial.design, trial.standing
    return {
        **_head(trial, horn),
        "part": {"file": design.part.file, "title": design.part.title, "fingerprint": design.part.fingerprint},
        "at": {"dynamic": design.dynamic, "mark": design.mark, "tempo_qpm": design.tempo_qpm},
        "aim": design.aim.value,
        "seed": design.seed,
        "arms": [
            {
                "arm": arm_key(number),
                "name": arm.name,
                "ways": [
                    {
                        "written": str(way.written),
                        "sounding": str(way.sounding),
                        "fingering": way.fingering,
                        "partial": way.partial,
                    }
                    for way in arm.ways
                ],
                "technique": arm.technique.value,
                "believed": {"chance": arm.chance, "from": "learnt" if arm.learnt else "prior"},
                "tries": sum(one.slot.arm == number for one in standing.tries),
                "spoke": round(sum(one.spoke for one in standing.tries if one.slot.arm == number), 2),
            }
            for number, arm in enumerate(design.arms)
        ],
        "compared": [_compared(trial, one) for one in standing.compared],
        "next": [
            {"block": slot.block + 1, "arm": line.arm, "play": line.said}
            for slot, line in zip(trial.ahead, play_lines(design, trial.ahead), strict=True)
        ],
        "rests": list(rest_words(design)),
        "cautions": list(CAUTIONS),
        "worth": {aspect.value: worth_of(aspect, design.rules) for aspect in Aspect},
        "units": _UNITS,
        "notices": list(notices),
    }


def trials_answer(trials: Sequence[RunningTrial], horns: Mapping[str, str]) -> Json:
    """Write a list of trials.

    Args:
        trials: in the order in which they were begun.
        horns: names of the player's horns by their ids.
    """
    return {"trials": [_head(one, horns.get(one.kept.about.horn_id or "", one.kept.about.model)) for one in trials]}


def _head(trial: RunningTrial, horn: str) -> Json:
    kept, standing = trial.kept, trial.standing
    return {
        "id": kept.id,
        "begun_at": kept.made_at.isoformat(),
        "ended_at": None if kept.ended_at is None else kept.ended_at.isoformat(),
        "horn": horn,
        "slur": slur_said(trial.design),
        "where": trial.design.label,
        "file": trial.design.part.file,
        "blocks": standing.whole_blocks,
        "most_blocks": trial.design.rules.most_blocks,
        "answer": standing.answer.value,
        "state": state_words(trial),
    }


def _compared(trial: RunningTrial, one: Compared) -> Json:
    return {
        "aspect": one.aspect.value,
        "answer": one.answer.value,
        "said": sentence_of(trial.design, one),
        "arms": [
            {
                "arm": arm_key(number),
                "figure": _figure(arm.figure),
                "best": round(arm.best, 4),
                "tries": arm.tries,
            }
            for number, arm in enumerate(one.arms)
        ],
        "first": arm_key(one.first),
        "second": arm_key(one.second),
        "gain": _figure(one.gain),
        "better": round(one.better, 4),
        "worth_changing": round(one.worth_changing, 4),
    }


def _figure(figure: Figure) -> Json:
    return {"value": round(figure.value, 4), "low": round(figure.low, 4), "high": round(figure.high, 4)}
