"""Every slur of a plan: what kind it is, how likely it breaks, and for the weak ones what can be done about it.

Choices come in the order in which a teacher would try them: as it stands; a technique, which changes no fingering;
another fingering on one side; other fingerings on both. Within a kind the best comes first, which is the one with the
best chance that this slur and its neighbours go right with both notes in tune. Of the refingerings only the
sensible ones are told (see `refingering`).
"""

from collections.abc import Iterator, Sequence

import numpy as np

from slurwright.horn import Horn, HornKind, Reach
from slurwright.pitch import cents_of_ratio
from slurwright.plan.advice import (
    advice_for,
    fingers_said,
    refingering_why,
    technique_fingers,
    technique_why,
)
from slurwright.plan.chances import Chances
from slurwright.plan.familiar import Familiarity
from slurwright.plan.fingers import chances_at_hand
from slurwright.plan.known import Known
from slurwright.plan.pricing import BRANCHES, Priced, place_among, price_line
from slurwright.plan.refingering import Table, Tried, worth_telling
from slurwright.plan.telling import with_learnt
from slurwright.plan.transition import Floats, Ints
from slurwright.plan.values import Choice, Plan, SlurKind, SlurReport, Technique
from slurwright.plan.ways import Way
from slurwright.score import Line

__all__ = ["slur_kind", "slur_reports"]

_TECHNIQUE_NAMES = {
    Technique.PLAIN: "plain slur",
    Technique.LEGATO_TONGUE: "legato tongue",
    Technique.HALF_VALVE: "half-valve",
}


def slur_kind(first: Way, second: Way, *, same_place_m: float) -> SlurKind:
    """Say what changes between two ways.

    Args:
        first: way of the first note.
        second: way of the second.
        same_place_m: places of a slide closer than this are the same [m].

    """
    before, after = first.setting, second.setting
    if before.pressed == after.pressed and abs(before.slide_m - after.slide_m) < same_place_m:
        return SlurKind.LIP
    return SlurKind.VALVE if first.partial == second.partial else SlurKind.BOTH


def slur_reports(
    line: Line,
    plan: Plan,
    horn: Horn,
    *,
    chances: Chances,
    limit: float | None = None,
    names: Sequence[str] = (),
    reach: Reach | None = None,
    familiarity: Familiarity | None = None,
    known: Known | None = None,
    beside: Known | None = None,
) -> tuple[SlurReport, ...]:
    """Rate every slurred move of a plan, and work out the choices at the weak ones.

    Args:
        line: the sounds and moves.
        plan: a plan of this line on this horn.
        horn: the instrument.
        chances: the priors of notes, slurs and fingers.
        limit: break risk above which a slur is weak; None takes the table's [1].
        names: of the sounds, as the player reads them; none gives concert pitch.
        reach: how far out a way may lie; None for the usual limits.
        familiarity: priors of familiarity; None for the built-in ones.
        known: what is known of the player beyond the priors; None leaves these.
        beside: whose figures are told beside the break risks; None for those of `known`.

    """
    priced = price_line(
        line, horn, chances=chances, choose_techniques=True, reach=reach, familiarity=familiarity, known=known
    )
    desk = _Desk(priced, plan, horn, chances, names=names, known=known)
    weak_above = chances.weak_above if limit is None else limit
    reports = tuple(desk.report(index, weak_above) for index, move in enumerate(line.moves) if move.slurred)
    told = beside or known
    return reports if told is None else with_learnt(reports, plan, priced, told, chances=chances)


