"""What the plan asks and answers, as values: requests, plans, choices at a slur."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum

from slurwright.horn.technique import Technique
from slurwright.plan.ways import Way

__all__ = [
    "AtHand",
    "Basis",
    "Choice",
    "LearntRisk",
    "Plan",
    "PlanRequest",
    "SlurKind",
    "SlurReport",
    "Technique",
    "Weights",
]

_ONE_ATTEMPT = 0.5
"""From here attempts, older ones counted less, count as one at least; as whole numbers round (derived) [1]."""


class SlurKind(StrEnum):
    """What changes in a slur: the lips' partial, the valves (or slide), or both."""

    LIP = "lip"
    VALVE = "valve"
    BOTH = "both"


@dataclass(frozen=True, slots=True)
class Weights:
    """How much each of the three logs counts; 1 each is the plain chance of a clean performance [1]."""

    smooth: float = 1.0
    in_tune: float = 1.0
    familiar: float = 1.0


@dataclass(frozen=True, slots=True)
class PlanRequest:
    """What the player asks of a plan."""

    pins: Mapping[int, str] = field(default_factory=dict)
    """Sound index -> fingering that must be kept."""
    bans: frozenset[tuple[int | None, str]] = frozenset()
    """(sound index, fingering) that must not be used; None for the whole part."""
    most_changes: int | None = None
    """At most so many sounds off their normal way; None for no limit."""
    best: int = 1
    """How many plans are wanted, best first."""
    weights: Weights = field(default_factory=Weights)
    techniques: bool = False
    """True lets the plan itself use legato tongue and half-valve; otherwise every slur is played plain and the
    techniques are offered as choices at weak slurs. On a hand slide a slur on one partial is always made with a
    legato tongue, which is how a slide slurs there and no technique to choose."""


@dataclass(frozen=True, slots=True)
class Plan:
    """One complete plan of a line."""

    ways: tuple[Way, ...]
    """One a sound."""
    techniques: tuple[Technique, ...]
    """One a move of the line, in its order; PLAIN where the move is not slurred."""
    chance_in_tune: float
    chance_slurs: float
    chance_fingers: float
    """The three factors of `chance_clean`, over the whole performance, 0..1."""
    cost: float
    """The weighted sum of the three negative logs that was minimised [nat]."""
    changes: int
    """How many sounds are off their normal way."""

    @property
    def chance_clean(self) -> float:
        """Chance that nothing goes wrong when the part is played through once, 0..1."""
        return self.chance_in_tune * self.chance_slurs * self.chance_fingers


class Basis(StrEnum):
    """What a break risk rests on."""

    PRIOR = "prior"
    """The table of priors alone, or attempts that leave it as it was, in whole percents."""
    OTHER_SLURS = "learnt from other slurs"
    """The player has not tried this very slur so, but other slurs of theirs bear on it."""
    ATTEMPTS = "learnt"
    """The player has tried this very pair of ways in this technique."""


@dataclass(frozen=True, slots=True)
class LearntRisk:
    """What a player's attempts make of a break risk."""

    risk: float
    """Chance of a break for this player, 0..1."""
    prior: float
    """What the table of priors says, 0..1."""
    low: float
    high: float
    """Ends of the interval that holds the player's own risk nine times in ten, 0..1."""
    attempts: float
    """At this very pair of ways in this technique, older ones counted less [1]."""

    @property
    def basis(self) -> Basis:
        """What the risk rests on; it is called a prior only where it reads as the prior does."""
        if self.attempts >= _ONE_ATTEMPT:
            return Basis.ATTEMPTS
        same = round(100.0 * self.risk) == round(100.0 * self.prior)
        return Basis.PRIOR if same else Basis.OTHER_SLURS


@dataclass(frozen=True, slots=True)
class AtHand:
    """Chance that a player has a way at their fingers' command when it comes."""

    learnt: float
    """From how often its note came in their attempts, 0..1."""
    prior: float
    """What the table of priors says, 0..1."""


@dataclass(frozen=True, slots=True)
class Choice:
    """One way to play a slur: a technique, or other fingerings, with what it changes."""

    technique: Technique
    ways: tuple[Way, Way]
    break_risk: float
    """Chance that the slur does not speak cleanly, 0..1."""
    cents: tuple[float, float]
    """Predicted tendencies of the two notes, + sharp [cents]."""
    cents_cost: float
    """How much further out of tune the worse of the changed notes gets than as planned; below 0 is a gain [cents]."""
    chance_around: float
    """Chance that this slur and the moves just before and after it all go right, fingers included, 0..1."""
    fingers: str
    """What it asks of the fingers, in words."""
    why: str
    """One sentence."""
    name: str = ""
    """Short name for tables: "as it stands", "legato tongue", "half-valve", "4 on F3"."""
    learnt: LearntRisk | None = None
    """What the player's attempts make of the break risk; None where nothing is known of the player."""


@dataclass(frozen=True, slots=True)
class SlurReport:
    """One slurred move of the plan and what can be done about it."""

    move: int
    """Index into ``Line.moves``."""
    kind: SlurKind
    crossings: int
    """Partials passed, 0 on the same partial."""
    gap_cents: float
    """The step the lips must make without help from the horn: interval between the two resonances on the
    first note's air column (0 when the partial stays) [cents]."""
    direction: str
    """"up", "down" or "same"."""
    break_risk: float
    weak: bool
    """True if the risk is above the player's limit, so that the choices are printed."""
    choices: tuple[Choice, ...]
    """As it stands first, then techniques, then other fingerings, best first in each kind. Empty unless the slur is
    weak, or would be on the normal fingerings that the plan leaves."""
    advice: str
    """What to do first: always to practise the normal fingering; the rescue comes second."""
    learnt: LearntRisk | None = None
    """What the player's attempts make of the break risk; None where nothing is known of the player."""
