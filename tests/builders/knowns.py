"""Players who are known by decree, for tests of whatever asks a plan's `Known`."""

from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np

from slurwright.plan.known import RiskFigures
from slurwright.plan.transition import Bools, Changes, Floats, Ints, WayTable
from slurwright.plan.values import Technique

__all__ = ["Decreed", "Pair"]

Pair = tuple[tuple[int, str], tuple[int, str]]
"""Two ways: (note at concert pitch, fingering) each."""


@dataclass(frozen=True)
class Decreed:
    """A player of whom only what is said here is known; the priors hold for all else."""

    breaks: Mapping[tuple[Pair, Technique], float] = field(default_factory=dict)
    """Break risk of a pair of ways in a technique."""
    attempts: float = 20.0
    """Behind each of them."""
    everywhere: float = 0.0
    """Added to the logit of every other slur's risk, which no attempt was made at."""
    hands: Mapping[tuple[int, str], float] = field(default_factory=dict)
    """Chance that a way is at hand."""
    misses: float | None = None
    """Chance that fingers which move do not arrive."""
    techniques: Mapping[Technique, float] = field(default_factory=dict)
    """Chance that a technique comes as meant."""
    asked: list[tuple[str, int]] = field(default_factory=list)
    """What was asked, and about how many."""

    def break_risks(self, prior: Floats, table: WayTable, changes: Changes, technique: Technique) -> Floats:
        self.asked.append(("break_risks", len(prior)))
        return self._risks(prior, table, changes, technique)

    def risk_figures(self, prior: Floats, table: WayTable, changes: Changes, technique: Technique) -> RiskFigures:
        self.asked.append(("risk_figures", len(prior)))
        risk = self._risks(prior, table, changes, technique)
        here = sum(
            (self._at(pair, table, changes) for pair, one in self.breaks if one is technique),
            np.zeros(len(prior), dtype=np.bool_),
        )
        return RiskFigures(
            prior=prior, risk=risk, low=risk / 2, high=(1 + risk) / 2, attempts=np.where(here, self.attempts, 0.0)
        )

    def at_hand(self, prior: Floats, table: WayTable, rows: Ints) -> Floats:
        self.asked.append(("at_hand", len(prior)))
        found = prior.copy()
        for (midi, fingering), chance in self.hands.items():
            found[(table.midi[rows] == midi) & (_labels(table)[rows] == fingering)] = chance
        return found

    def finger_misses(self, prior: Floats, table: WayTable, changes: Changes) -> Floats:
        self.asked.append(("finger_misses", len(prior)))
        return prior if self.misses is None else np.where(prior > 0.0, self.misses, prior)

    def comes_as_meant(self, prior: float, technique: Technique) -> float:
        return self.techniques.get(technique, prior)

    def _risks(self, prior: Floats, table: WayTable, changes: Changes, technique: Technique) -> Floats:
        found = prior.copy()
        if self.everywhere:
            found = 1.0 / (1.0 + (1.0 - prior) / prior * np.exp(-self.everywhere))
        for (pair, one), risk in self.breaks.items():
            if one is technique:
                found[self._at(pair, table, changes)] = risk
        return found

    def _at(self, pair: Pair, table: WayTable, changes: Changes) -> Bools:
        labels = _labels(table)
        first, second = (
            (table.midi[rows] == midi) & (labels[rows] == fingering)
            for (midi, fingering), rows in zip(pair, (changes.source, changes.target), strict=True)
        )
        both: Bools = first & second
        return both


def _labels(table: WayTable) -> np.ndarray[tuple[int], np.dtype[np.str_]]:
    return np.array(table.fingerings, dtype=np.str_)
