"""How likely is it that a slur split, fell back, broke off or was tongued? Traits weighed into chances.

Each chance is logistic in a few traits; the weights stand in a table and were fitted to made-up slurs.
"""

import math
from dataclasses import astuple, dataclass

from slurwright.listen.figure import Figure
from slurwright.listen.limits import FallWeights, Limits, SplitWeights, TouchWeights
from slurwright.listen.measures import Foreign, SlurOutcome
from slurwright.listen.splits import FallTraits, Split, SplitTraits
from slurwright.listen.tongue import TouchTraits

__all__ = [
    "LIKELY",
    "Chances",
    "chances_of",
    "fall_row",
    "foreign_of",
    "outcome_of",
    "split_row",
    "touch_row",
]

LIKELY = 0.5
"""What is likelier than this is taken to have happened."""
_LENGTH_LOW, _LENGTH_HIGH = 0.75, 1.25
_LENGTH_LEAST_MS = 15.0
_WRONG_CHANCE = 0.95
_ADDED_MS = 10.0
_MOST_ODDS = 12.0


@dataclass(frozen=True, slots=True)
class Chances:
    """How likely each thing that can happen to a slur is, 0..1."""

    third: float
    """That a third note sounded."""
    fell_back: float
    tongued: float
    """Of a slur that neither split nor fell back; so is ``broke_off``."""
    broke_off: float

    @property
    def whole(self) -> float:
        """That no other note sounded and the first did not come again, 0..1."""
        return (1.0 - self.third) * (1.0 - self.fell_back)

    @property
    def broke(self) -> float:
        """That it broke in one way or another, 0..1."""
        return 1.0 - self.whole * (1.0 - self.broke_off)


def chances_of(split: Split, touch: TouchTraits, limits: Limits) -> Chances:
    """Weigh what speaks for each.

    Args:
        split: of a third note and of a return.
        touch: of a tongue and of silence.
        limits: with the weights.
    """
    third = _logistic(_odds(limits.split, split_row(split.traits))) if split.third else 0.0
    fell_back = _logistic(_odds(limits.fall, fall_row(split.fall))) if split.fall.turn_db > 0.0 else 0.0
    row = touch_row(touch)
    tongued, broke = (math.exp(_odds(weights, row)) for weights in (limits.tongued, limits.broke))
    whole = 1.0 + tongued + broke
    return Chances(third, fell_back, tongued / whole, broke / whole)


def foreign_of(split: Split, chances: Chances) -> Foreign | None:
    """Name the third note; None where none is likely.

    Args:
        split: of a third note.
        chances: how likely it is.
    """
    if split.third is None or chances.third < LIKELY:
        return None
    length = split.traits.length_ms
    low = max(0.0, min(_LENGTH_LOW * length, length - _LENGTH_LEAST_MS))
    high = max(_LENGTH_HIGH * length, length + _LENGTH_LEAST_MS)
    return Foreign(split.third.hz, split.third.partial, Figure(length, low, high))


def outcome_of(chances: Chances, *, wrong: bool) -> tuple[SlurOutcome, float]:
    """Say what became of a slur, and how sure that is, 0..1 [1].

    Args:
        chances: how likely each thing is.
        wrong: whether it landed on another note than was asked.
    """
    if wrong:
        return SlurOutcome.WRONG_NOTE, _WRONG_CHANCE
    likely = {
        SlurOutcome.CLEAN: chances.whole * (1.0 - chances.tongued - chances.broke_off),
        SlurOutcome.TONGUED: chances.whole * chances.tongued,
        SlurOutcome.BROKE: chances.broke,
    }
    if max(chances.third, chances.fell_back) >= LIKELY:
        return SlurOutcome.BROKE, likely[SlurOutcome.BROKE]
    best = max(likely, key=lambda outcome: likely[outcome])
    return best, likely[best]


def split_row(traits: SplitTraits) -> tuple[float, ...]:
    """Lay traits out in the order of their weights, a 1 first."""
    return (1.0, traits.gain, traits.explained, traits.share, math.log(traits.length_ms + _ADDED_MS))


def fall_row(traits: FallTraits) -> tuple[float, ...]:
    """Lay traits out in the order of their weights, a 1 first."""
    return (1.0, traits.turn_db, math.log(traits.return_ms + _ADDED_MS))


def touch_row(traits: TouchTraits) -> tuple[float, ...]:
    """Lay traits out in the order of their weights, a 1 first."""
    return (
        1.0,
        traits.level_db,
        math.log(traits.level_ms + _ADDED_MS),
        traits.total_db,
        traits.sharp_db,
        traits.notch_db,
        traits.fall_db_ms,
        traits.rise_db_ms,
        traits.hiss_db,
        traits.puff_db,
        traits.octaves,
        traits.floor_db,
        traits.total_db / traits.floor_db,
    )


def _odds(weights: SplitWeights | FallWeights | TouchWeights, row: tuple[float, ...]) -> float:
    """Log of the odds, kept within what any such model can know."""
    total: float = sum(weight * value for weight, value in zip(astuple(weights), row, strict=True))
    return min(max(total, -_MOST_ODDS), _MOST_ODDS)


def _logistic(odds: float) -> float:
    return 1.0 / (1.0 + math.exp(-odds))
