"""A trial in words: its arms, what to play next, and what it says in plain sentences."""

from collections.abc import Sequence
from dataclasses import dataclass

from slurwright.evidence.trial.tries import arm_key
from slurwright.evidence.trial.values import Answer, Arm, Aspect, Compared, Slot, TrialDesign
from slurwright.evidence.trial.verdict import worth_of
from slurwright.jobs.trial.running import RunningTrial
from slurwright.listen.figure import Figure
from slurwright.plan import Technique

__all__ = [
    "PlayLine",
    "arm_line",
    "arm_said",
    "figure_text",
    "gain_words",
    "play_lines",
    "provenance_words",
    "rest_words",
    "sentence_of",
    "slur_said",
    "state_words",
]

_TECHNIQUES = {
    Technique.PLAIN: "plain slur",
    Technique.LEGATO_TONGUE: "legato tongue",
    Technique.HALF_VALVE: "half-valve",
}
_MORE = {
    Aspect.SPEAKING: "speaks more often than",
    Aspect.SMOOTHNESS: "is smoother than",
    Aspect.TUNING: "is nearer in tune than",
}


@dataclass(frozen=True, slots=True)
class PlayLine:
    """One try that is to be played."""

    number: int
    arm: str
    """Its letter."""
    said: str


def slur_said(design: TrialDesign) -> str:
    """Name the slur as the player reads it: ``F3 to Bb3``."""
    first, second = design.arms[0].ways
    return f"{first.written} to {second.written}"


def arm_line(arm: Arm) -> str:
    """Say what an arm is, by its name and its fingerings: ``legato tongue: 0 to 0``."""
    return f"{arm.name}: {' to '.join(way.fingering for way in arm.ways)}"


def _fingerings_said(arm: Arm) -> str:
    """Say what is fingered and how it is slurred: ``0 to 0, legato tongue``."""
    fingered = " to ".join(way.fingering for way in arm.ways)
    return fingered if arm.technique is Technique.PLAIN else f"{fingered}, {_TECHNIQUES[arm.technique]}"


def arm_said(design: TrialDesign, arm: int, *, beside: int) -> str:
    """Name an arm by what sets it apart from another: ``4 on F3``, ``a legato tongue``.

    Args:
        design: the trial.
        arm: which one.
        beside: the other.
    """
    own, other = design.arms[arm], design.arms[beside]
    parts = [
        f"{way.fingering} on {way.written}"
        for way, against in zip(own.ways, other.ways, strict=True)
        if (way.fingering, way.partial) != (against.fingering, against.partial)
    ]
    if own.technique is not other.technique or not parts:
        parts.append(f"the {_TECHNIQUES[own.technique]}")
    return " with ".join([" and ".join(parts[:-1]), parts[-1]]) if _with_technique(parts) else " and ".join(parts)


def _with_technique(parts: Sequence[str]) -> bool:
    return len(parts) > 1 and parts[-1].startswith("the ")


def play_lines(design: TrialDesign, slots: Sequence[Slot]) -> tuple[PlayLine, ...]:
    """Say what to play, one line a try.

    Args:
        design: the trial.
        slots: in the order of play.
    """
    return tuple(
        PlayLine(
            number,
            arm_key(slot.arm),
            ", ".join(
                [f"{way.fingering} on {way.written}" for way in design.arms[slot.arm].ways]
                + (
                    []
                    if design.arms[slot.arm].technique is Technique.PLAIN
                    else [_TECHNIQUES[design.arms[slot.arm].technique]]
                )
            ),
        )
        for number, slot in enumerate(slots, start=1)
    )


def rest_words(design: TrialDesign) -> tuple[str, ...]:
    """Say how long to rest."""
    rules = design.rules
    return (
        f"Lips off the mouthpiece for about {rules.rest_tries_s:.0f} s after each try.",
        f"After the last one rest for {rules.rest_rounds_s:.0f} s at least, and at least as long as you played.",
    )


def figure_text(value: float, aspect: Aspect) -> str:
    """Write a figure of an aspect: in 100, hundredths or cents.

    Args:
        value: a chance, a smoothness, or cents [as the aspect says].
        aspect: which.
    """
    if aspect is Aspect.SPEAKING:
        return f"{100.0 * value:.0f}"
    return f"{value:.2f}" if aspect is Aspect.SMOOTHNESS else f"{value:.0f}"


def sentence_of(design: TrialDesign, one: Compared) -> str:
    """Say what a comparison says, in one or two plain sentences.

    Args:
        design: the trial.
        one: the comparison.
    """
    if one.answer is Answer.BETTER:
        return _better(design, one)
    stay = f" Stay with {_stands(design)}." if one.aspect is design.aim and one.answer is not Answer.OPEN else ""
    if one.answer is Answer.NO_GAIN:
        said = f"{_capital(gain_words(design, one))} ({_worth(design, one.aspect)})"
        left = f"{_in_100(one.worth_changing)} that a change gains so much"
        return f"{said}: {_figures(design, one)}; {left}.{stay}"
    opened = "Not told yet" if one.answer is Answer.OPEN else f"Not told apart in {design.rules.most_blocks} blocks"
    likely = f"{_in_100(one.better)} that {_said(design, one, first=True)} is the better choice of the two"
    return f"{opened}: {_figures(design, one)}; {likely}.{stay}"


