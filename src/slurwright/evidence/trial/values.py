"""A trial: a designed comparison of a few ways to play one slur, as it is laid down and as it stands. Values only.

An *arm* is one of the ways that are compared: a technique, or other fingerings. The first arm is the slur as it
stands, so that "no difference worth having" always means: stay with that. A *block* holds each arm once; a *round* is
a few blocks that are played between two rests.
"""

from dataclasses import dataclass
from datetime import date
from enum import StrEnum

from slurwright.evidence.attempts import Source
from slurwright.listen.figure import Figure, Measured
from slurwright.listen.kept import TakenPart, TakenWay
from slurwright.pitch import Clef, Transposition
from slurwright.plan import Technique

__all__ = [
    "MOST_ARMS",
    "Answer",
    "Arm",
    "ArmFigures",
    "Aspect",
    "Compared",
    "Slot",
    "Standing",
    "TrialDesign",
    "TrialRules",
    "Try",
]

MOST_ARMS = 4
"""More would take too long to tell apart; ours [arms]."""


class Aspect(StrEnum):
    """What arms are compared in."""

    SPEAKING = "speaking"
    """Chance that the slur speaks cleanly."""
    SMOOTHNESS = "smoothness"
    """From 0 (broken) to 1, as it is measured in takes."""
    TUNING = "tuning"
    """How far the worse of the two notes lies from its target; less is better."""


class Answer(StrEnum):
    """What a comparison says."""

    BETTER = "better"
    """One arm is the better choice."""
    NO_GAIN = "no gain worth having"
    """No other arm is likely to be better than the slur as it stands by what is worth having."""
    OPEN = "not told yet"
    UNTOLD = "not told apart"
    """All blocks are played, and the arms could not be told apart."""


@dataclass(frozen=True, slots=True)
class TrialRules:
    """How a trial is judged; each figure's place of origin stands in the packaged table ``trials.toml``."""

    clear_first: float
    """Chance at which one of two arms is said to be better after the least number of blocks, 0..1."""
    clear_last: float
    """The same after the last block; between the two it goes evenly, as early tries can mislead, 0..1."""
    gain_unlikely: float
    """Chance of a gain worth having below which none is said, 0..1."""
    least_blocks: int
    """No answer before so many blocks [blocks]."""
    most_blocks: int
    """The trial ends after so many [blocks]."""
    round_tries: int
    """About so many tries are played between two rests [tries]."""
    rest_tries_s: float
    """Rest between two tries [s]."""
    rest_rounds_s: float
    """Least rest between two rounds [s]."""
    worth_chance: float
    """Difference of chances that is worth having, 0..1."""
    worth_smoothness: float
    """The same of smoothness, 0..1."""
    worth_cents: float
    """The same of tuning [cents]."""
    stands_logit: float
    """How far the chance as it stands may lie from what the plan says of it, standard deviation [logit]."""
    gap_logit: float
    """How far another arm's gap to it may lie from what the plan says, standard deviation [logit]."""
    hardly: float
    """Chance that an arm makes hardly a difference to this player, before anything is tried, 0..1."""
    hardly_logit: float
    """How much that is, standard deviation [logit]."""
    otherwise: float
    """Chance that the plan is wrong about an arm for this player, 0..1; with ``hardly`` below 1."""
    otherwise_logit: float
    """How much of a difference either way it then makes, standard deviation [logit]."""
    block_logit: float
    """How much better or worse one block goes than another, standard deviation [logit]."""
    smooth_mean: float
    """Smoothness before anything is measured, 0..1."""
    smooth_all: float
    """How far that of all arms may lie from it together, standard deviation, 0..1."""
    smooth_arm: float
    """How far that of one arm may, standard deviation, 0..1."""
    smooth_block: float
    """How much blocks differ in it, standard deviation, 0..1."""
    smooth_try: float
    """How much tries of one arm differ in it before anything is measured, standard deviation, 0..1."""
    cents_arm: float
    """How far a note may lie from where the plan says, standard deviation [cents]."""
    cents_block: float
    """How much a whole block is sharp or flat, standard deviation [cents]."""
    cents_try: float
    """How much tries of one arm differ before anything is measured, standard deviation [cents]."""


