"""How each slur went over the weeks, in every way in which it was tried, and what is to be dropped.

Attempts are gathered by horn, by the two notes, then by the ways and the technique. All chances of one way to play a
slur are meant under the same circumstances, the middle ones of its attempts: who practised at mf and now plays at pp
has not become worse by that.
"""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from statistics import median

import numpy as np

from slurwright.evidence.attempts import Attempt, Became, Source, Tried
from slurwright.evidence.learning.logistic import chance, mean_chance
from slurwright.evidence.progress.level import joint_nodes, quantiles
from slurwright.evidence.progress.table import SlurRules
from slurwright.evidence.progress.tracks import Track, Tracker
from slurwright.evidence.progress.values import (
    Change,
    CurvePoint,
    SlurCurve,
    SlurProgress,
    Verdict,
    Versus,
    WeekCount,
)
from slurwright.horn import Horn, HornKind
from slurwright.listen.figure import NINE_IN_TEN, Figure
from slurwright.plan import Technique
from slurwright.plan.transition import Floats

__all__ = ["slur_progress"]

_MOST_POINTS = 40
"""A curve has no more points than can be told apart on paper; ours [1]."""

_SlurKey = tuple[str, int, int]
_WayKey = tuple[tuple[str, int], tuple[str, int], Technique]


