"""How loud is each place of a part: levels of the printed marks, joined by hairpins.

Levels are steps from mezzo forte, one step a printed degree (common practice): pp -3, p -2, mp -1, mf 0, f 1,
ff 2. A hairpin leads straight to the mark that follows it; where none follows, or one that contradicts it, it
leads one step up or down. "cresc." and "dim." last until the next mark. An accent such as sfz holds for its own
place only and is never softer than what surrounds it; fp falls at once to its second level, and a hairpin
before it leads to its first.
"""

import re
from bisect import bisect_left, bisect_right
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import pairwise

from slurwright.score.part import Direction, DirectionKind, Hairpin

__all__ = [
    "DYNAMIC_LEVELS",
    "DynamicCourse",
    "MarkedLevel",
    "dynamic_course",
    "hairpin_of_words",
    "level_of_mark",
    "mark_of_level",
]

_SOFTEST, _LOUDEST = -6.0, 5.0
_LINGER_QUARTERS = 1
"""A mark this close behind a hairpin's end is where the hairpin leads (common practice) [quarters]."""
_WORDS_LAST_QUARTERS = 8
"""How long "cresc." lasts when no mark ever follows (common practice) [quarters]."""


@dataclass(frozen=True, slots=True)
class MarkedLevel:
    """What a printed dynamic does: the level at its own place, and the level that stays."""

    at: float
    """Level of the note that carries it [steps from mf]."""
    after: float | None
    """Level from there on; None leaves what was in force [steps from mf]."""


DYNAMIC_LEVELS: Mapping[str, float] = {
    "pppp": -5.0,
    "ppp": -4.0,
    "pp": -3.0,
    "p": -2.0,
    "mp": -1.0,
    "mf": 0.0,
    "f": 1.0,
    "ff": 2.0,
    "fff": 3.0,
    "ffff": 4.0,
}
"""The plain degrees, softest first [steps from mf]."""


def _steady(level: float) -> MarkedLevel:
    return MarkedLevel(level, level)


_MARKS: Mapping[str, MarkedLevel] = {
    "pppppp": _steady(_SOFTEST),
    "ppppp": _steady(_SOFTEST),
    **{mark: _steady(level) for mark, level in DYNAMIC_LEVELS.items()},
    "fffff": _steady(_LOUDEST),
    "ffffff": _steady(_LOUDEST),
    "n": _steady(_SOFTEST),
    "fp": MarkedLevel(1.0, -2.0),
    "ffp": MarkedLevel(2.0, -2.0),
    "fpp": MarkedLevel(1.0, -3.0),
    "mfp": MarkedLevel(0.0, -2.0),
    "pf": MarkedLevel(-2.0, 1.0),
    "sfp": MarkedLevel(1.0, -2.0),
    "sfpp": MarkedLevel(1.0, -3.0),
    "sfzp": MarkedLevel(1.0, -2.0),
    "sf": MarkedLevel(1.0, None),
    "sfz": MarkedLevel(1.0, None),
    "fz": MarkedLevel(1.0, None),
    "rf": MarkedLevel(1.0, None),
    "rfz": MarkedLevel(1.0, None),
    "sffz": MarkedLevel(2.0, None),
    "sff": MarkedLevel(2.0, None),
    "sfffz": MarkedLevel(3.0, None),
}
# What follows these words is asked not to be done.
_DENIED = r"(?<!\bsenza )(?<!\bnon )(?<!\bno )"
_GROWS = re.compile(rf"{_DENIED}\b(?:cres(?:c(?:endo)?)?|growing)\b", re.IGNORECASE)
_SHRINKS = re.compile(
    rf"{_DENIED}\b(?:dim(?:in(?:uendo)?)?|decres(?:c(?:endo)?)?|calando|morendo|perdendosi|smorz(?:ando)?)\b",
    re.IGNORECASE,
)


def level_of_mark(mark: str) -> MarkedLevel | None:
    """Say what a printed dynamic such as "mf" or "fp" does; None for a text that is no dynamic."""
    return _MARKS.get(mark.strip().lower())


def mark_of_level(level: float) -> str:
    """Say which plain degree lies nearest to a level; half way between two it is the softer.

    Args:
        level: how loud [steps from mf].
    """
    return min(DYNAMIC_LEVELS, key=lambda mark: abs(DYNAMIC_LEVELS[mark] - level))


def hairpin_of_words(text: str) -> bool | None:
    """Say whether words open a crescendo (True), a diminuendo (False) or neither (None)."""
    if _SHRINKS.search(text):
        return False
    return True if _GROWS.search(text) else None