@dataclass(frozen=True, slots=True)
class Arm:
    """One of the ways to play the slur that are compared."""

    name: str
    """Short: "as it stands", "legato tongue", "4 on F3"."""
    ways: tuple[TakenWay, TakenWay]
    technique: Technique
    chance: float
    """That it speaks cleanly, as it was believed when the trial was laid down, 0..1."""
    learnt: bool
    """True where that was learnt from this player's attempts, False where it is a prior."""
    cents: tuple[float, float]
    """Where the two notes were predicted [cents]."""


@dataclass(frozen=True, slots=True)
class TrialDesign:
    """A trial as it is laid down; with the tries, everything follows from it."""

    part: TakenPart
    label: str
    """Where the slur's first note stands in print, "12:3"."""
    clef: Clef
    transposition: Transposition
    """Of the reading in which the player has the part, as is the clef."""
    key_fifths: int
    """Key signature there, as the player reads it: sharps above zero, flats below [fifths]."""
    mark: str
    """Dynamic that is asked for, "pp"."""
    dynamic: float
    """The same [steps from mf]."""
    tempo_qpm: float
    """Tempo there [quarters per minute]."""
    time_s: float
    """From onset to onset [s]."""
    hold_s: float
    """How long the second note lasts [s]."""
    arms: tuple[Arm, ...]
    """As it stands first."""
    aim: Aspect
    """What decides when the trial is over; the others are told as well."""
    seed: int
    """Of the order in which the arms are played."""
    rules: TrialRules

    @property
    def round_blocks(self) -> int:
        """How many blocks are played between two rests [blocks]."""
        return max(1, round(self.rules.round_tries / len(self.arms)))


@dataclass(frozen=True, slots=True)
class Slot:
    """One place in the order of play."""

    block: int
    arm: int


@dataclass(frozen=True, slots=True)
class Try:
    """One try of an arm, and what became of it."""

    slot: Slot
    spoke: float
    """How sure it is that it spoke cleanly, 0..1."""
    quality: Measured | None
    """How smooth it was, 0..1; None by ear."""
    cents: tuple[Measured, Measured] | None
    """Where its two notes were [cents]; None by ear."""
    source: Source
    played_on: date


@dataclass(frozen=True, slots=True)
class ArmFigures:
    """What is known of one arm in one aspect."""

    figure: Figure
    """Its chance, its smoothness, or how far out it is [cents]; with the interval that holds it nine times in ten."""
    best: float
    """Chance that it is the best of the arms, 0..1."""
    tries: int
    """How many bear on it [tries]."""


@dataclass(frozen=True, slots=True)
class Compared:
    """Arms compared in one aspect."""

    aspect: Aspect
    arms: tuple[ArmFigures, ...]
    """In the order of the design."""
    answer: Answer
    first: int
    """The arm that is likeliest the best."""
    second: int
    """The arm that it is set against: as it stands, or the next likeliest where that is the first."""
    gain: Figure
    """By how much the first is better than the second; below zero it is not [chance, smoothness or cents]."""
    better: float
    """Chance that the first is better than as it stands; where it is that itself, that it is the best, 0..1."""
    worth_changing: float
    """Chance that an arm is better than as it stands by what is worth having; of the likeliest such arm, 0..1."""


@dataclass(frozen=True, slots=True)
class Standing:
    """How a trial stands."""

    compared: tuple[Compared, ...]
    """Speaking first; smoothness and tuning where takes have measured them."""
    tries: tuple[Try, ...]
    """In the order of their slots."""
    whole_blocks: int
    """Blocks of which every slot was tried [blocks]."""
    answer: Answer
    """In the aspect that decides."""

    @property
    def over(self) -> bool:
        """True where nothing more needs to be played."""
        return self.answer is not Answer.OPEN
