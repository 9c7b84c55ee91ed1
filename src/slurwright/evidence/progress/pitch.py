"""What each note's own place is over weeks, and what whole takes are off: both at once.

What is measured of a note in a take is the sum of the note's own place, which wanders from week to week, of what the
whole take is off (a cold horn, a moved slide), and of a scatter from take to take with heavy tails, so that a bad day
bends nothing. Given the sizes of scatter and wandering all of it is normal, and what takes are off is solved exactly
with every note's places eliminated. The sizes are not assumed: a few are tried, all notes of a player decide together
how large the scatter is and how notes usually wander, each note how much it does itself.

Takes are off by 0 on average, by definition: what all takes share belongs to the notes.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from slurwright.evidence.progress.level import Level, Levels, mixed, wandering
from slurwright.evidence.progress.table import NoteRules
from slurwright.plan.transition import Floats, Ints

__all__ = ["Pitches", "PlacedNote", "TakenCells", "pitches_of"]

_TURNS = 6
_EVEN = 4.0
"""How many notes' worth the belief counts that notes wander as likely by any size as by any other; ours [1]."""


@dataclass(frozen=True, slots=True, eq=False)
class PlacedNote:
    """Which cells are one note's, and the knots of weeks at which its place is asked for."""

    cells: Ints
    knots: Ints
    """One entry a cell."""
    gaps_weeks: Floats


@dataclass(frozen=True, slots=True, eq=False)
class TakenCells:
    """What was measured of each note in each take; one entry a pair of note and take."""

    take: Ints
    cents: Floats
    variance: Floats
    """Of the measurement, and of the scatter within a take. [cents^2]"""
    takes: int
    """How many takes there are."""


@dataclass(frozen=True, slots=True, eq=False)
class Pitches:
    """What is found."""

    offset: Floats
    """What each take is off, shape=(takes,) [cents]."""
    offset_cov: Floats
    """shape=(takes, takes) [cents^2]."""
    levels: tuple[Level, ...]
    """Each note's place at its knots. [cents]"""
    spread: Floats
    """Variance of each cell around its note's place, larger for a bad day. [cents^2]"""


@dataclass(frozen=True, slots=True, eq=False)
class _Sizes:
    """Sizes that are tried, and what counts how much."""

    scatter: Floats
    wander: Floats
    """Both with one entry a pair of sizes. [cents]"""
    shares: Floats
    """How much each pair counts for each note, shape=(notes, pairs); rows sum to 1."""

    @property
    def scatter_var(self) -> float:
        """As all notes have it [cents^2]."""
        return float((self.shares @ self.scatter**2).mean())


def pitches_of(cells: TakenCells, notes: Sequence[PlacedNote], rules: NoteRules) -> Pitches:
    """Find what takes are off and where notes lie.

    Args:
        cells: what was measured.
        notes: which of the cells are whose.
        rules: what is believed before.
    """
    scatter, wander = (grid.ravel() for grid in np.meshgrid(rules.scatter_cents, rules.wander_cents, indexing="ij"))
    sizes = _Sizes(scatter, wander, np.full((len(notes), len(scatter)), 1.0 / len(scatter)))
    tail = np.ones(len(cells.cents))
    found = _solved(cells, notes, sizes, tail=tail, rules=rules)
    for turn in range(_TURNS):
        sizes = _sized(cells, notes, sizes, found=found, tail=tail, rules=rules)
        found = _solved(cells, notes, sizes, tail=tail, rules=rules, last=turn == _TURNS - 1)
        tail = _tails(cells, notes, found, scatter_var=sizes.scatter_var, tail=rules.tail)
    return _centred(found)


def _sized(
    cells: TakenCells, notes: Sequence[PlacedNote], sizes: _Sizes, *, found: Pitches, tail: Floats, rules: NoteRules
) -> _Sizes:
    """Weigh the sizes: one scatter for all notes, a wandering for each that is drawn towards what is usual."""
    grid = len(rules.scatter_cents), len(rules.wander_cents)
    usual = sizes.shares.reshape(-1, *grid).sum(axis=(0, 1)) + _EVEN
    evidence = np.array(
        [_assumed(cells, note, found.offset, sizes, tail=tail, rules=rules).evidence for note in notes]
    ).reshape(-1, *grid)
    evidence += np.log(usual / usual.sum())
    by_wander = np.exp(evidence - evidence.max(axis=2, keepdims=True))
    each_scatter = (evidence.max(axis=2) + np.log(by_wander.sum(axis=2))).sum(axis=0)
    scatter = np.exp(each_scatter - each_scatter.max())
    shares = by_wander / by_wander.sum(axis=2, keepdims=True) * (scatter / scatter.sum())[None, :, None]
    return replace(sizes, shares=shares.reshape(len(notes), -1))


