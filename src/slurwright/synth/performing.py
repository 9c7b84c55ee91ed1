"""How would a player play these notes? A script with tempo, faults and unsteadiness as they are asked for."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np

from slurwright.pitch import cents_of_ratio
from slurwright.synth.faults import Breathing, Fault, Manner, OutOfTune, ScoopInto, SlurAs, TongueAgain, Wanted
from slurwright.synth.fitting import fitted
from slurwright.synth.route import Step, route_of
from slurwright.synth.script import Attack, Breath, Join, Note, Player, Rest, Retongue, Script, Slur

__all__ = ["perform"]

_USUAL = Manner()
_STEADY = Player(wander_cents=2.0, jitter_cents=0.4, shimmer_db=0.2)
_TEMPO_MEMORY = 0.8
"""How much of its tempo a note takes from the one before."""
_LEAST_NOTE_S = 0.05
_LEAST_REST_S = 0.03
"""Notes that are asked closer than this touch each other."""
_MOST_GAP = 0.3
"""The gap before a tongued note takes no more than this of the note before it."""
_MOST_OFF = 0.2
"""No onset is early or late by more than this part of the time to its neighbours."""
_VIBRATO_NOTE_S = 0.5
_SAME_CENTS = 10.0
"""A slur between notes no further apart is a soft touch of the tongue."""
_BY_LIP = 1.5
_SOFT_TOUCH = Retongue(depth_db=12.0, length_s=0.03)


@dataclass(frozen=True, slots=True)
class _Placed:
    """A step that sounds, and when."""

    step: Step
    onset_s: float
    until_next_s: float
    """From this onset to the next [s]."""
    stretch: float
    """How much slower than marked [1]."""
    alone: bool
    """Silence follows that is longer than asked: a pause, or a note that is left out."""


def perform(
    wanted: Sequence[Wanted],
    *,
    rng: np.random.Generator,
    faults: Sequence[Fault] = (),
    manner: Manner = _USUAL,
    player: Player = _STEADY,
) -> Script:
    """Play a passage, with what goes wrong in it.

    Args:
        wanted: the notes that are asked, onsets rising.
        rng: for tempo, timing, intonation and the small differences between slurs.
        faults: what goes wrong; at a note that is played twice the first time only, but what is out of tune is so
            each time.
        manner: tempo, tone and the usual slur.
        player: how unsteady the sound is.

    Raises:
        RequestError: a fault at a note that is not there, or a slur where none is asked.
    """
    placed = _placed(route_of(wanted, faults), rng, manner)
    notes = [_note(one, rng, manner) for one in placed]
    breaths = []
    for index, (one, after) in enumerate(pairwise(placed)):
        join = Rest() if one.alone else _join(one, (notes[index], notes[index + 1]), rng, manner)
        notes[index] = replace(notes[index], join=join)
        if isinstance(join, Rest):
            notes[index] = _ended(notes[index], one, manner)
        for fault in after.step.faults:
            if isinstance(fault, Breathing):
                notes[index] = _shortened(notes[index], after.onset_s, fault.length_s)
                breaths.append(_breath(notes[index], after.onset_s))
    end = max((note.onset_s + note.length_s for note in notes), default=0.0)
    return Script(tuple(notes), end + manner.tail_s, manner.voice, player, tuple(breaths))


def _placed(steps: list[Step], rng: np.random.Generator, manner: Manner) -> list[_Placed]:
    """Set the steps on the clock, in a tempo that wanders; leave out what does not sound."""
    placed: list[_Placed] = []
    drift, at, lasted = float(rng.normal()), manner.lead_s, 0.0
    for step in steps:
        drift = _TEMPO_MEMORY * drift + np.sqrt(1.0 - _TEMPO_MEMORY**2) * float(rng.normal())
        stretch = float(np.exp(manner.rubato * drift)) / manner.tempo
        lasts = max(step.until_next_s * stretch, _LEAST_NOTE_S) + step.pause_s
        most = _MOST_OFF * min(lasts, lasted)
        off = float(np.clip(rng.normal(0.0, manner.timing_s), -most, most))
        if step.hz:
            placed.append(_Placed(step, at + off, lasts, stretch, alone=step.pause_s > 0))
        elif placed:
            placed[-1] = replace(placed[-1], alone=True)
        at, lasted = at + lasts, lasts
    onsets = [one.onset_s for one in placed] + [at]
    return [
        replace(one, until_next_s=next_s - one.onset_s if not one.alone else one.until_next_s)
        for one, next_s in zip(placed, onsets[1:], strict=True)
    ]


def _note(one: _Placed, rng: np.random.Generator, manner: Manner) -> Note:
    """A note without its join: pitch, level, attack."""
    step = one.step
    cents = float(rng.normal(0.0, manner.tune_cents))
    scoop = ScoopInto(0, 0.0)
    for fault in step.faults:
        if isinstance(fault, OutOfTune):
            cents = fault.cents
        elif isinstance(fault, ScoopInto):
            scoop = fault
    length_s = min(step.length_s * one.stretch, one.until_next_s)
    vibrato = manner.vibrato if length_s >= _VIBRATO_NOTE_S else None
    attack_s = min(max(float(rng.uniform(0.02, 0.045)), 1.0 / step.hz), 0.5 * length_s)
    return Note(
        hz=step.hz * 2.0 ** (cents / 1200.0),
        onset_s=one.onset_s,
        length_s=length_s,
        level_db=float(rng.normal(manner.level_db, manner.level_sd_db)),
        attack=Attack(attack_s, scoop.cents, scoop.time_s),
        vibrato=vibrato,
        asked=step.asked,
        standing=step.standing,
    )


def _join(one: _Placed, pair: tuple[Note, Note], rng: np.random.Generator, manner: Manner) -> Join:
    """Lead from a note to the one that follows."""
    step = one.step
    lengths = one.until_next_s, pair[1].length_s
    if any(isinstance(fault, TongueAgain) for fault in step.faults):
        return fitted(Retongue(), pair, lengths)
    if step.slurred:
        told = [fault.slur for fault in step.faults if isinstance(fault, SlurAs)]
        if told:
            return fitted(told[0], pair, lengths)
        if abs(cents_of_ratio(pair[1].hz / pair[0].hz)) < _SAME_CENTS:
            return fitted(_SOFT_TOUCH, pair, lengths)
        return fitted(_varied(manner.slur, rng, by_lip=step.by_lip), pair, lengths)
    if _touches(one) and manner.gap_s <= 0:
        return fitted(Retongue(), pair, lengths)
    return Rest()


def _varied(slur: Slur, rng: np.random.Generator, *, by_lip: bool) -> Slur:
    """No two slurs are quite alike; the lip takes longer than a valve, and the sound gives way more."""
    times, dip = (float(factor) for factor in np.exp(rng.normal(0.0, 0.33, 2)) * (_BY_LIP if by_lip else 1.0))
    return replace(slur, glide_s=slur.glide_s * times, dip_db=slur.dip_db * dip, dip_s=slur.dip_s * times)


def _touches(one: _Placed) -> bool:
    return one.step.length_s >= one.step.until_next_s - _LEAST_REST_S


def _ended(note: Note, one: _Placed, manner: Manner) -> Note:
    """End a note so that the next one can be tongued."""
    gap = manner.gap_s if manner.gap_s > 0 else _LEAST_REST_S
    gap = min(gap, _MOST_GAP * one.until_next_s)
    length_s = note.length_s if one.alone else min(note.length_s, one.until_next_s - gap)
    return replace(note, length_s=length_s, release_s=min(note.release_s, max(gap, 0.01)))


def _shortened(note: Note, next_onset_s: float, breath_s: float) -> Note:
    """Give the end of a note to a breath, half of the note at most."""
    most = next_onset_s - breath_s - note.onset_s
    return replace(note, join=Rest(), length_s=min(note.length_s, max(most, 0.5 * note.length_s)))


def _breath(note: Note, next_onset_s: float) -> Breath:
    """Breathe between a note and the next."""
    start = note.onset_s + note.length_s + 0.03
    return Breath(start, max(0.02, next_onset_s - 0.03 - start))
