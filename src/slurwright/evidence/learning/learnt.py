"""What is learnt of a player: the value that `learning.learn` gives, and what it says of a slur that is to come."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING

import numpy as np

from slurwright.evidence.learning.beliefs import Beliefs
from slurwright.evidence.learning.effects import EFFECTS
from slurwright.evidence.learning.hands import Hands
from slurwright.evidence.learning.laplace import Posterior, Prior
from slurwright.plan.chances import Chances
from slurwright.plan.transition import Floats, Ints

if TYPE_CHECKING:
    from slurwright.evidence.learning.design import PairName
    from slurwright.evidence.learning.known import PlayerKnown

__all__ = ["Learnt", "Tally"]


@dataclass(frozen=True, slots=True, eq=False)
class Tally:
    """Attempts that bear on a risk; all arrays have one entry a row of attempts that are alike."""

    pair: Ints
    """Index into ``Learnt.pairs``."""
    technique: Ints
    """Index into ``effects.TECHNIQUES``."""
    age_weeks: Floats
    count: Floats
    """How many, doubtful verdicts less."""


@dataclass(frozen=True, slots=True, eq=False)
class Learnt:
    """A player as far as their attempts tell."""

    today: date
    """The day as of which it holds."""
    posterior: Posterior
    prior: Prior
    """How effects were believed to be spread, with the scales that were found."""
    sizes: float
    """Factor that was found on all sizes [1]."""
    moves: float
    """Factor that was found on what changes [1]."""
    partials: Mapping[int, int]
    """Number of a pair of partials -> its place, see ``effects.partials_of``."""
    pairs: "Mapping[PairName, int]"
    """Pair of ways of a horn -> its place."""
    partials_of_pair: Ints
    """Place of its pair of partials, shape=(pairs,)."""
    tally: Tally
    hands: Hands
    chances: Chances
    beliefs: Beliefs
    attempts: int
    """How many it was learnt from."""
    latest: date | None
    """Day of the last of them; None for none."""
    notices: tuple[str, ...]
    """What was left out or assumed."""

    @property
    def effects(self) -> tuple[str, ...]:
        """Names of the effects that all slurs have in common, in the order of the posterior."""
        weeks = self.beliefs.drift.crossing_knots_weeks
        return (*EFFECTS, *(f"crossing {age:g} weeks ago" for age in weeks))

    @property
    def mean(self) -> Floats:
        """What these effects are believed to be, shape=(effects,) [logit]."""
        return self.posterior.mean.shared[: len(self.prior.common)]

    @property
    def covariance(self) -> Floats:
        """How surely that is known, shape=(effects, effects) [logit^2]."""
        size = len(self.prior.common)
        return self.posterior.shared[:size, :size]

    def on(self, horn_id: str) -> "PlayerKnown":
        """Give what the plan asks, for one of the player's horns.

        Args:
            horn_id: any; attempts on other horns say something too.
        """
        from slurwright.evidence.learning.known import PlayerKnown  # noqa: PLC0415 - each needs the other

        return PlayerKnown(self, horn_id)

    def bearing(self, *, age_weeks: float) -> Floats:
        """How much each row of the tally bears on a day, from its age, shape=(rows,) [1].

        Args:
            age_weeks: how long ago the day was [weeks].
        """
        for_good = self.prior.own[0, 0] + self.prior.own[1, 1]
        moving = self.prior.own[-1, -1]
        apart = np.abs(self.tally.age_weeks - age_weeks) / self.beliefs.drift.memory_weeks
        return np.asarray(self.tally.count * (for_good + moving * np.exp(-apart)) / (for_good + moving))
