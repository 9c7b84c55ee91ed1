"""A whole take counted up: how much of it spoke, where its tuning lies, which notes lie furthest out."""

import math
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from statistics import median

from slurwright.listen.figure import NINE_IN_TEN, Figure, Hidden, Measured, Veil
from slurwright.listen.followed import PlayedAs
from slurwright.listen.measures import SlurOutcome
from slurwright.listen.take import TakeMeasure

__all__ = ["TakeSummary", "summary_of"]

_SD_OF_MAD = 1.4826
"""Standard deviation of a normal spread over its median distance from the middle (derived) [1]."""
_MEDIAN_OVER_MEAN = math.sqrt(math.pi / 2.0)
"""Standard error of the median of a normal spread over that of its mean (derived) [1]."""


@dataclass(frozen=True, slots=True)
class TakeSummary:
    """A take counted up."""

    asked: int
    """Notes of the passage between the first and the last that sounded."""
    right: int
    """Asked notes that sounded as asked, the last time they were played or an earlier one."""
    octave: int
    """Sounds an octave or more off; ``wrong`` and ``extra`` count sounds too."""
    wrong: int
    extra: int
    missed: int
    restarts: int
    tuning_cents: Measured
    """Where the middle of all right notes lies against the targets [cents]."""
    furthest: tuple[int, ...]
    """Indices into ``TakeMeasure.notes`` of right notes, those first that lie furthest from their targets."""
    outcomes: Mapping[SlurOutcome, int]
    """How many slurs came out how; every outcome is there."""
    unjudged: int
    """Slurs inside what was played that could not be judged, as a note of the pair did not follow the other."""

    @property
    def slurs(self) -> int:
        """How many slurs were judged."""
        return sum(self.outcomes.values())


def summary_of(measure: TakeMeasure) -> TakeSummary:
    """Count a take up."""
    played = measure.following.played
    kinds = Counter(note.played_as for note in played)
    stood_for = [note.asked for note in played if note.asked is not None]
    inside = range(min(stood_for), max(stood_for) + 1) if stood_for else range(0)
    right = [
        (at, note.cents)
        for at, note in enumerate(measure.notes)
        if played[note.played].played_as is PlayedAs.ASKED and isinstance(note.cents, Figure)
    ]
    outcomes = Counter(slur.outcome for slur in measure.slurs)
    judged = {played[slur.first].asked for slur in measure.slurs}
    return TakeSummary(
        asked=len(inside),
        right=len({note.asked for note in played if note.played_as is PlayedAs.ASKED}),
        octave=kinds[PlayedAs.OCTAVE],
        wrong=kinds[PlayedAs.WRONG],
        extra=kinds[PlayedAs.EXTRA],
        missed=len(measure.following.missed),
        restarts=len(measure.following.restarts),
        tuning_cents=_middle([cents for _, cents in right]),
        furthest=tuple(at for at, cents in sorted(right, key=lambda each: (-abs(each[1].value), each[0]))),
        outcomes={outcome: outcomes[outcome] for outcome in SlurOutcome},
        unjudged=sum(
            first in inside and second in inside and first not in judged for first, second in measure.passage.joined()
        ),
    )


def _middle(figures: Sequence[Figure]) -> Measured:
    """The median of figures, with the interval that their scatter leaves; of one figure, that figure."""
    if not figures:
        return Hidden(Veil.UNHEARD)
    if len(figures) == 1:
        return figures[0]
    values = [figure.value for figure in figures]
    middle = median(values)
    scatter = _SD_OF_MAD * median(abs(value - middle) for value in values)
    own = median(figure.sd for figure in figures)
    half = NINE_IN_TEN * _MEDIAN_OVER_MEAN * max(scatter, own) / math.sqrt(len(values))
    return Figure(middle, middle - half, middle + half)
