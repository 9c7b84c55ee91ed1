"""How each note lies against its target from week to week, and whether it came nearer to it."""

from collections import defaultdict
from collections.abc import Sequence
from datetime import date

import numpy as np

from slurwright.evidence.progress.cells import GatheredNotes, gathered
from slurwright.evidence.progress.level import Level, joint_nodes, quantiles
from slurwright.evidence.progress.pitch import Pitches, PlacedNote, pitches_of
from slurwright.evidence.progress.table import NoteRules
from slurwright.evidence.progress.values import Change, CurvePoint, NoteCurve, NotePoint, TakeOffset, Verdict
from slurwright.listen.figure import NINE_IN_TEN, Figure
from slurwright.listen.kept import TakenNote

__all__ = ["note_progress"]


def note_progress(
    taken: Sequence[TakenNote], *, horn: str, rules: NoteRules
) -> tuple[tuple[NoteCurve, ...], tuple[TakeOffset, ...]]:
    """Say how each note of one horn lies from week to week, and what whole takes are off.

    Args:
        taken: notes of takes on that horn.
        horn: its id.
        rules: what is believed before, and when something is said.
    """
    notes = gathered(taken)
    if notes is None:
        return (), ()
    found = pitches_of(notes.cells, notes.placed, rules)
    curves = tuple(_curve(notes, place, found, horn=horn, rules=rules) for place in range(len(notes.ways)))
    return curves, _offsets(notes, found, horn=horn, rules=rules)


def _curve(notes: GatheredNotes, place: int, found: Pitches, *, horn: str, rules: NoteRules) -> NoteCurve:
    one, level = notes.placed[place], found.levels[place]
    points = tuple(_point(notes, int(cell), found) for cell in one.cells)
    curve = _weekly(notes, one, level)
    change = _change(level, curve)
    days = len({point.day for point in points})
    return NoteCurve(horn, notes.ways[place], points, days, curve, change, _verdict(change, points, days, rules))


def _point(notes: GatheredNotes, cell: int, found: Pitches) -> NotePoint:
    take = notes.cells.take[cell]
    cents = float(notes.cells.cents[cell] - found.offset[take])
    return NotePoint(
        take_id=notes.takes[take][0],
        day=notes.takes[take][1],
        times=int(notes.times[cell]),
        cents=_around(cents, float(np.sqrt(notes.cells.variance[cell]))),
    )


def _weekly(notes: GatheredNotes, one: PlacedNote, level: Level) -> tuple[CurvePoint, ...]:
    """Give a note's place once a week, on the last day of that week on which it was played; first on the first."""
    days: dict[int, list[date]] = defaultdict(list)
    for cell, knot in zip(one.cells, one.knots, strict=True):
        days[int(knot)].append(notes.day(int(cell)))
    return tuple(
        CurvePoint(max(days[knot]) if knot else min(days[knot]), _around(float(mean), float(sd)))
        for knot, (mean, sd) in enumerate(zip(level.mean, level.sd, strict=True))
    )


def _around(mean: float, sd: float) -> Figure:
    return Figure(mean, mean - NINE_IN_TEN * sd, mean + NINE_IN_TEN * sd)


def _change(level: Level, curve: Sequence[CurvePoint]) -> Change:
    """Say how much nearer to its target a note came."""
    ends = [0, len(curve) - 1]
    points, weights = joint_nodes(level.mean[ends], level.cov[np.ix_(ends, ends)])
    nearer = np.abs(points[:, 0]) - np.abs(points[:, 1])
    better = float(weights @ ((nearer > 0.0) + 0.5 * (nearer == 0.0)))
    if len(curve) == 1:
        return Change(0.5, Figure(0.0, 0.0, 0.0), curve[0], curve[0])
    return Change(better, quantiles(nearer, weights), curve[0], curve[-1])


def _verdict(change: Change, points: Sequence[NotePoint], days: int, rules: NoteRules) -> Verdict:
    if len(points) < rules.least_takes or days < rules.least_days:
        return Verdict.UNKNOWN
    if change.better >= rules.sure and change.size.value >= rules.worth_cents:
        return Verdict.BETTER
    if change.better <= 1.0 - rules.sure and change.size.value <= -rules.worth_cents:
        return Verdict.WORSE
    return Verdict.HOLDS if abs(change.end.value.value) <= rules.holds_cents else Verdict.SAME


def _offsets(notes: GatheredNotes, found: Pitches, *, horn: str, rules: NoteRules) -> tuple[TakeOffset, ...]:
    counts = np.bincount(notes.cells.take, minlength=len(notes.takes))
    sds = np.sqrt(np.diag(found.offset_cov))
    told = []
    for place, (take, day) in enumerate(notes.takes):
        cents = _around(float(found.offset[place]), float(sds[place]))
        far = abs(cents.value) >= rules.told_cents and cents.low * cents.high > 0.0
        told.append(TakeOffset(take, horn, day, int(counts[place]), cents, told=far))
    return tuple(told)