def _solved(
    cells: TakenCells,
    notes: Sequence[PlacedNote],
    sizes: _Sizes,
    *,
    tail: Floats,
    rules: NoteRules,
    last: bool = False,
) -> Pitches:
    """Solve what takes are off, and then each note's places, for sizes that are known as well as they are.

    Before the last time the places are taken as if what takes are off were known exactly.
    """
    spread = (cells.variance + sizes.scatter_var) / tail
    precision = np.diag(np.bincount(cells.take, 1.0 / spread, minlength=cells.takes) + 1.0 / rules.take_sd_cents**2)
    pull = np.bincount(cells.take, cells.cents / spread, minlength=cells.takes)
    answers: list[Floats] = []
    for note, shares in zip(notes, sizes.shares, strict=True):
        at, takes = note.cells, cells.take[note.cells]
        plain = wandering(
            note.knots,
            cells.cents[at],
            spread[None, at],
            gaps_weeks=note.gaps_weeks,
            level_sd=rules.level_sd_cents,
            wander_sd=np.sqrt(shares @ sizes.wander**2)[None],
        )
        # How the note's places answer where a take is off by 1.
        answer = -plain.cov[0][:, note.knots] / spread[at]
        answers.append(answer)
        precision[np.ix_(takes, takes)] += answer[note.knots] / spread[at][:, None]
        pull[takes] -= plain.mean[0][note.knots] / spread[at]
    cov = np.linalg.inv(precision)
    offset = cov @ pull
    levels = []
    for note, answer, shares in zip(notes, answers, sizes.shares, strict=True):
        alone = mixed(_assumed(cells, note, offset, sizes, tail=tail, rules=rules), shares)
        level = Level(alone.mean + offset.mean(), alone.cov)
        levels.append(_widened(level, answer, cells.take[note.cells], cov) if last else level)
    return Pitches(offset, cov, tuple(levels), spread)


def _widened(level: Level, answer: Floats, takes: Ints, offset_cov: Floats) -> Level:
    """Say how much less sure a note's place is, since what takes are off is not known exactly."""
    # What all takes share is the note's: the offsets' mean goes from them to it.
    moves = np.full((len(level.mean), len(offset_cov)), 1.0 / len(offset_cov))
    moves[:, takes] += answer
    cov = level.cov + moves @ offset_cov @ moves.T
    return Level(level.mean, (cov + cov.T) / 2.0)


def _assumed(
    cells: TakenCells, note: PlacedNote, offset: Floats, sizes: _Sizes, *, tail: Floats, rules: NoteRules
) -> Levels:
    """Say where a note lay under every pair of sizes."""
    at = note.cells
    return wandering(
        note.knots,
        cells.cents[at] - offset[cells.take[at]],
        (cells.variance[at] + sizes.scatter[:, None] ** 2) / tail[at],
        gaps_weeks=note.gaps_weeks,
        level_sd=rules.level_sd_cents,
        wander_sd=sizes.wander,
    )


def _tails(
    cells: TakenCells, notes: Sequence[PlacedNote], found: Pitches, *, scatter_var: float, tail: float
) -> Floats:
    """Say how much each cell counts: little where it lies further out than scatter explains."""
    squared = np.zeros(len(cells.cents))
    centre = found.offset.mean()
    for note, level in zip(notes, found.levels, strict=True):
        at = note.cells
        off = cells.cents[at] - (found.offset[cells.take[at]] - centre) - level.mean[note.knots]
        squared[at] = off**2 + np.diag(level.cov)[note.knots]
    weights: Floats = (tail + 1.0) / (tail + squared / (cells.variance + scatter_var))
    return weights


def _centred(found: Pitches) -> Pitches:
    """Let takes be off by 0 on average."""
    count = len(found.offset)
    centre = np.eye(count) - 1.0 / count
    return replace(found, offset=found.offset - found.offset.mean(), offset_cov=centre @ found.offset_cov @ centre)
