"""How far fingers and techniques have become known by being used.

All in closed form. A way counts as at hand in so many times as its prior weighs, and in each attempt in which its
note came; the more of these, the nearer it comes to what a normal way reaches. A technique likewise, where an attempt
that failed is laid to the technique by its share of what can fail. Misses of the fingers are counted against those
the prior expected. Attempts are forgotten with time. With nothing tried each chance is its prior.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from slurwright.evidence.learning.beliefs import HandBeliefs
from slurwright.evidence.learning.effects import TECHNIQUES
from slurwright.evidence.learning.laid import LaidOut, WayName
from slurwright.evidence.learning.logistic import chance, logit
from slurwright.plan.chances import Chances
from slurwright.plan.fingers import chances_at_hand, finger_chances
from slurwright.plan.speaking import break_risks, tongued_as_usual
from slurwright.plan.transition import Bools, Circumstances, Floats, changes_between
from slurwright.plan.values import Technique

__all__ = ["Hands", "hands_of", "known_at_hand", "known_misses", "known_technique"]


@dataclass(frozen=True, slots=True)
class Hands:
    """What was counted of fingers and techniques, older attempts less."""

    ways: Mapping[tuple[str, WayName], float]
    """(horn, way) -> attempts in which its note came."""
    came: Mapping[Technique, float]
    """Attempts in a technique that spoke."""
    failed: Mapping[Technique, float]
    """Failures that are laid to a technique."""
    missed: float
    """Misses that are laid to the fingers."""
    expected: float
    """Misses that the prior expected."""
    beliefs: HandBeliefs


def hands_of(laid: Sequence[LaidOut], *, chances: Chances, beliefs: HandBeliefs) -> Hands:
    """Count what attempts say of fingers and techniques.

    Args:
        laid: attempts, horn by horn.
        chances: the priors.
        beliefs: how fast it is learnt and forgotten.
    """
    ways: dict[tuple[str, WayName], float] = {}
    came, failed = dict.fromkeys(Technique, 0.0), dict.fromkeys(Technique, 0.0)
    missed = expected = 0.0
    for one in laid:
        counts = 0.5 ** (one.age_weeks / beliefs.half_forgotten_weeks)
        right = np.bincount(one.target, counts * ~one.wrong, minlength=len(one.names))
        ways.update({(one.horn_id, name): float(times) for name, times in zip(one.names, right, strict=True)})
        for number, technique in enumerate(TECHNIQUES):
            chosen = one.technique == number
            if not chosen.any():
                continue
            found = _counted(one, chosen, technique, counts[chosen], chances)
            came[technique] += found[0]
            failed[technique] += found[1]
            missed += found[2]
            expected += found[3]
    return Hands(ways, came, failed, missed, expected, beliefs)


def known_at_hand(prior: Floats, came: Floats, *, most: float, hands: Hands) -> Floats:
    """Chance that ways are at hand that came so many times, shape=(ways,) [1].

    Args:
        prior: the same before, shape=(ways,) [1].
        came: how often their notes came, shape=(ways,) [attempts].
        most: what a normal way reaches [1].
        hands: how much the prior weighs.
    """
    weighs = hands.beliefs.way_weighs
    return np.where((prior < most) & (came > 0.0), most - (most - prior) * weighs / (weighs + came), prior)


def known_misses(prior: Floats, hands: Hands) -> Floats:
    """Chance that the fingers do not arrive, shape=(changes,) [1].

    Args:
        prior: the same before, shape=(changes,) [1].
        hands: what was counted.
    """
    weighs = hands.beliefs.misses_weigh
    if not hands.expected:
        return prior
    factor = np.log((weighs + hands.missed) / (weighs + hands.expected))
    return np.where((prior > 0.0) & (prior < 1.0), chance(logit(prior) + factor), prior)


def known_technique(prior: float, technique: Technique, hands: Hands) -> float:
    """Chance that a technique comes as meant [1].

    Args:
        prior: the same before [1].
        technique: legato tongue or half-valve.
        hands: what was counted.
    """
    weighs = hands.beliefs.technique_weighs
    came, failed = hands.came[technique], hands.failed[technique]
    return (weighs * prior + came) / (weighs + came + failed)


def _counted(
    laid: LaidOut, chosen: Bools, technique: Technique, counts: Floats, chances: Chances
) -> tuple[float, float, float, float]:
    """Count attempts in one technique: (came, failures of it, misses of the fingers, misses expected)."""
    around = Circumstances(laid.dynamic[chosen], laid.time_s[chosen], laid.hold_s[chosen])
    source, target = laid.source[chosen], laid.target[chosen]
    changes = changes_between(laid.table, source, target, around=around, same_place_m=chances.slide.same_place_m)
    risk = break_risks(changes, technique, chances=chances, slide=laid.table.slide)
    at_hand = np.where(changes.still, 1.0, chances_at_hand(laid.table, target, fingers=chances.fingers))
    miss = np.maximum(0.0, 1.0 - finger_chances(laid.table, changes, Technique.PLAIN, chances=chances) / at_hand)
    known = {
        Technique.PLAIN: 1.0,
        Technique.LEGATO_TONGUE: chances.technique.tongue_known,
        Technique.HALF_VALVE: chances.technique.half_valve_known,
    }[technique]
    usual = tongued_as_usual(changes, slide=laid.table.slide)
    fails = np.where(usual, 0.0, 1.0 - known)
    anything = risk + miss + fails
    spoke = laid.spoke[chosen]
    went_wrong = (1.0 - spoke) * anything / ((1.0 - spoke) * anything + spoke * (1.0 - np.minimum(anything, 0.99)))
    share = counts * went_wrong / anything
    counted = counts * ~usual
    return (
        float(np.sum(counted * (1.0 - went_wrong))),
        float(np.sum(share * fails)),
        float(np.sum(share * miss)),
        float(np.sum(counts * miss)),
    )