@dataclass(frozen=True, slots=True)
class _Gathered:
    """Attempts at one slur in one way."""

    attempts: tuple[Attempt, ...]
    """In order of time."""
    days: tuple[date, ...]
    """Of each of them; none after today."""
    at: Tried
    normal: bool

    @property
    def points(self) -> tuple[date, ...]:
        """Days at which its curve is asked for: the first, every week's last, the last."""
        first, last = self.days[0], self.days[-1]
        weeks = max(1, (last - first).days // 7 + 1)
        step = 7 * -(-weeks // _MOST_POINTS)
        sunday = first + timedelta(days=6 - first.weekday())
        between = [sunday + timedelta(days=ahead) for ahead in range(0, (last - sunday).days, step)]
        return tuple(sorted({first, *(day for day in between if first < day < last), last}))


def slur_progress(
    attempts: Sequence[Attempt],
    horns: Mapping[str, Horn],
    tracker: Tracker,
    *,
    rules: SlurRules,
    today: date,
    since: date | None = None,
) -> tuple[SlurProgress, ...]:
    """Say how each slur went, the most tried first.

    Args:
        attempts: those that are to be told of, in any order; what is learnt may know more.
        horns: the player's horns by id.
        tracker: what was learnt of the player.
        rules: when something is said.
        today: no attempt counts as later.
        since: earlier attempts are not told of; None for all.
    """
    slurs: dict[_SlurKey, dict[_WayKey, list[Attempt]]] = defaultdict(lambda: defaultdict(list))
    for attempt in attempts:
        if since is None or attempt.played_on >= since:
            first, second = attempt.tried.ways
            key = (attempt.horn, first.sounding.midi, second.sounding.midi)
            slurs[key][_way_key(attempt)].append(attempt)
    found = []
    for (horn, *_), by_way in slurs.items():
        ways = [_gathered(mine, horns.get(horn), today) for mine in by_way.values()]
        known = [way for way in ways if tracker.has(horn, way.at)]
        if known:
            found.append(_progress(horn, known, tracker, rules))
    return tuple(sorted(found, key=lambda slur: (-slur.tried, slur.horn, _midis(slur))))


def _way_key(attempt: Attempt) -> _WayKey:
    first, second = attempt.tried.ways
    return (first.fingering, first.partial), (second.fingering, second.partial), attempt.tried.technique


def _midis(slur: SlurProgress) -> tuple[int, int]:
    first, second = slur.curves[0].ways
    return first.sounding.midi, second.sounding.midi


def _gathered(mine: Sequence[Attempt], horn: Horn | None, today: date) -> _Gathered:
    ordered = sorted(mine, key=lambda attempt: attempt.played_on)
    tried = [attempt.tried for attempt in ordered]
    last = tried[-1]
    at = replace(
        last,
        dynamic=median(one.dynamic for one in tried),
        tempo_qpm=median(one.tempo_qpm for one in tried),
        time_s=median(one.time_s for one in tried),
        hold_s=median(one.hold_s for one in tried),
    )
    days = tuple(min(today, attempt.played_on) for attempt in ordered)
    return _Gathered(tuple(ordered), days, at, horn is not None and _is_normal(last, horn))


def _is_normal(tried: Tried, horn: Horn) -> bool:
    """Say whether a slur was played on normal fingerings and as a matter of course."""
    first, second = tried.ways
    on_normal = all(horn.normal.get(way.sounding.midi) == (way.fingering, way.partial) for way in tried.ways)
    smears = horn.kind is HornKind.SLIDE and first.partial == second.partial and first.fingering != second.fingering
    return on_normal and tried.technique is (Technique.LEGATO_TONGUE if smears else Technique.PLAIN)


def _progress(horn: str, ways: Sequence[_Gathered], tracker: Tracker, rules: SlurRules) -> SlurProgress:
    ordered = sorted(ways, key=lambda way: (not way.normal, -len(way.attempts), way.at.technique, _names(way)))
    normal = ordered[0] if ordered[0].normal else None
    curves = []
    for way in ordered:
        curve = _curve(way, tracker.track(horn, [(way.at, way.points)]), rules)
        if normal is not None and way is not normal:
            curve = replace(curve, versus=_versus(horn, way, normal, tracker, rules))
        curves.append(curve)
    # What is logged by ear names its place in the part; a take of a trial knows the bars of its page alone.
    latest = max(
        (attempt for way in ways for attempt in way.attempts),
        key=lambda attempt: (attempt.source is Source.EAR, attempt.played_on),
    )
    return SlurProgress(horn, latest.label, tuple(curves))


def _names(way: _Gathered) -> tuple[str, ...]:
    return tuple(taken.fingering for taken in way.at.ways)


def _curve(way: _Gathered, track: Track, rules: SlurRules) -> SlurCurve:
    curve = tuple(
        CurvePoint(day, value) for day, value in zip(way.points, _speaking(track.mean, track.cov), strict=True)
    )
    change = _change(track, curve)
    tried, days = len(way.attempts), len(set(way.days))
    return SlurCurve(
        ways=way.at.ways,
        technique=way.at.technique.value,
        normal=way.normal,
        tried=tried,
        spoke=_spoke(way.attempts),
        days=days,
        weeks=_weeks(way),
        at=way.at,
        prior=1.0 - float(track.prior[0]),
        curve=curve,
        change=change,
        verdict=_verdict(change, tried, days, rules),
    )


def _speaking(mean: Floats, cov: Floats) -> list[Figure]:
    """Chances that slurs speak, each with its interval."""
    variance = np.maximum(0.0, np.diag(cov))
    reach = NINE_IN_TEN * np.sqrt(variance)
    figures = (1.0 - mean_chance(mean, variance), 1.0 - chance(mean + reach), 1.0 - chance(mean - reach))
    return [Figure(*each) for each in zip(*(figure.tolist() for figure in figures), strict=True)]


def _change(track: Track, curve: Sequence[CurvePoint]) -> Change:
    """Say by how much more surely a slur speaks at the end."""
    if len(curve) == 1:
        return Change(0.5, Figure(0.0, 0.0, 0.0), curve[0], curve[0])
    gain, weights = _gains(track, 0, len(curve) - 1)
    return Change(_share_above(gain, weights, 0.0), quantiles(gain, weights), curve[0], curve[-1])


def _gains(track: Track, before: int, after: int) -> tuple[Floats, Floats]:
    """By how much more surely one entry of a track speaks than another: values and their weights."""
    ends = [before, after]
    points, weights = joint_nodes(track.mean[ends], track.cov[np.ix_(ends, ends)])
    breaks = chance(points)
    return breaks[:, 0] - breaks[:, 1], weights


def _share_above(values: Floats, weights: Floats, limit: float) -> float:
    above = values > limit
    return float(weights @ (above + 0.5 * (values == limit)))


def _spoke(attempts: Sequence[Attempt]) -> int:
    return sum(attempt.became is Became.SPOKE for attempt in attempts)


def _weeks(way: _Gathered) -> tuple[WeekCount, ...]:
    weeks: dict[date, list[Attempt]] = defaultdict(list)
    for day, attempt in zip(way.days, way.attempts, strict=True):
        weeks[day - timedelta(days=day.weekday())].append(attempt)
    return tuple(WeekCount(monday, len(mine), _spoke(mine)) for monday, mine in sorted(weeks.items()))


def _verdict(change: Change, tried: int, days: int, rules: SlurRules) -> Verdict:
    if tried < rules.least_attempts or days < rules.least_days:
        return Verdict.UNKNOWN
    if change.better >= rules.sure and change.size.value >= rules.worth:
        return Verdict.BETTER
    if change.better <= 1.0 - rules.sure and change.size.value <= -rules.worth:
        return Verdict.WORSE
    if change.end.value.value >= rules.holds:
        return Verdict.HOLDS
    return Verdict.SAME if tried >= rules.practised else Verdict.UNKNOWN


def _versus(horn: str, way: _Gathered, normal: _Gathered, tracker: Tracker, rules: SlurRules) -> Versus:
    """Compare a way to play a slur with its normal one, as of the later of their last days."""
    at = way.at
    same = replace(normal.at, dynamic=at.dynamic, tempo_qpm=at.tempo_qpm, time_s=at.time_s, hold_s=at.hold_s)
    day = max(way.days[-1], normal.days[-1])
    track = tracker.track(horn, [(same, (day,)), (at, (day,))])
    gain, weights = _gains(track, 0, 1)
    settled = min(len(way.attempts), len(normal.attempts)) >= rules.settle
    no_better = _share_above(gain, weights, rules.worth) <= 1.0 - rules.sure
    return Versus(_share_above(gain, weights, 0.0), quantiles(gain, weights), drop=settled and no_better)
