"""The slurs that a sheet can be made of: out of studied parts, each with its chances and its history."""

import math
from collections import defaultdict
from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date

from slurwright.evidence.attempts import Attempt, Source, Tried
from slurwright.horn import Horn
from slurwright.jobs.tried import label_at, part_tried, tried_at
from slurwright.jobs.words import note_name
from slurwright.listen.figure import NINE_IN_TEN
from slurwright.listen.kept import TakenWay
from slurwright.plan import Chances, SlurReport, Technique
from slurwright.plan.study import Study
from slurwright.practice.exercise.passage import bars_around, bars_text
from slurwright.practice.exercise.score import beats_dotted
from slurwright.practice.sheet.table import PracticeTable
from slurwright.practice.sheet.targets import Rescue, Target, TriedDay

__all__ = ["History", "histories_of", "targets_of"]

_GOOD_FROM, _ROUGH_FROM = 0.75, 0.15
"""How sure it must be that a slur spoke for the try to count as good, and as rough; between the beliefs of an ear."""
_SAME_DYNAMIC = 1.0
"""Tries at most so far from the dynamic that is asked for are tries of the same slur [steps]."""

_Pair = tuple[tuple[int, str, int], tuple[int, str, int], Technique]


@dataclass(frozen=True, slots=True)
class History:
    """What was tried of one pair of ways in one technique, try by try."""

    tries: tuple[tuple[date, float, float], ...]
    """Day, dynamic [steps from mf], how sure it is that it spoke [1]."""

    def days_at(self, dynamic: float) -> tuple[TriedDay, ...]:
        """Count by day the tries that were about as loud as a dynamic [steps from mf]."""
        counts: dict[date, list[int]] = defaultdict(lambda: [0, 0, 0])
        for day, played, spoke in self.tries:
            if abs(played - dynamic) <= _SAME_DYNAMIC:
                counts[day][0 if spoke >= _GOOD_FROM else 1 if spoke >= _ROUGH_FROM else 2] += 1
        return tuple(TriedDay(day, *counts[day]) for day in sorted(counts))


def histories_of(attempts: Iterable[Attempt], horns: Collection[str]) -> dict[_Pair, History]:
    """Gather what was tried on a horn, by pair of ways and technique.

    Args:
        attempts: of the player.
        horns: ids under which attempts on this horn go.
    """
    found: dict[_Pair, list[tuple[date, float, float]]] = defaultdict(list)
    for one in attempts:
        if one.horn in horns:
            sure = one.spoke if one.source is Source.EAR else float(one.spoke >= 0.5)
            found[_pair_of(one.tried)].append((one.played_on, one.tried.dynamic, sure))
    return {pair: History(tuple(tries)) for pair, tries in found.items()}


def _key_of(tried: Tried) -> str:
    """Name a slur so that it is known again in any part: by its ways and its technique."""
    first, second = (f"{way.sounding} {way.fingering}/{way.partial}" for way in tried.ways)
    return f"{first} > {second} {tried.technique}"


def targets_of(
    studies: Sequence[Study], histories: dict[_Pair, History], *, chances: Chances, table: PracticeTable
) -> tuple[Target, ...]:
    """List the slurs of some parts that may be practised, each once however often it comes.

    A slur that comes several times is taken where it is most likely to break, softest and quickest as a rule.

    Args:
        studies: of the parts.
        histories: what was tried on this horn.
        chances: tell where a technique can be played.
        table: from which risk a slur is worth practising.
    """
    found: dict[str, list[Target]] = defaultdict(list)
    for number, study in enumerate(studies):
        print_ = part_tried(study, file="").fingerprint
        for report in study.reports:
            one = _target(study, report, histories, number, print_, chances=chances, table=table)
            if report.weak or one.risk >= table.shape.least_risk or one.days:
                found[one.key].append(one)
    return tuple(_joined(same) for same in found.values())


def _joined(same: Sequence[Target]) -> Target:
    """Count how often a slur comes; risks that differ are weighed so that the expected breaks are right."""
    worst = max(same, key=lambda one: (one.risk, -one.part, -one.move))
    breaks = sum(one.risk for one in same)
    return replace(worst, times=max(1, round(breaks / worst.risk)) if worst.risk > 0 else len(same))


def _target(
    study: Study,
    report: SlurReport,
    histories: dict[_Pair, History],
    number: int,
    fingerprint: str,
    *,
    chances: Chances,
    table: PracticeTable,
) -> Target:
    move = study.line.moves[report.move]
    tried = tried_at(study, report.move, chances=chances)
    low, high = _interval(report, table.gain.spread)
    history = histories.get(_pair_of(tried))
    bars = bars_around(study, report.move)
    return Target(
        key=_key_of(tried),
        tried=tried,
        names=(note_name(study, move.source), note_name(study, move.target)),
        risk=report.break_risk,
        low=low,
        high=high,
        prior=report.learnt.prior if report.learnt else report.break_risk,
        attempts=report.learnt.attempts if report.learnt else 0.0,
        height=_height(tried, study.horn),
        passage_s=_passage_s(study, report.move, bars),
        dotted=beats_dotted(study.part.measure_of(study.part.notes[study.line.sounds[move.source].notes[0]]).time),
        bars=bars_text(study, bars) if bars else "",
        part=number,
        move=report.move,
        fingerprint=fingerprint,
        label=label_at(study, move.source),
        rescue=_rescue(report, tried),
        days=history.days_at(tried.dynamic) if history else (),
    )


def _interval(report: SlurReport, spread: float) -> tuple[float, float]:
    """Nine in ten of what the risk may be: learnt, or as players differ from the prior."""
    if report.learnt is not None:
        return report.learnt.low, report.learnt.high
    if not 0.0 < report.break_risk < 1.0:
        return report.break_risk, report.break_risk
    centre = math.log(report.break_risk / (1.0 - report.break_risk)) * math.sqrt(1.0 + math.pi * spread**2 / 8.0)
    low, high = (1.0 / (1.0 + math.exp(-(centre + side * NINE_IN_TEN * spread))) for side in (-1.0, 1.0))
    return low, high


def _height(tried: Tried, horn: Horn) -> float:
    low, high = (pitch.midi for pitch in horn.comfortable)
    upper = max(way.sounding.midi for way in tried.ways)
    return min(1.0, max(0.0, (upper - low) / max(1, high - low)))


def _passage_s(study: Study, move: int, bars: Sequence[int]) -> float:
    """How long the bars around a slur last; of a slur over a repeat the two notes."""
    notes = study.part.notes
    lasts_s = sum(sound.duration_s for sound in study.line.sounds if notes[sound.notes[0]].measure in set(bars))
    change = study.line.moves[move]
    return max(lasts_s, change.time_s + study.line.sounds[change.target].duration_s)


def _rescue(report: SlurReport, tried: Tried) -> Rescue | None:
    """The choice that leaves the best chance around the slur, and breaks less often than it does as it stands."""
    better = [one for one in report.choices[1:] if one.break_risk < report.break_risk]
    if not better:
        return None
    best = max(better, key=lambda one: one.chance_around)
    ways = tuple(
        TakenWay(asked.written, asked.sounding, way.fingering, way.partial)
        for asked, way in zip(tried.ways, best.ways, strict=True)
    )
    return Rescue(best.name, replace(tried, ways=(ways[0], ways[1]), technique=best.technique), best.break_risk)


def _pair_of(tried: Tried) -> _Pair:
    first, second = ((way.sounding.midi, way.fingering, way.partial) for way in tried.ways)
    return first, second, tried.technique
