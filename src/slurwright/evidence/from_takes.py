"""What takes, and what a player logs by ear, say of the slurs that were tried.

A plain slur that was heard to be tongued is an attempt of the legato tongue that spoke; so is one that was asked for
with the tongue, heard or not. What the measuring makes of a deep dip, a tongue or a break, it divides by chances;
the chance of its verdict goes over to the attempt, and never below even: what is not told teaches nothing.

Levels are against full scale, so that only differences inside one take say how loud a slur was played.
"""

from collections.abc import Mapping, Sequence
from statistics import median

from slurwright.evidence.attempts import Attempt, Became, Ear, Source, Tried
from slurwright.evidence.kept import LoggedAttempt
from slurwright.evidence.learning.beliefs import Beliefs, EarBeliefs, PlayedBeliefs
from slurwright.listen.kept import KeptSlur, PlayedSlur
from slurwright.listen.measures import SlurOutcome
from slurwright.plan import Technique

__all__ = ["attempt_of_log", "attempts_of_takes"]

_EVEN = 0.5
_BECAME: Mapping[SlurOutcome, Became] = {
    SlurOutcome.CLEAN: Became.SPOKE,
    SlurOutcome.TONGUED: Became.SPOKE,
    SlurOutcome.BROKE: Became.BROKE,
    SlurOutcome.WRONG_NOTE: Became.WRONG_NOTE,
}
_TECHNIQUES = {technique.value: technique for technique in Technique}
_SAID: Mapping[Ear, Became] = {Ear.GOOD: Became.SPOKE, Ear.ROUGH: Became.BROKE, Ear.MISSED: Became.BROKE}


def attempts_of_takes(played: Sequence[PlayedSlur], *, beliefs: Beliefs) -> tuple[Attempt, ...]:
    """Make an attempt of every measured slur, in the order in which they come.

    Args:
        played: slurs of any number of takes.
        beliefs: how the dynamic that was played is told from levels.
    """
    takes: dict[str, list[PlayedSlur]] = {}
    for one in played:
        takes.setdefault(one.take_id, []).append(one)
    dynamics = {
        id(one): dynamic
        for slurs in takes.values()
        for one, dynamic in zip(slurs, _dynamics(slurs, beliefs.played), strict=True)
    }
    return tuple(_attempt(one, dynamics[id(one)]) for one in played)


def attempt_of_log(kept: LoggedAttempt, *, beliefs: Beliefs) -> Attempt:
    """Make an attempt of what a player logged by ear.

    Args:
        kept: what was logged.
        beliefs: how far an ear can be trusted.
    """
    about = kept.about
    return Attempt(
        horn=about.horn_id or about.model,
        played_on=about.played_on,
        tried=about.tried,
        became=_SAID[about.heard],
        spoke=_sure(about.heard, beliefs.ear),
        quality=None,
        source=Source.EAR,
        fingerprint=about.part.fingerprint if about.part else "",
        label=about.label,
        trial_id=about.trial_id or "",
    )


def _sure(heard: Ear, ear: EarBeliefs) -> float:
    return {Ear.GOOD: ear.good, Ear.ROUGH: ear.rough, Ear.MISSED: ear.missed}[heard]


def _attempt(one: PlayedSlur, dynamic: float) -> Attempt:
    measure = one.slur.measure
    sure = max(_EVEN, measure.outcome_chance)
    became = _BECAME[measure.outcome]
    return Attempt(
        horn=one.horn_id or "",
        played_on=one.played_on,
        tried=Tried(
            ways=one.slur.ways,
            technique=_technique(one.slur),
            dynamic=dynamic,
            tempo_qpm=one.slur.tempo_qpm,
            time_s=one.slur.time_s,
            hold_s=one.slur.time_s if one.slur.hold_s is None else one.slur.hold_s,
        ),
        became=became,
        spoke=sure if became is Became.SPOKE else 1.0 - sure,
        quality=measure.quality,
        source=Source.TAKE,
        label=one.slur.label,
        take_id=one.take_id,
    )


def _technique(slur: KeptSlur) -> Technique:
    """Say how a slur was played: as asked, but a plain one that was heard to be tongued was tongued."""
    asked = _TECHNIQUES.get(slur.technique) or Technique(slur.technique)
    tongued = slur.measure.outcome is SlurOutcome.TONGUED
    return Technique.LEGATO_TONGUE if tongued and asked is Technique.PLAIN else asked


def _dynamics(slurs: Sequence[PlayedSlur], played: PlayedBeliefs) -> list[float]:
    """Tell the dynamics of one take's slurs: as asked, moved by a part of what its levels say."""
    rests = [
        None if one.levels_db is None else sum(one.levels_db) / 2.0 - played.step_db * one.slur.dynamic
        for one in slurs
    ]
    known = [rest for rest in rests if rest is not None]
    if not known:
        return [one.slur.dynamic for one in slurs]
    usual = median(known)
    return [
        one.slur.dynamic + (0.0 if rest is None else _moved((rest - usual) / played.step_db, played))
        for one, rest in zip(slurs, rests, strict=True)
    ]


def _moved(steps: float, played: PlayedBeliefs) -> float:
    return max(-played.most_steps, min(played.most_steps, played.trusted * steps))
