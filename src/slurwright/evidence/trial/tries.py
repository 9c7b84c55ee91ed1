"""Which tries a trial has so far: out of what was logged by ear, and out of takes of its rounds.

A take holds the places of the order from its first block to the end of that round, one slur each. What was logged by
ear fills, in the order in which it came, the earliest places of its arm that no take holds. A slur of a take that was
played in another technique than its arm's is no try of that arm; its place stays open.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date

from slurwright.evidence.attempts import Source
from slurwright.evidence.from_takes import attempt_of_log, attempts_of_takes
from slurwright.evidence.kept import LoggedAttempt
from slurwright.evidence.learning.beliefs import Beliefs
from slurwright.evidence.trial.order import slots_of
from slurwright.evidence.trial.values import Slot, TrialDesign, Try
from slurwright.listen.figure import Figure, Hidden, Measured
from slurwright.listen.kept import KeptMeasures, PlayedSlur

__all__ = ["RoundTake", "arm_key", "arm_of_key", "next_slots", "page_slots", "tries_of"]

_EVEN = 0.5
_BROKEN = Figure(0.0, 0.0, 0.2)
"""Smoothness of a slur that broke unseen (ours, provisional)."""


@dataclass(frozen=True, slots=True)
class RoundTake:
    """A measured take of a round of a trial."""

    take_id: str
    block: int
    """The first block that it holds."""
    played_on: date
    measures: KeptMeasures


def arm_key(arm: int) -> str:
    """Letter of an arm: A for the first."""
    return chr(ord("A") + arm)


def arm_of_key(key: str) -> int | None:
    """Say which arm a letter means; None for none."""
    return ord(key) - ord("A") if len(key) == 1 and "A" <= key <= "Z" else None


def tries_of(
    design: TrialDesign, logged: Sequence[LoggedAttempt], takes: Iterable[RoundTake], *, beliefs: Beliefs
) -> tuple[Try, ...]:
    """Gather the tries of a trial, in the order of their places.

    Args:
        design: the trial.
        logged: by ear, for this trial, in the order in which it came; what was withdrawn is left out.
        takes: of its rounds.
        beliefs: how far an ear can be trusted.
    """
    found: dict[Slot, Try] = {}
    for take in sorted(takes, key=lambda one: one.block):
        found.update({one.slot: one for one in _of_take(design, take, beliefs) if one.slot not in found})
    slots = slots_of(design)
    for one in (one for one in logged if one.withdrawn_at is None):
        arm = arm_of_key(one.about.arm)
        free = next((slot for slot in slots if slot.arm == arm and slot not in found), None)
        if free is not None:
            attempt = attempt_of_log(one, beliefs=beliefs)
            found[free] = Try(free, attempt.spoke, None, None, Source.EAR, attempt.played_on)
    return tuple(found[slot] for slot in slots if slot in found)


def _of_take(design: TrialDesign, take: RoundTake, beliefs: Beliefs) -> Iterable[Try]:
    """Tries that a take has measured."""
    slots = page_slots(design, take.block)
    notes = {note.asked: note.measure.cents for note in take.measures.notes}
    for slur in take.measures.slurs:
        first, second = slur.asked
        place, odd = divmod(first, 2)
        if odd or second != first + 1 or place >= len(slots):
            continue
        slot = slots[place]
        played = PlayedSlur(take_id=take.take_id, horn_id=None, played_on=take.played_on, slur=slur)
        (attempt,) = attempts_of_takes([played], beliefs=beliefs)
        if attempt.tried.technique is design.arms[slot.arm].technique:
            cents = _both(notes.get(first), notes.get(second))
            quality = _quality(slur.measure.quality, attempt.spoke)
            yield Try(slot, attempt.spoke, quality, cents, Source.TAKE, take.played_on)


def _quality(measured: Measured, spoke: float) -> Measured:
    """How smooth a slur was: one that broke and whose smoothness is hidden was not smooth."""
    return _BROKEN if isinstance(measured, Hidden) and spoke < _EVEN else measured


def _both(first: Measured | None, second: Measured | None) -> tuple[Measured, Measured] | None:
    return None if first is None or second is None else (first, second)


def page_slots(design: TrialDesign, block: int) -> tuple[Slot, ...]:
    """List the places from a block to the end of its round: what stands on a page, and what a take holds.

    Args:
        design: the trial.
        block: the first block.
    """
    round_blocks = design.round_blocks
    end = min((block // round_blocks + 1) * round_blocks, design.rules.most_blocks)
    return tuple(slot for slot in slots_of(design) if block <= slot.block < end)


def next_slots(design: TrialDesign, tries: Sequence[Try]) -> tuple[Slot, ...]:
    """List the places to be played next: those of the earliest open round that were not tried; none at the end.

    Args:
        design: the trial.
        tries: those there are.
    """
    held = {one.slot for one in tries}
    open_slots = [slot for slot in slots_of(design) if slot not in held]
    if not open_slots:
        return ()
    this_round = open_slots[0].block // design.round_blocks
    return tuple(slot for slot in open_slots if slot.block // design.round_blocks == this_round)