@dataclass(frozen=True, slots=True)
class DynamicCourse:
    """The level at every place of a part, ready to be asked."""

    starts: tuple[float, ...]
    """Where each stretch begins, rising [quarters]."""
    ends: tuple[float, ...]
    levels: tuple[tuple[float, float], ...]
    """Level at the start and at the end of each stretch [steps from mf]."""
    accents: Mapping[float, float]
    """Places whose own level differs from the level that stays [steps from mf]."""
    start_level: float = 0.0

    def at(self, onset_quarter: Fraction | float) -> float:
        """Level at a place [steps from mf].

        Args:
            onset_quarter: place in the written part [quarters].

        """
        place = float(onset_quarter)
        if self.accents and (accent := self.accents.get(place)) is not None:
            return accent
        found = bisect_right(self.starts, place) - 1
        if found < 0:
            return self.start_level
        first, last = self.levels[found]
        start, end = self.starts[found], self.ends[found]
        return last if place >= end else first + (last - first) * (place - start) / (end - start)


def dynamic_course(
    directions: Iterable[Direction], hairpins: Sequence[Hairpin], *, start_level: float = 0.0
) -> DynamicCourse:
    """Work out the level at every place from the marks, the words "cresc." and "dim.", and the hairpins.

    Args:
        directions: those of the part, in any order; dynamics and words count.
        hairpins: the drawn ones.
        start_level: level before the first mark [steps from mf].

    """
    marks: dict[Fraction, MarkedLevel] = {}
    worded: list[tuple[Fraction, bool]] = []
    for direction in directions:
        if direction.kind is DirectionKind.DYNAMIC and (marked := level_of_mark(direction.text)) is not None:
            marks[direction.onset_quarter] = marked
        if direction.kind is not DirectionKind.REHEARSAL and (grows := hairpin_of_words(direction.text)) is not None:
            worded.append((direction.onset_quarter, grows))
    stays = sorted((place, mark.after) for place, mark in marks.items() if mark.after is not None)
    ramps = _ramps(hairpins, worded, [place for place, _ in stays])
    return _joined(marks, stays, ramps, start_level)


def _ramps(
    hairpins: Sequence[Hairpin], worded: Sequence[tuple[Fraction, bool]], marks: Sequence[Fraction]
) -> list[Hairpin]:
    """Give words an end, cut every ramp at the marks inside it and at the next ramp, and sort."""
    begins = sorted({pin.start_quarter for pin in hairpins} | {place for place, _ in worded})
    drawn = {pin.start_quarter for pin in hairpins}
    opened = list(hairpins)
    for place, grows in worded:
        if place in drawn:
            continue
        stops = [*_next(marks, place), *_next(begins, place)]
        opened.append(Hairpin(place, min(stops, default=place + _WORDS_LAST_QUARTERS), grows))
    ramps = []
    for pin in sorted(opened, key=lambda pin: (pin.start_quarter, pin.end_quarter)):
        end = min([pin.end_quarter, *_next(begins, pin.start_quarter)])
        inside = marks[bisect_right(marks, pin.start_quarter) : bisect_left(marks, end)]
        edges = [pin.start_quarter, *inside, end]
        ramps += [Hairpin(a, b, pin.grows) for a, b in pairwise(edges) if a < b]
    return ramps


def _next(places: Sequence[Fraction], place: Fraction) -> Sequence[Fraction]:
    """The next of rising places behind a place, if there is one."""
    found = bisect_right(places, place)
    return places[found : found + 1]


def _joined(
    marks: Mapping[Fraction, MarkedLevel],
    stays: Sequence[tuple[Fraction, float]],
    ramps: Sequence[Hairpin],
    start_level: float,
) -> DynamicCourse:
    """String marks and ramps together in time."""
    level = start_level
    stretches: list[tuple[float, float, float, float]] = []
    begins = [ramp.start_quarter for ramp in ramps]
    places = [place for place, _ in stays]
    events: list[tuple[Fraction, int, float | Hairpin]] = [(place, 0, after) for place, after in stays]
    events += [(ramp.start_quarter, 1, ramp) for ramp in ramps]
    for place, _, event in sorted(events, key=lambda event: event[:2]):
        if not isinstance(event, Hairpin):
            level = event
            stretches.append((float(place), float(place), level, level))
            continue
        reach = event.end_quarter + _LINGER_QUARTERS
        later = bisect_right(begins, place)
        if later < len(begins):
            reach = min(reach, max(event.end_quarter, begins[later]))
        found = bisect_right(places, place)
        aim = marks[places[found]].at if found < len(places) and places[found] <= reach else None
        target = _target(level, aim, grows=event.grows)
        stretches.append((float(place), float(event.end_quarter), level, target))
        level = target
    course = DynamicCourse(
        starts=tuple(s[0] for s in stretches),
        ends=tuple(s[1] for s in stretches),
        levels=tuple((s[2], s[3]) for s in stretches),
        accents={},
        start_level=start_level,
    )
    accents = {
        float(place): max(mark.at, course.at(place)) if mark.after is None else mark.at
        for place, mark in marks.items()
        if mark.at != mark.after
    }
    return replace(course, accents=accents)


def _target(level: float, aim: float | None, *, grows: bool) -> float:
    """Where a hairpin leads: to the mark behind it if that lies the right way, else one step."""
    if aim is not None and (aim > level if grows else aim < level):
        return aim
    return min(level + 1.0, _LOUDEST) if grows else max(level - 1.0, _SOFTEST)
