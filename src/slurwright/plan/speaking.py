"""How likely it is that a slur breaks.

On valves the logit of the risk of a slur that changes partial is a sum (all sizes ours, directions common practice):

    lip + gap and interval beyond a fourth + partials skipped + closeness of partials up high
        + softness (- loudness) + going down + tube length + settling time over the time there is
        - cover, if valves move with the lips

A slur that stays on its partial has a small risk of its own. A technique takes its part off the logit, a different
one up and down. On a slide the sense turns round: staying on a partial smears unless it is tongued, crossing one is
the lip slur's risk less the gain of a natural slur, the more so if the slide moves. So on a slide the legato tongue
is the usual technique on one partial, the plain slur everywhere else.
"""

import numpy as np

from slurwright.plan.chances import Chances, SlurChances
from slurwright.plan.known import Known
from slurwright.plan.transition import Bools, Changes, Floats, WayTable, some_changes
from slurwright.plan.values import Technique

__all__ = ["break_risks", "known_break_risks", "possible", "tongued_as_usual"]

_SUREST = 1.0 - 1e-9
"""A slur may never be quite sure to break, so that every plan has a cost (ours) [1]."""

_FOURTH_CENTS = 498.0
_FOURTH_TEMPERED_CENTS = 500.0


def break_risks(changes: Changes, technique: Technique, *, chances: Chances, slide: bool) -> Floats:
    """Chance that each slur does not speak cleanly, shape=(changes,) [1].

    Args:
        changes: features of the slurred changes.
        technique: how all of them are played.
        chances: the priors.
        slide: True on a hand slide.

    """
    soft = np.maximum(0.0, -changes.around.dynamic)
    crossing = _crossing_logits(changes, chances.slur)
    crossing = crossing + _technique_logits(changes, technique, chances)
    if not slide:
        lips_alone = changes.same_setting
        crossing = np.where(lips_alone, crossing, crossing - chances.slur.cover)
        staying = chances.slur.valve + chances.slur.valve_each_softer * soft
        logit = np.where((changes.crossings == 0) & ~lips_alone, staying, crossing)
    else:
        moved_dm = 10.0 * changes.distance_m
        natural = crossing + chances.slide.natural + chances.slide.crossing_each_dm * moved_dm
        natural = np.where(changes.same_setting, natural, natural - chances.slide.cover)
        logit = np.where(_on_one_partial(changes), _smear_logits(changes, technique, chances), natural)
    return 1.0 / (1.0 + np.exp(-logit))


def known_break_risks(
    table: WayTable,
    changes: Changes,
    technique: Technique,
    *,
    slurred: Bools,
    chances: Chances,
    known: Known | None,
) -> Floats:
    """Chance that each slur does not speak cleanly for this player, shape=(changes,) [1].

    The player is asked about what is slurred and can be played so; all else keeps its prior.

    Args:
        table: the ways.
        changes: features of the changes.
        technique: how all of them are played.
        slurred: which of them are slurs, shape=(changes,).
        chances: the priors.
        known: what is known of the player; None leaves the priors.

    """
    risks = break_risks(changes, technique, chances=chances, slide=table.slide)
    if known is None:
        return risks
    asked = np.flatnonzero(slurred & possible(changes, technique, slide=table.slide))
    told = known.break_risks(risks[asked], table, some_changes(changes, asked), technique)
    risks[asked] = np.clip(told, 0.0, _SUREST)
    return risks


def possible(changes: Changes, technique: Technique, *, slide: bool) -> Bools:
    """Say where a technique can be played at all: a half-valve needs valves, and makes sense on lip slurs only.

    Args:
        changes: features of the slurred changes.
        technique: the technique.
        slide: True on a hand slide.

    """
    if technique is not Technique.HALF_VALVE:
        return np.ones(changes.moved.shape, dtype=np.bool_)
    return changes.same_setting if not slide else np.zeros(changes.moved.shape, dtype=np.bool_)


def tongued_as_usual(changes: Changes, *, slide: bool) -> Bools:
    """Say which slurs are played with a legato tongue as a matter of course: those on one partial of a slide.

    Args:
        changes: features of the slurred changes.
        slide: True on a hand slide.

    """
    return _on_one_partial(changes) if slide else np.zeros(changes.moved.shape, dtype=np.bool_)


def _on_one_partial(changes: Changes) -> Bools:
    staying: Bools = (changes.crossings == 0) & ~changes.same_setting
    return staying


def _crossing_logits(changes: Changes, slur: SlurChances) -> Floats:
    """Risk of changing partial by the lips alone, before any help."""
    around = changes.around
    logit = slur.lip + slur.each_gap * (changes.gap_cents - _FOURTH_CENTS) / 100.0
    logit += slur.each_interval * (np.abs(changes.interval_cents) - _FOURTH_TEMPERED_CENTS) / 100.0
    logit += slur.each_skipped * np.maximum(0, changes.crossings - 1)
    logit += slur.each_closer * np.maximum(0.0, slur.close_below_cents - changes.neighbour_cents) / 100.0
    logit += slur.each_softer * np.maximum(0.0, -around.dynamic)
    logit -= slur.each_louder * np.clip(around.dynamic, 0.0, slur.loudest)
    logit += slur.down * (changes.interval_cents < 0)
    logit += slur.each_doubling * np.log2(changes.trip_s / slur.usual_trip_s)
    logit += slur.hurry * slur.settle_trips * changes.trip_s / np.minimum(around.time_s, around.hold_s)
    return logit


def _technique_logits(changes: Changes, technique: Technique, chances: Chances) -> Floats:
    """What a technique takes off, up and down."""
    known = chances.technique
    up, down = {
        Technique.PLAIN: (0.0, 0.0),
        Technique.LEGATO_TONGUE: (known.tongue_up, known.tongue_down),
        Technique.HALF_VALVE: (known.half_valve_up, known.half_valve_down),
    }[technique]
    return np.where(changes.interval_cents < 0, down, up)


def _smear_logits(changes: Changes, technique: Technique, chances: Chances) -> Floats:
    """Risk that a slur on one partial of a slide is heard to smear."""
    slide = chances.slide
    if technique is Technique.LEGATO_TONGUE:
        return slide.tongued + slide.tongued_each_softer * np.maximum(0.0, -changes.around.dynamic)
    return slide.smear + slide.each_dm * 10.0 * (changes.distance_m - slide.smear_usual_m)
