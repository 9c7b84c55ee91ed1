"""By what does a slur differ for a player, beside its prior? The effects and how much of each a change has.

One function makes the columns, for what was tried and for what is to come, out of the features with which the plan
prices a change. A column's entry times the player's effect adds to the logit of a break.
"""

from collections.abc import Sequence
from dataclasses import astuple, fields

import numpy as np

from slurwright.evidence.learning.beliefs import EffectSizes
from slurwright.plan.chances import Chances
from slurwright.plan.transition import Changes, Floats, Ints, WayTable
from slurwright.plan.values import Technique

__all__ = ["CROSSING", "EFFECTS", "TECHNIQUES", "columns_of", "knot_weights", "partials_of", "sizes_of"]

EFFECTS: tuple[str, ...] = tuple(field.name for field in fields(EffectSizes))
"""Names of the columns."""
CROSSING = EFFECTS.index("crossing")
"""The column of slurs that cross a partial, which also changes with time."""
TECHNIQUES = tuple(Technique)
"""Techniques in the order of their columns at a pair of ways."""
_FOURTH_CENTS = 498.0
_PARTIALS = 64
"""More than any horn has."""


def sizes_of(sizes: EffectSizes) -> Floats:
    """Standard deviations of the effects in the order of their columns, shape=(effects,) [logit].

    Args:
        sizes: by how much players differ.
    """
    return np.array(astuple(sizes), dtype=np.float64)


def columns_of(changes: Changes, technique: Technique, *, chances: Chances, slide: bool) -> Floats:
    """How much each change has of each effect, shape=(changes, effects) [1].

    Args:
        changes: features of the slurred changes.
        technique: how all of them are played.
        chances: the priors, for the units of hurry and height.
        slide: True on a hand slide.
    """
    slur, around = chances.slur, changes.around
    staying = (changes.crossings == 0) & ~changes.same_setting
    crossing = (~staying).astype(np.float64)
    down = crossing * (changes.interval_cents < 0)
    tongue = technique is Technique.LEGATO_TONGUE
    half_valve = technique is Technique.HALF_VALVE
    closeness = np.maximum(0.0, slur.close_below_cents - changes.neighbour_cents) / 100.0
    columns: dict[str, Floats] = {
        "every": np.ones(staying.shape),
        "crossing": crossing,
        "lip": crossing * changes.same_setting,
        "both": crossing * ~changes.same_setting,
        "valve": staying * float(not slide),
        "slide": np.full(staying.shape, float(slide)),
        "smeared": staying * float(slide and not tongue),
        "tongued": staying * float(slide and tongue),
        "down": down,
        "softer": crossing * np.maximum(0.0, -around.dynamic),
        "louder": crossing * np.clip(around.dynamic, 0.0, slur.loudest),
        "hurry": crossing * slur.settle_trips * changes.trip_s / np.minimum(around.time_s, around.hold_s),
        "gap": crossing * (changes.gap_cents - _FOURTH_CENTS) / 100.0,
        "height": crossing * closeness,
        "tongue": crossing * float(tongue),
        "tongue_down": down * float(tongue),
        "half_valve": crossing * float(half_valve),
        "half_valve_down": down * float(half_valve),
    }
    return np.stack([columns[name] for name in EFFECTS], axis=1)


def partials_of(table: WayTable, source: Ints, target: Ints) -> Ints:
    """Number of the pair of partials and the direction of each change, equal where both are, shape=(changes,) [1].

    Args:
        table: the ways.
        source: rows left, shape=(changes,) [1].
        target: rows reached, shape=(changes,) [1].
    """
    down = table.midi[target] < table.midi[source]
    return np.asarray((table.partial[source] * _PARTIALS + table.partial[target]) * 2 + down)


def knot_weights(age_weeks: Floats, knots_weeks: Sequence[float]) -> Floats:
    """How much each knot has of a moment: straight between neighbours, shape=(moments, knots) [1].

    Args:
        age_weeks: how long ago each moment was, shape=(moments,) [weeks].
        knots_weeks: ages of the knots, rising from 0 [weeks].
    """
    places = np.interp(age_weeks, knots_weeks, np.arange(len(knots_weeks)))
    return np.asarray(np.maximum(0.0, 1.0 - np.abs(places[:, None] - np.arange(len(knots_weeks)))))
