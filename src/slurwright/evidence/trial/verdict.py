"""Which arm of a trial is better, by how much, and whether it pays to go on.

After each whole block: an arm is *better* when the chance that it is better than the slur as it stands is as high as
the rules ask (more at first, for early tries mislead and are looked at often; and more of several arms), and no third
one is likely to be better still by what is worth having. The slur as it stands is better when it is that likely the
best of all.

There is *no gain worth having* when it is unlikely of every other arm that it is better than the slur as it stands by
more than what is worth having: the first arm then keeps its right, as normal fingerings come first. Otherwise the
trial goes on until its last block. How often these answers are wrong was found by simulation, not by argument.
"""

from collections.abc import Iterable, Sequence

import numpy as np

from slurwright.evidence.trial.cloud import Cloud, chance_above, chances_best, figure_of
from slurwright.evidence.trial.measured import smoothness_cloud, tuning_cloud
from slurwright.evidence.trial.speaking import speaking_cloud
from slurwright.evidence.trial.values import (
    Answer,
    ArmFigures,
    Aspect,
    Compared,
    Standing,
    TrialDesign,
    TrialRules,
    Try,
)
from slurwright.listen.figure import Figure

__all__ = ["compared_in", "standing_of", "whole_blocks", "worth_of"]


def standing_of(design: TrialDesign, tries: Sequence[Try]) -> Standing:
    """Say how a trial stands; the same tries always give the same figures.

    Args:
        design: the trial.
        tries: what was tried so far.
    """
    tries = sorted(tries, key=lambda one: (one.slot.block, one.slot.arm))
    whole = whole_blocks(design, tries)
    rng = np.random.default_rng(design.seed)
    clouds = (
        (Aspect.SPEAKING, speaking_cloud(design, tries)),
        (Aspect.SMOOTHNESS, smoothness_cloud(design, tries, rng=rng)),
        (Aspect.TUNING, tuning_cloud(design, tries, rng=rng)),
    )
    compared = tuple(
        compared_in(aspect, cloud, design.rules, counts=_counts(design, tries, aspect), whole=whole)
        for aspect, cloud in clouds
        if cloud is not None
    )
    deciding = [one.answer for one in compared if one.aspect is design.aim]
    return Standing(compared, tuple(tries), whole, deciding[0] if deciding else _spent(design.rules, whole))


def whole_blocks(design: TrialDesign, tries: Sequence[Try]) -> int:
    """Count the blocks of which every arm was tried [blocks]."""
    held: dict[int, set[int]] = {}
    for one in tries:
        held.setdefault(one.slot.block, set()).add(one.slot.arm)
    return sum(len(arms) == len(design.arms) for arms in held.values())


def worth_of(aspect: Aspect, rules: TrialRules) -> float:
    """Say which difference is worth having in an aspect [chance, smoothness or cents]."""
    return {
        Aspect.SPEAKING: rules.worth_chance,
        Aspect.SMOOTHNESS: rules.worth_smoothness,
        Aspect.TUNING: rules.worth_cents,
    }[aspect]


def compared_in(aspect: Aspect, cloud: Cloud, rules: TrialRules, *, counts: Sequence[int], whole: int) -> Compared:
    """Compare the arms in one aspect.

    Args:
        aspect: which.
        cloud: what is believed of them.
        rules: when an answer is given.
        counts: how many tries bear on each arm [tries].
        whole: blocks of which every arm was tried [blocks].
    """
    best = chances_best(cloud)
    first = int(np.argmax(best))
    others = [int(arm) for arm in np.argsort(-best, kind="stable") if arm != first]
    second = 0 if first else others[0]
    gains = cloud.values[:, first] - cloud.values[:, second]
    better = chance_above(cloud, gains, 0.0) if first else float(best[0])
    worth = worth_of(aspect, rules)
    worth_changing = _most_gained(cloud, range(1, len(best)), over=0, worth=worth)
    left = _most_gained(cloud, others, over=first, worth=worth)
    figures = [figure_of(cloud, cloud.values[:, arm]) for arm in range(len(best))]
    return Compared(
        aspect=aspect,
        arms=tuple(
            ArmFigures(_plain(figure, aspect), float(chance), count)
            for figure, chance, count in zip(figures, best, counts, strict=True)
        ),
        answer=_answer(better, (left, worth_changing), rules, whole=whole, arms=len(best)),
        first=first,
        second=second,
        gain=figure_of(cloud, gains),
        better=better,
        worth_changing=worth_changing,
    )


def _most_gained(cloud: Cloud, arms: Iterable[int], *, over: int, worth: float) -> float:
    """The largest chance of any one arm that it is better than another by what is worth having."""
    return max(chance_above(cloud, cloud.values[:, arm] - cloud.values[:, over], worth) for arm in arms)


def _plain(figure: Figure, aspect: Aspect) -> Figure:
    """Turn how far out a note is into cents above zero."""
    return Figure(-figure.value, -figure.high, -figure.low) if aspect is Aspect.TUNING else figure


def _answer(better: float, missed: tuple[float, float], rules: TrialRules, *, whole: int, arms: int) -> Answer:
    """Answer by the chance that the first arm is better, and by those that it, or as it stands, misses much."""
    by_first, by_standing = missed
    if whole >= rules.least_blocks:
        if better >= _clear(rules, whole, arms) and by_first <= rules.gain_unlikely:
            return Answer.BETTER
        if by_standing <= rules.gain_unlikely:
            return Answer.NO_GAIN
    return _spent(rules, whole)


def _clear(rules: TrialRules, whole: int, arms: int) -> float:
    """Chance at which an arm is said to be better after so many blocks; several arms share what may be wrong."""
    share = (whole - rules.least_blocks) / max(1, rules.most_blocks - rules.least_blocks)
    clear = rules.clear_first + min(1.0, share) * (rules.clear_last - rules.clear_first)
    return 1.0 - (1.0 - clear) / (arms - 1)


def _spent(rules: TrialRules, whole: int) -> Answer:
    return Answer.UNTOLD if whole >= rules.most_blocks else Answer.OPEN


def _counts(design: TrialDesign, tries: Sequence[Try], aspect: Aspect) -> list[int]:
    """How many tries of each arm bear on an aspect."""

    def bears(one: Try) -> bool:
        if aspect is Aspect.SPEAKING:
            return True
        if aspect is Aspect.SMOOTHNESS:
            return isinstance(one.quality, Figure)
        return one.cents is not None and all(isinstance(cents, Figure) for cents in one.cents)

    return [sum(one.slot.arm == arm and bears(one) for one in tries) for arm in range(len(design.arms))]
