"""An attempt: one slur that a player tried, what was tried, and what became of it. Values only.

Attempts come from takes, where each carries the uncertainty of its measurement, or are logged by ear.
"""

from dataclasses import dataclass
from datetime import date
from enum import StrEnum

from slurwright.horn.technique import Technique
from slurwright.listen.figure import Measured
from slurwright.listen.kept import TakenWay

__all__ = ["Attempt", "Became", "Ear", "Source", "Tried"]


class Source(StrEnum):
    """Who judged an attempt."""

    TAKE = "take"
    """It was measured in a recording."""
    EAR = "by ear"
    """The player, or somebody who listened, said so."""


class Became(StrEnum):
    """What became of a slur that was tried."""

    SPOKE = "spoke"
    BROKE = "broke"
    WRONG_NOTE = "wrong note"


class Ear(StrEnum):
    """What an ear says of a slur."""

    GOOD = "good"
    ROUGH = "rough"
    """It came, but not cleanly."""
    MISSED = "missed"


@dataclass(frozen=True, slots=True)
class Tried:
    """One slur as it was tried: all that its chance depends on."""

    ways: tuple[TakenWay, TakenWay]
    technique: Technique
    """As it was played, as far as can be told: a plain slur that was heard to be tongued is a legato tongue."""
    dynamic: float
    """As it was played, as far as can be told; else as asked [steps from mf]."""
    tempo_qpm: float
    """Tempo that was asked for there [quarters per minute]."""
    time_s: float
    """From onset to onset as asked for [s]."""
    hold_s: float
    """How long the second note lasts as asked for [s]."""


@dataclass(frozen=True, slots=True)
class Attempt:
    """One slur that was tried, and what became of it."""

    horn: str
    """Id of the player's own horn; of the catalogue's model where it is none."""
    played_on: date
    tried: Tried
    became: Became
    """The likeliest, where it is not sure."""
    spoke: float
    """How sure it is that the slur spoke cleanly, 0..1: of two equally likely before, how the measuring or the ear
    divides them."""
    quality: Measured | None
    """How smooth it was, from 0 (broken) to 1; None by ear."""
    source: Source
    fingerprint: str = ""
    """Of the part, see ``score.fingerprint``; empty where it was of none."""
    label: str = ""
    """Where its first note stands in print, "12:3"."""
    take_id: str = ""
    trial_id: str = ""
    """Of the trial that asked for it; empty for none."""
