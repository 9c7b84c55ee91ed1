"""What is believed of players before anything is learnt of one: how much they differ, change, and are misheard.

Only values live here. Each figure's place of origin stands beside it in the packaged table ``evidence.toml``, which
is the one source of the numbers. A size is the standard deviation by which players differ, on the logit of a break.
"""

from dataclasses import dataclass

__all__ = ["Beliefs", "DriftBeliefs", "EarBeliefs", "EffectSizes", "HandBeliefs", "PlayedBeliefs", "ScaleBeliefs"]


@dataclass(frozen=True, slots=True)
class EffectSizes:
    """By how much players differ, effect by effect, in the order of their columns.

    All but the first, and those that say so, touch only slurs that cross a partial.
    """

    every: float
    """On all slurs [logit]."""
    crossing: float
    """On slurs that cross a partial [logit]."""
    lip: float
    """On lip slurs [logit]."""
    both: float
    """Where valves or slide move while a partial is crossed [logit]."""
    valve: float
    """On valve slurs, which stay on their partial [logit]."""
    slide: float
    """On a hand slide [logit]."""
    smeared: float
    """On one partial of a slide without the tongue [logit]."""
    tongued: float
    """On one partial of a slide with the legato tongue [logit]."""
    down: float
    """Going down [logit]."""
    softer: float
    """For each step below mf [logit]."""
    louder: float
    """For each step above mf, as far as it matters [logit]."""
    hurry: float
    """Times the share of the shorter note that settling takes [logit]."""
    gap: float
    """For each 100 cents by which the two partials lie further apart than a fourth [logit]."""
    height: float
    """For each 100 cents by which partials up high are closer than a minor third [logit]."""
    tongue: float
    """With a legato tongue [logit]."""
    tongue_down: float
    """The same going down, beside that [logit]."""
    half_valve: float
    """With a half-valve [logit]."""
    half_valve_down: float
    """The same going down, beside that [logit]."""


@dataclass(frozen=True, slots=True)
class DriftBeliefs:
    """How much a player changes. A change is half forgotten after a while and straight between its knots."""

    partials: float
    """By how much players differ on one pair of partials in one direction [logit]."""
    ways: float
    """On one pair of ways of one horn, for good [logit]."""
    technique: float
    """On that pair in one technique [logit]."""
    crossing_moves: float
    """By how much one player's slurs that cross a partial change with time [logit]."""
    ways_move: float
    """The same for one pair of ways, beside that [logit]."""
    memory_weeks: float
    """Time after which a change has lost 1 - 1/e of its say [weeks]."""
    crossing_knots_weeks: tuple[float, ...]
    """Ages at which the change of all of them is carried, from 0 [weeks]."""
    ways_knots_weeks: tuple[float, ...]
    """The same for each pair of ways [weeks]."""


@dataclass(frozen=True, slots=True)
class ScaleBeliefs:
    """Which factors on all sizes, and on the changes, are weighed against each other."""

    sizes: tuple[float, ...]
    """Factors on all sizes [1]."""
    sizes_spread: float
    """How far the logarithm of that factor is believed to stray from 0 [1]."""
    moves: tuple[float, ...]
    """Factors on what changes [1]."""
    moves_spread: float
    """How far the logarithm of that factor is believed to stray from 0 [1]."""


@dataclass(frozen=True, slots=True)
class EarBeliefs:
    """How far a verdict can be trusted."""

    good: float
    """How sure it is that a slur spoke cleanly that was logged as good, of two equally likely before [1]."""
    rough: float
    """The same for one that was logged as rough [1]."""
    missed: float
    """The same for one that was logged as missed [1]."""
    doubt: float
    """No verdict is surer than this from certain [1]."""


@dataclass(frozen=True, slots=True)
class PlayedBeliefs:
    """How the dynamic that was played is told from levels in a recording."""

    step_db: float
    """Level that a step of the dynamic makes [dB]."""
    trusted: float
    """Part of a deviation that is taken for the player's, not the pitch's or the room's [1]."""
    most_steps: float
    """No slur is moved further than this [steps]."""


@dataclass(frozen=True, slots=True)
class HandBeliefs:
    """How fast fingers and techniques become known."""

    way_weighs: float
    """Right notes on a way that weigh as much as its prior [attempts]."""
    technique_weighs: float
    """Attempts in a technique that weigh as much as its prior [attempts]."""
    misses_weigh: float
    """Misses of the fingers that weigh as much as the prior of them [misses]."""
    half_forgotten_weeks: float
    """Time after which an attempt counts half [weeks]."""


@dataclass(frozen=True, slots=True)
class Beliefs:
    """All that is believed of players before anything is learnt of one."""

    effects: EffectSizes
    drift: DriftBeliefs
    scales: ScaleBeliefs
    ear: EarBeliefs
    played: PlayedBeliefs
    hands: HandBeliefs
