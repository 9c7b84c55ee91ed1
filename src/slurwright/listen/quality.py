"""How smooth was a slur, from 0 to 1, and what spoilt it? Losses that add up.

Goodness is a product: every fault that is heard leaves a part of it, so that their losses, minus the logs of those
parts, add up. A fault below the limit where it begins to be heard costs nothing; from there the loss grows evenly to
the limit where the fault spoils the slur altogether. The losses follow the published order of what is heard as
detachment: silence between the notes, then abrupt decay and attack, then the change of the pitch ("How to make a
slur", JASA 58 S1 (1975) S132). Abrupt changes of pitch are not counted against a brass player, whose one air column
cannot sound two notes together: here a change is at fault when it is slow, crooked, or sounds another note.
"""

import math
from dataclasses import dataclass

from slurwright.listen.figure import Figure, Hidden, Measured
from slurwright.listen.limits import Limits
from slurwright.listen.measures import Reason

__all__ = ["Faults", "Quality", "quality_of"]

_NAMED = 0.05
"""A loss below this, a twentieth of the quality, is not worth a word."""
_MOST_HIDDEN = 0.5
"""No grade is given where more than this part of all that can be lost cannot be seen."""
_NONE = Figure(0.0, 0.0, 0.0)


@dataclass(frozen=True, slots=True)
class Faults:
    """All that can spoil a slur; 0 where there is nothing of it."""

    silence_ms: Measured
    dip_db: Measured
    time_ms: Measured
    scoop_cents: Measured
    overshoot_cents: Measured
    foreign_ms: Measured = _NONE
    tongue: Figure = _NONE
    """Whether the tongue took part, 0 or 1."""
    fell_back: Figure = _NONE
    """Whether the first note came again, 0 or 1."""
    wrong_note: bool = False


@dataclass(frozen=True, slots=True)
class Quality:
    """The grade and what it is made of."""

    value: Measured
    reasons: tuple[Reason, ...]
    """What spoils the slur, heaviest first; equals in the order of ``Reason``."""


@dataclass(frozen=True, slots=True)
class _Part:
    """One fault's loss and its interval [nats]."""

    reason: Reason
    loss: Measured
    most: float


def quality_of(faults: Faults, limits: Limits) -> Quality:
    """Grade a slur.

    Args:
        faults: what was measured.
        limits: from where each is heard, and how much it can spoil.

    Returns:
        The quality and its interval: the losses' intervals added as independent errors; a figure that is hidden only
        widens it downwards. Hidden itself where more than half of what can be lost is.
    """
    parts = _parts(faults, limits)
    seen = [(part, part.loss) for part in parts if isinstance(part.loss, Figure)]
    named = [(part, loss) for part, loss in seen if loss.value >= _NAMED]
    order = list(Reason)
    named.sort(key=lambda pair: (-pair[1].value, order.index(pair[0].reason)))
    reasons = tuple(part.reason for part, _ in named)
    unseen = [(part, part.loss) for part in parts if isinstance(part.loss, Hidden)]
    hidden = sum(part.most for part, _ in unseen)
    if hidden > _MOST_HIDDEN * sum(part.most for part in parts):
        return Quality(unseen[0][1], reasons)
    value = sum(loss.value for _, loss in seen)
    more = math.hypot(*(loss.high - loss.value for _, loss in seen), hidden / 2.0)
    less = math.hypot(*(loss.value - loss.low for _, loss in seen))
    return Quality(Figure(math.exp(-value), math.exp(-(value + more)), math.exp(-max(0.0, value - less))), reasons)


def _parts(faults: Faults, limits: Limits) -> tuple[_Part, ...]:
    heard, losses = limits.quality, limits.losses
    wrong = Figure(1.0, 1.0, 1.0) if faults.wrong_note else _NONE
    sure = (0.0, 1.0)
    return (
        _part(Reason.SILENCE, faults.silence_ms, heard.silence_ms, losses.silence),
        _part(Reason.ABRUPT, faults.dip_db, heard.dip_db, losses.abrupt),
        _part(Reason.TONGUE, faults.tongue, sure, losses.tongue),
        _part(Reason.FOREIGN, faults.foreign_ms, heard.foreign_ms, losses.foreign),
        _part(Reason.FELL_BACK, faults.fell_back, sure, losses.fell_back),
        _part(Reason.SLOW, faults.time_ms, heard.time_ms, losses.slow),
        _part(Reason.SCOOP, faults.scoop_cents, heard.scoop_cents, losses.scoop),
        _part(Reason.OVERSHOOT, faults.overshoot_cents, heard.overshoot_cents, losses.overshoot),
        _part(Reason.WRONG_NOTE, wrong, sure, losses.wrong_note),
    )


def _part(reason: Reason, figure: Measured, heard: tuple[float, float], most: float) -> _Part:
    if isinstance(figure, Hidden):
        return _Part(reason, figure, most)
    value, low, high = (most * _share(x, heard) for x in (figure.value, figure.low, figure.high))
    return _Part(reason, Figure(value, min(low, value), max(high, value)), most)


def _share(value: float, heard: tuple[float, float]) -> float:
    """How far a figure is from where it is heard to where it spoils all, 0..1."""
    return min(1.0, max(0.0, (value - heard[0]) / (heard[1] - heard[0])))
