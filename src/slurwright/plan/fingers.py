"""How likely it is that the fingers make a change.

The logit of missing it is a sum: fingers that move, fingers that move against each other, the thumb, and the time
that the change needs over the time there is; on a slide the distance. Where nothing moves nothing is missed. The
chance of making it is multiplied by the chance that the player has the new way at their fingers' command, which is
asked again at each change of note or setting, and by the chance that a technique comes as meant. Each of the three
is the prior, or what is known of the player beyond it.
"""

import numpy as np

from slurwright.plan.chances import Chances, FingerChances
from slurwright.plan.known import Known
from slurwright.plan.speaking import tongued_as_usual
from slurwright.plan.transition import Changes, Floats, Ints, WayTable
from slurwright.plan.values import Technique

__all__ = ["chances_at_hand", "finger_chances"]

_LEAST = 1e-9
"""No change may be quite sure to fail, so that every plan has a cost (ours) [1]."""


def chances_at_hand(table: WayTable, rows: Ints, *, fingers: FingerChances, known: Known | None = None) -> Floats:
    """Chance that a player has each way at their fingers' command when it comes, shape=(rows,) [1].

    Args:
        table: the ways.
        rows: rows asked for, shape=(rows,) [1].
        fingers: the priors.
        known: what is known of the player; None leaves the priors.

    """
    prior = np.where(table.normal[rows], fingers.normal, table.usual[rows] * fingers.departing)
    return prior if known is None else np.clip(known.at_hand(prior, table, rows), _LEAST, 1.0)


def finger_chances(
    table: WayTable, changes: Changes, technique: Technique, *, chances: Chances, known: Known | None = None
) -> Floats:
    """Chance that the fingers make each change and the technique comes as meant, shape=(changes,) [1].

    Args:
        table: the ways.
        changes: features of the changes.
        technique: how all of them are played.
        chances: the priors.
        known: what is known of the player; None leaves the priors.

    """
    moved = changes.moved.astype(np.float64)
    if technique is Technique.HALF_VALVE:
        moved += chances.technique.half_valve_moves
    missed = _misses(changes, moved, slide=table.slide, fingers=chances.fingers)
    if known is not None:
        missed = np.clip(known.finger_misses(missed, table, changes), 0.0, 1.0 - _LEAST)
    rows = np.arange(len(table.midi))
    at_hand = chances_at_hand(table, rows, fingers=chances.fingers, known=known)[changes.target]
    at_hand = np.where(changes.still, 1.0, at_hand)
    if technique is not Technique.PLAIN:
        meant = _comes_as_meant(technique, chances, known)
        usual = tongued_as_usual(changes, slide=table.slide)
        at_hand *= np.where(usual, 1.0, meant) if technique is Technique.LEGATO_TONGUE else meant
    return (1.0 - missed) * at_hand


def _comes_as_meant(technique: Technique, chances: Chances, known: Known | None) -> float:
    """Chance that a technique comes as meant."""
    half_valve = technique is Technique.HALF_VALVE
    prior = chances.technique.half_valve_known if half_valve else chances.technique.tongue_known
    return prior if known is None else min(1.0, max(_LEAST, known.comes_as_meant(prior, technique)))


def _misses(changes: Changes, moved: Floats, *, slide: bool, fingers: FingerChances) -> Floats:
    """Chance that fingers, thumb or arm do not arrive."""
    time_s = changes.around.time_s
    logit = fingers.valve + fingers.each_moved * moved + fingers.each_contrary * changes.contrary
    logit += fingers.thumb * changes.thumb
    logit += fingers.hurry * (fingers.need_s + fingers.need_each_moved_s * moved) / time_s
    missed = np.where(moved > 0, 1.0 / (1.0 + np.exp(-logit)), 0.0)
    if not slide:
        return missed
    moved_dm = 10.0 * changes.distance_m
    logit = fingers.slide + fingers.slide_each_dm * moved_dm
    logit += fingers.hurry * (fingers.slide_need_s + fingers.slide_need_each_dm_s * moved_dm) / time_s
    arm = np.where(changes.distance_m > 0.0, 1.0 / (1.0 + np.exp(-logit)), 0.0)
    return 1.0 - (1.0 - missed) * (1.0 - arm)