def gain_words(design: TrialDesign, one: Compared) -> str:
    """Say in a few words that nothing is gained: because there is no difference, or because the others are worse.

    Args:
        design: the trial.
        one: a comparison that found no gain.
    """
    worse = one.first == 0 and one.gain.value > worth_of(one.aspect, design.rules)
    return "nothing gained by a change" if worse else "no difference worth having"


def _better(design: TrialDesign, one: Compared) -> str:
    best = one.arms[one.first].best
    return (
        f"{_capital(_said(design, one, first=True))} {_MORE[one.aspect]} {_said(design, one, first=False)}: "
        f"{_values(one, against=True)} (difference {_span(one.gain, one.aspect)}); "
        f"{_in_100(best)} that it is the {'better' if len(one.arms) == 2 else 'best'} choice."
    )


def _said(design: TrialDesign, one: Compared, *, first: bool) -> str:
    pair = (one.first, one.second) if first else (one.second, one.first)
    return arm_said(design, pair[0], beside=pair[1])


def _figures(design: TrialDesign, one: Compared) -> str:
    """The likeliest of the arms and what it is set against, with the difference."""
    return (
        f"{_said(design, one, first=True)} {_value(one, one.first)}, {_said(design, one, first=False)} "
        f"{_value(one, one.second)}{_unit(one.aspect)} (difference {_span(one.gain, one.aspect)})"
    )


def _values(one: Compared, *, against: bool) -> str:
    word = " against " if against else " and "
    return f"{_value(one, one.first)}{word}{_value(one, one.second)}{_unit(one.aspect)}"


def _value(one: Compared, arm: int) -> str:
    return figure_text(one.arms[arm].figure.value, one.aspect)


def _unit(aspect: Aspect) -> str:
    return {Aspect.SPEAKING: " in 100", Aspect.SMOOTHNESS: " of 1", Aspect.TUNING: " cents out"}[aspect]


def _span(figure: Figure, aspect: Aspect) -> str:
    low, high = (figure_text(value, aspect).replace("-0.00", "0.00") for value in (figure.low, figure.high))
    low, high = ("0" if text == "-0" else text for text in (low, high))
    return f"{low} to {high}".replace("-", "−")


def _worth(design: TrialDesign, aspect: Aspect) -> str:
    worth = figure_text(worth_of(aspect, design.rules), aspect)
    return f"{worth} in 100" if aspect is Aspect.SPEAKING else f"{worth}{' cents' if aspect is Aspect.TUNING else ''}"


def _in_100(chance: float) -> str:
    whole = round(100.0 * chance)
    return "more than 99 in 100" if whole >= 100 else "fewer than 1 in 100" if whole <= 0 else f"{whole} in 100"


def _stands(design: TrialDesign) -> str:
    return f"the slur as it stands ({_fingerings_said(design.arms[0])})"


def _capital(words: str) -> str:
    return words[:1].upper() + words[1:]


def state_words(trial: RunningTrial) -> str:
    """Say how far a trial has come, in a few words."""
    if trial.kept.ended_at is not None:
        return f"ended on {trial.kept.ended_at.date().isoformat()}"
    blocks, most = trial.standing.whole_blocks, trial.design.rules.most_blocks
    if not trial.standing.over:
        return f"going on: {blocks} of at most {most} blocks"
    deciding = next((one for one in trial.standing.compared if one.aspect is trial.design.aim), None)
    if deciding is None or deciding.answer is Answer.UNTOLD:
        return f"{blocks} blocks played, not told apart"
    if deciding.answer is Answer.NO_GAIN:
        return f"answered after {blocks} blocks: {gain_words(trial.design, deciding)}"
    return f"answered after {blocks} blocks: {trial.design.arms[deciding.first].name} is better"


def provenance_words(design: TrialDesign) -> tuple[str, ...]:
    """Say what the figures rest on."""
    rules = design.rules
    believed = ", ".join(
        f"{arm_key(arm)} {100.0 * one.chance:.0f} in 100 ({'learnt' if one.learnt else 'prior'})"
        for arm, one in enumerate(design.arms)
    )
    return (
        f"Chances are this trial's, drawn towards what was believed before it: {believed}, worth about ten tries.",
        f"Worth having: {100.0 * rules.worth_chance:.0f} in 100, {rules.worth_smoothness:g} of smoothness, "
        f"{rules.worth_cents:g} cents. Differences stand with the interval that holds them nine times in ten.",
    )
