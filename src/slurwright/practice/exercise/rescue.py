"""What helps at a slur when its normal fingering does not hold: the plan's own choices, to be practised as well."""

from collections.abc import Iterable
from dataclasses import dataclass

from slurwright.horn import HornKind
from slurwright.plan import Choice, Technique
from slurwright.practice.exercise.aim import Aim, names_of, pair_of
from slurwright.practice.exercise.two import Pair

__all__ = ["Rescue", "rescues_of"]

_FURTHER_OUT_CENTS = 10.0
"""A fingering that puts a note further out of tune than this is no help (published: Hill and Summers, JASA 121 (2007)
2376, the difference noticed in a melody) [cents]."""


@dataclass(frozen=True, slots=True)
class Rescue:
    """One of them."""

    pair: Pair
    title: str
    words: tuple[str, str]
    """What it is good for, and how to play it."""
    marked: bool = False
    """True if the plan has put it into the part already, so that it comes before the bars around."""


def rescues_of(aim: Aim) -> tuple[Rescue, ...]:
    """Give the fingering for which the plan leaves the normal one, then the best technique and other fingering.

    Only what breaks less often than the slur as it stands, and is about as well in tune, is a help.
    """
    change = aim.study.line.moves[aim.move]
    planned = aim.study.plan.ways[change.source], aim.study.plan.ways[change.target]
    departs = [(way.fingering, way.partial) for way in planned] != [
        (way.fingering, way.partial) for way in aim.pair.ways
    ]
    found: list[Rescue] = []
    if departs:
        pair = pair_of(aim.study, aim.move, planned)
        words = (
            f"What the plan puts in place of the normal {_place(aim)} here; practise the normal one first.",
            f"On {names_of(planned)}: compare it with the normal {_place(aim)}, in tone and in pitch.",
        )
        found.append(Rescue(pair, f"{aim.names} as marked, on {names_of(planned)}", words, marked=True))
    choices = aim.report.choices if aim.report else ()
    stands = aim.report.break_risk if aim.report else 0.0
    helping = [choice for choice in choices[1:] if choice.break_risk < stands]
    technique = _best(choice for choice in helping if choice.technique is not Technique.PLAIN)
    other = _best(
        choice
        for choice in helping
        if choice.ways not in (planned, aim.pair.ways)
        and choice.technique in (Technique.PLAIN, aim.technique)
        and choice.cents_cost <= _FURTHER_OUT_CENTS
    )
    found += [_rescue(aim, choice) for choice in (technique, other) if choice is not None and choice.ways]
    return tuple(found)


def _place(aim: Aim) -> str:
    return "position" if aim.study.horn.kind is HornKind.SLIDE else "fingering"


def _best(choices: Iterable[Choice]) -> Choice | None:
    return min(choices, key=lambda choice: choice.break_risk, default=None)


def _rescue(aim: Aim, choice: Choice) -> Rescue:
    fingers = choice.fingers[:1].upper() + choice.fingers[1:]
    words = f"Only when the normal {_place(aim)} has been practised. {choice.why}", f"{fingers}."
    pair = pair_of(aim.study, aim.move, choice.ways, technique=choice.technique)
    return Rescue(pair, f"{aim.names}, the rescue: {choice.name}", words)
