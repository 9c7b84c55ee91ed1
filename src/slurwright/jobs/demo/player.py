"""A made-up player for the demo: slurs that speak or break by chances of their own, hidden from all that learns.

Only invented data: the player differs from the priors by fixed amounts, gets better at what is played often, and each
slur of a take is drawn by lot. What is drawn is then rendered as sound and measured like any recording.
"""

import math
from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np

from slurwright.evidence.attempts import Tried
from slurwright.jobs.demo.take import DemoTake
from slurwright.jobs.passage import passage_of
from slurwright.jobs.tried import tried_at
from slurwright.plan import Technique
from slurwright.plan.chances import Chances
from slurwright.plan.rating import chance_speaks
from slurwright.plan.study import Study
from slurwright.synth import EUPHONIUM, Choke, Dwell, Place, Player, Room, Slur, Tongue, Vibrato
from slurwright.synth.faults import Fault, Manner, OutOfTune, SlurAs
from slurwright.synth.performing import perform
from slurwright.synth.rendering import render

__all__ = ["ODILE", "MadeUpPlayer", "Pair", "made_up_take", "pair_of", "true_risk", "true_risks"]

_ROOM = Place(Room(decay_s=0.35, direct_db=12.0), noise_db=45.0)
_CLEAN = Slur(glide_s=0.03, dip_db=2.5, dip_s=0.06)
_MANNER = Manner(
    voice=EUPHONIUM,
    rubato=0.02,
    timing_s=0.006,
    tune_cents=3.0,
    level_sd_db=0.8,
    slur=_CLEAN,
    vibrato=Vibrato(rate_hz=5.0, cents=5.0, delay_s=0.5),
)
_UNSTEADY = Player(wander_cents=2.5, jitter_cents=0.4, shimmer_db=0.2, swell_db=1.0)
_SILENCE_S = 0.1
_DWELL_S = 0.11
_FIRST_TRIES = 4.0
"""After so many tries the first step of getting better is made [1]."""

Pair = tuple[str, str]
"""The two notes of a slur as they sound, "F3" and "B♭3"."""


@dataclass(frozen=True, slots=True)
class MadeUpPlayer:
    """What is true of an invented player beside the priors; all in logits of a break, below zero is better."""

    name: str
    horn: str
    """What they call their instrument."""
    crossing: float = 0.0
    """At every slur that changes partial [logit]."""
    pairs: Mapping[Pair, float] = field(default_factory=dict)
    """At single slurs [logit]."""
    techniques: Mapping[Technique, float] = field(default_factory=dict)
    """Of a technique beside its prior [logit]."""
    each_doubling: float = 0.0
    """What each doubling of the times that a slur was played takes off [logit]."""


ODILE = MadeUpPlayer(
    name="Odile",
    horn="the old silver",
    crossing=0.3,
    pairs={("F3", "Bb3"): 1.3, ("G3", "D3"): -1.2, ("Bb3", "F3"): 0.6},
    techniques={Technique.LEGATO_TONGUE: -0.5, Technique.HALF_VALVE: 0.9},
    each_doubling=0.15,
)
"""The player of the demo: F3 to B flat 3 is her weak place, G3 to D3 comes by itself, her tongue is better than her
half-valve, and she gets better with practice."""


def true_risk(player: MadeUpPlayer, prior: float, *, tried: Tried, played: Mapping[Pair, int]) -> float:
    """Say how likely a slur breaks for a made-up player, 0..1 [1].

    Args:
        player: who plays.
        prior: what the priors say [1].
        tried: the slur.
        played: how often each pair was played before.
    """
    logit = math.log(prior / (1.0 - prior)) + player.techniques.get(tried.technique, 0.0)
    first, second = tried.ways
    if first.partial != second.partial:
        pair = str(first.sounding), str(second.sounding)
        logit += player.crossing + player.pairs.get(pair, 0.0)
        logit -= player.each_doubling * math.log2(1.0 + played.get(pair, 0) / _FIRST_TRIES)
    return 1.0 / (1.0 + math.exp(-logit))


def true_risks(
    player: MadeUpPlayer,
    study: Study,
    *,
    chances: Chances,
    tried: Mapping[int, Technique],
    played: Mapping[Pair, int],
) -> dict[int, float]:
    """Say how likely each slur of a part breaks for a made-up player, 0..1.

    Args:
        player: who plays.
        study: the part, written out as it is played.
        chances: the priors, from which the player differs.
        tried: techniques by move; elsewhere as planned.
        played: how often each pair was played before.

    Returns:
        Index into ``Line.moves`` -> the true chance of a break, of slurred moves only.
    """
    found = {}
    for index, move in enumerate(study.line.moves):
        if move.slurred:
            ways = study.plan.ways[move.source], study.plan.ways[move.target]
            technique = tried.get(index, study.plan.techniques[index])
            speaks = chance_speaks(ways, index, study.line, study.horn, technique=technique, chances=chances)
            slur = tried_at(study, index, technique=technique, chances=chances)
            found[index] = true_risk(player, 1.0 - speaks, tried=slur, played=played)
    return found


def pair_of(study: Study, move: int) -> Pair:
    """Name the two notes of a move as they sound.

    Args:
        study: of the part.
        move: index into ``Line.moves``.
    """
    one = study.line.moves[move]
    return str(study.line.sounds[one.source].sounding), str(study.line.sounds[one.target].sounding)


def made_up_take(
    study: Study, risks: Mapping[int, float], *, tried: Mapping[int, Technique], rng: np.random.Generator
) -> DemoTake:
    """Play a part once; each slur speaks or breaks by lot.

    A slur that breaks does so in silence, or on a partial between its two notes where there is one.

    Args:
        study: of the part, written out as it is played.
        risks: true chances of a break by move, see `true_risks`.
        tried: techniques by move.
        rng: for all that is left to chance.
    """
    asked = passage_of(study).passage.notes
    moves = {study.line.moves[index].source: index for index in risks}
    faults: list[Fault] = [OutOfTune(sound, way.cents) for sound, way in enumerate(study.plan.ways)]
    for source, index in sorted(moves.items()):
        ways = study.plan.ways[source], study.plan.ways[study.line.moves[index].target]
        if rng.random() < risks[index]:
            low, high = sorted(way.partial for way in ways)
            between = asked[source].series_hz[low : high - 1]
            split = bool(between) and rng.random() < 0.5
            slur = Slur(dwells=(Dwell(between[0], _DWELL_S),)) if split else Slur(silence_s=_SILENCE_S)
        else:
            slur = _spoken(tried.get(index, study.plan.techniques[index]))
        faults.append(SlurAs(source, slur))
    script = perform(asked, rng=rng, faults=faults, manner=_MANNER, player=_UNSTEADY)
    take = render(script, rng=rng, place=_ROOM)
    return DemoTake(take.samples, take.rate_hz)


def _spoken(technique: Technique) -> Slur:
    if technique is Technique.LEGATO_TONGUE:
        return Slur(glide_s=0.02, tongue=Tongue())
    return Slur(choke=Choke()) if technique is Technique.HALF_VALVE else _CLEAN