class _Desk:
    """Everything at hand to judge the slurs of one plan."""

    def __init__(
        self, priced: Priced, plan: Plan, horn: Horn, chances: Chances, *, names: Sequence[str], known: Known | None
    ) -> None:
        self._priced = priced
        self._plan = plan
        self._horn = horn
        self._chances = chances
        self._known = known
        self._slide = horn.kind is HornKind.SLIDE
        self._names = tuple(names) or tuple(str(sound.sounding) for sound in priced.line.sounds)
        self._taken = [place_among(ways, way) for ways, way in zip(priced.ways, plan.ways, strict=True)]
        self._beside: dict[int, list[int]] = {}
        for index, move in enumerate(priced.line.moves):
            for sound in {move.source, move.target}:
                self._beside.setdefault(sound, []).append(index)

    def report(self, index: int, limit: float) -> SlurReport:
        """Rate one slurred move."""
        move = self._priced.line.moves[index]
        first, second = self._plan.ways[move.source], self._plan.ways[move.target]
        kind = slur_kind(first, second, same_place_m=self._chances.slide.same_place_m)
        rise = (
            self._priced.line.sounds[move.target].sounding.midi - self._priced.line.sounds[move.source].sounding.midi
        )
        direction = "up" if rise > 0 else "down" if rise < 0 else "same"
        branch = BRANCHES.index(self._plan.techniques[index])
        here, there = self._taken[move.source], self._taken[move.target]
        risk = float(self._risks(index)[here, there, branch])
        weak = risk > limit
        told = weak or self._risk_as_taught(index) > limit
        return SlurReport(
            move=index,
            kind=kind,
            crossings=abs(second.partial - first.partial),
            gap_cents=abs(cents_of_ratio(second.partial / first.partial)),
            direction=direction,
            break_risk=risk,
            weak=weak,
            choices=tuple(self._choices(index, kind, direction, branch)) if told else (),
            advice=advice_for(self._kind_as_taught(index, kind), direction, slide=self._slide) if told else "",
        )

    def _as_taught(self, index: int) -> tuple[int, int] | None:
        """Places of the normal ways of both notes; None where one has none."""
        move = self._priced.line.moves[index]
        first, second = (
            next((place for place, way in enumerate(self._priced.ways[sound]) if way.normal), None)
            for sound in (move.source, move.target)
        )
        return None if first is None or second is None else (first, second)

    def _risk_as_taught(self, index: int) -> float:
        """Break risk on the normal fingerings of both notes; 0 where one has none."""
        taught = self._as_taught(index)
        return 0.0 if taught is None else float(self._risks(index)[(*taught, self._usual_branches(index)[taught])])

    def _kind_as_taught(self, index: int, planned: SlurKind) -> SlurKind:
        """What changes on the normal fingerings, which are practised first; as planned where a note has none."""
        taught = self._as_taught(index)
        if taught is None:
            return planned
        move, ways = self._priced.line.moves[index], self._priced.ways
        pair = ways[move.source][taught[0]], ways[move.target][taught[1]]
        return slur_kind(*pair, same_place_m=self._chances.slide.same_place_m)

    def _block(self, costs: Floats, index: int) -> Floats:
        move = self._priced.line.moves[index]
        return costs[self._priced.block(index)].reshape(*self._priced.shape(move.source, move.target), -1)

    def _risks(self, index: int) -> Floats:
        """Break risk of every pair of ways in every technique, shape=(ways, ways, techniques)."""
        return -np.expm1(-self._block(self._priced.smooth, index))

    def _all_goes_right(self, index: int) -> Floats:
        """Chance that slur and fingers go right, shape=(ways, ways, techniques)."""
        return np.exp(-self._block(self._priced.smooth, index) - self._block(self._priced.fingers, index))

    def _neighbours(self, index: int) -> Floats:
        """Chance that the moves before and after go right, for every pair of ways, shape=(ways, ways)."""
        move = self._priced.line.moves[index]
        chance = np.ones(self._priced.shape(move.source, move.target))
        for other in sorted({*self._beside[move.source], *self._beside[move.target]} - {index}):
            near = self._priced.line.moves[other]
            right = self._all_goes_right(other)[:, :, BRANCHES.index(self._plan.techniques[other])]
            axes = []
            for end in (near.source, near.target):
                if end == move.source:
                    axes.append(np.arange(chance.shape[0])[:, None])
                elif end == move.target:
                    axes.append(np.arange(chance.shape[1])[None, :])
                else:
                    axes.append(np.full((1, 1), self._taken[end]))
            chance = chance * right[axes[0], axes[1]]
        if not any(self._priced.line.moves[other].target == move.source for other in self._beside[move.source]):
            rows = np.arange(*self._priced.rows[move.source])
            at_hand = chances_at_hand(self._priced.table, rows, fingers=self._chances.fingers, known=self._known)
            chance = chance * at_hand[:, None]
        return chance

    def _in_tune(self, sound: int) -> Floats:
        """Chance that each way of a sound is in tune and even, once."""
        return np.exp(-self._priced.in_tune[sound] / self._priced.line.sounds[sound].times)

    def _choices(self, index: int, kind: SlurKind, direction: str, planned: int) -> Iterator[Choice]:
        """Yield every choice at a slur in its order."""
        move = self._priced.line.moves[index]
        here, there = self._taken[move.source], self._taken[move.target]
        around = self._all_goes_right(index) * self._neighbours(index)[:, :, None]
        merits = around * self._in_tune(move.source)[:, None, None] * self._in_tune(move.target)[None, :, None]
        table = Table(
            ways=(self._priced.ways[move.source], self._priced.ways[move.target]),
            usual=self._usual_branches(index),
            risks=self._risks(index),
            around=around,
            merits=merits,
        )
        stands = table.tried(here, there, planned)
        yield self._technique(index, stands, kind, direction, name="as it stands")
        other = [table.tried(here, there, branch) for branch in range(len(BRANCHES)) if branch != planned]
        for one in sorted(other, key=lambda one: (one.risk, one.branch)):
            if one.around > 0.0 and one.risk < stands.risk:
                yield self._technique(index, one, kind, direction, name=_TECHNIQUE_NAMES[BRANCHES[one.branch]])
        for one in worth_telling(table, stands, taught=lambda one: self._taught(index, one, stands)):
            yield self._refingering(index, one)

    def _usual_branches(self, index: int) -> Ints:
        """Technique in which each pair of ways is played as a matter of course, shape=(ways, ways)."""
        move = self._priced.line.moves[index]
        place_m = self._chances.slide.same_place_m
        tongue = BRANCHES.index(Technique.LEGATO_TONGUE)
        plain = np.zeros(self._priced.shape(move.source, move.target), dtype=np.int64)
        if self._slide:
            for first, one in enumerate(self._priced.ways[move.source]):
                for second, two in enumerate(self._priced.ways[move.target]):
                    smears = slur_kind(one, two, same_place_m=place_m) is SlurKind.VALVE
                    plain[first, second] = tongue if smears else 0
        return plain

    def _taught(self, index: int, one: Tried, stands: Tried) -> bool:
        """Say whether the one changed note takes an alternate that players learn."""
        move = self._priced.line.moves[index]
        sound, place = (move.source, one.first) if one.first != stands.first else (move.target, one.second)
        way = self._priced.ways[sound][place]
        known = self._horn.alternates.get(self._priced.line.sounds[sound].sounding.midi, ())
        return way.normal or (way.fingering, way.partial) in known

    def _pair(self, index: int, one: Tried) -> tuple[Way, Way]:
        move = self._priced.line.moves[index]
        return self._priced.ways[move.source][one.first], self._priced.ways[move.target][one.second]

    def _technique(self, index: int, one: Tried, kind: SlurKind, direction: str, *, name: str) -> Choice:
        """Tell a choice that changes no fingering."""
        technique = BRANCHES[one.branch]
        pair = self._pair(index, one)
        return Choice(
            technique=technique,
            ways=pair,
            break_risk=one.risk,
            cents=(pair[0].cents, pair[1].cents),
            cents_cost=0.0,
            chance_around=one.around,
            fingers=technique_fingers(technique, *pair),
            why=technique_why(technique, kind, direction, slide=self._slide),
            name=name,
        )

    def _refingering(self, index: int, one: Tried) -> Choice:
        """Tell a choice that changes fingerings."""
        move = self._priced.line.moves[index]
        names = self._names[move.source], self._names[move.target]
        planned = self._plan.ways[move.source], self._plan.ways[move.target]
        pair = self._pair(index, one)
        held = one.first == self._taken[move.source], one.second == self._taken[move.target]
        costs = [
            abs(new.cents) - abs(old.cents) for old, new, same in zip(planned, pair, held, strict=True) if not same
        ]
        changed = [
            f"{way.fingering} on {name}" for way, name, same in zip(pair, names, held, strict=True) if not same
        ]
        kind = slur_kind(*pair, same_place_m=self._chances.slide.same_place_m)
        return Choice(
            technique=BRANCHES[one.branch],
            ways=pair,
            break_risk=one.risk,
            cents=(pair[0].cents, pair[1].cents),
            cents_cost=max(costs),
            chance_around=one.around,
            fingers=fingers_said(planned, pair, names, held=held),
            why=refingering_why(planned, pair, names, kind=kind),
            name=", ".join(changed),
        )
