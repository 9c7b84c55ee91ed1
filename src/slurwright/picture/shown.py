"""Which ways of a note are worth a mark: the chosen, the normal, the one that helps a weak slur, a few usual ones."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from slurwright.plan import Choice, Plan, SlurReport, Way
from slurwright.score import Line

__all__ = ["Shown", "helping_choice", "shown_ways"]

_MOST_OTHERS = 2
_USUAL_ENOUGH = 0.02
_FURTHER_OUT_CENTS = 10.0
"""A refingering that puts a note so much further out of tune is a listener's loss (published: Hill and Summers, JASA
121 (2007) 2376, the difference noticed in a melody) [cents]."""
_HELPS_BELOW = 0.85
"""A refingering is drawn as a help when it leaves at most this part of the risk (ours)."""


@dataclass(frozen=True, slots=True)
class Shown:
    """The marks of one note."""

    chosen: Way
    needed: tuple[Way, ...]
    """Drawn whatever happens: the normal way, and the ways of a helping choice."""
    extra: tuple[Way, ...]
    """Drawn where there is room, best first."""

    @property
    def partials(self) -> tuple[int, ...]:
        """Partials that need a rung."""
        return tuple({way.partial for way in (self.chosen, *self.needed)})


def helping_choice(report: SlurReport) -> Choice | None:
    """Which refingering of a weak slur leaves the least risk, in tune before out of tune; None if none helps."""
    if not report.weak or not report.choices:
        return None
    planned = report.choices[0].ways
    others = [
        choice
        for choice in report.choices
        if choice.ways != planned and choice.break_risk <= _HELPS_BELOW * report.break_risk
    ]
    if not others:
        return None
    return min(others, key=lambda choice: (choice.cents_cost > _FURTHER_OUT_CENTS, round(choice.break_risk, 2)))


def shown_ways(
    line: Line, plan: Plan, ways: Sequence[Sequence[Way]], helps: Mapping[int, Choice]
) -> tuple[Shown, ...]:
    """Pick the marks of every note.

    Args:
        line: the part's line.
        plan: the plan that is drawn.
        ways: for each sound, every way that sounds it.
        helps: move index -> the choice that helps there.

    """
    helping: dict[int, list[Way]] = {}
    for move, choice in helps.items():
        helping.setdefault(line.moves[move].source, []).append(choice.ways[0])
        helping.setdefault(line.moves[move].target, []).append(choice.ways[1])
    return tuple(
        _shown(chosen, every, helping.get(sound, ()))
        for sound, (chosen, every) in enumerate(zip(plan.ways, ways, strict=True))
    )


def _shown(chosen: Way, every: Sequence[Way], helping: Sequence[Way]) -> Shown:
    needed: list[Way] = []
    for way in (*(way for way in every if way.normal), *helping):
        if not _same(way, chosen) and not any(_same(way, other) for other in needed):
            needed.append(way)
    drawn = (chosen, *needed)
    rest = [way for way in every if way.usual >= _USUAL_ENOUGH and not any(_same(way, other) for other in drawn)]
    return Shown(chosen, tuple(needed), tuple(rest[:_MOST_OTHERS]))


def _same(one: Way, other: Way) -> bool:
    return one.fingering == other.fingering and one.partial == other.partial
