"""How likely it is that the fingers make a change.

The logit of missing it is a sum: fingers that move, fingers that move against each other, the thumb, and the time
that the change needs over the time there is; on a slide the distance. Where nothing moves nothing is missed. The
chance of making it is multiplied by the chance that the player has the new way at their fingers' command, which is
asked again at each change of note or setting, and by the chance that a technique comes as meant.
"""

import numpy as np

from slurwright.plan.chances import Chances, FingerChances
from slurwright.plan.speaking import tongued_as_usual
from slurwright.plan.transition import Changes, Floats, Ints, WayTable
from slurwright.plan.values import Technique

__all__ = ["chances_at_hand", "finger_chances"]


def chances_at_hand(table: WayTable, rows: Ints, *, fingers: FingerChances) -> Floats:
    """Chance that a player has each way at their fingers' command when it comes, shape=(rows,) [1].

    Args:
        table: the ways.
        rows: rows asked for, shape=(rows,) [1].
        fingers: the priors.

    """
    return np.where(table.normal[rows], fingers.normal, table.usual[rows] * fingers.departing)


def finger_chances(table: WayTable, changes: Changes, technique: Technique, *, chances: Chances) -> Floats:
    """Chance that the fingers make each change and the technique comes as meant, shape=(changes,) [1].

    Args:
        table: the ways.
        changes: features of the changes.
        technique: how all of them are played.
        chances: the priors.

    """
    known = chances.technique
    moved = changes.moved.astype(np.float64)
    if technique is Technique.HALF_VALVE:
        moved += known.half_valve_moves
    made = 1.0 - _misses(changes, moved, slide=table.slide, fingers=chances.fingers)
    at_hand = np.where(changes.still, 1.0, chances_at_hand(table, changes.target, fingers=chances.fingers))
    if technique is Technique.HALF_VALVE:
        at_hand = at_hand * known.half_valve_known
    elif technique is Technique.LEGATO_TONGUE:
        at_hand = at_hand * np.where(tongued_as_usual(changes, slide=table.slide), 1.0, known.tongue_known)
    return made * at_hand


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
