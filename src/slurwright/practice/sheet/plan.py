"""What to play today: warm-up, daily lip slurs, then the slurs where a minute buys the most.

The aim is the chance that every slur of the parts speaks on the day of the concert. Tries are dealt out by `allot`
and laid out by `lay_out`; the normal fingering comes first, the rescue after it when the day is near. Everything
follows from what is given here: the same request on the same history gives the same sheet.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date
from math import exp

from numpy.random import Generator

from slurwright.practice.sheet.allotting import Allotment, allot
from slurwright.practice.sheet.laying import Laid, lay_out, with_rest
from slurwright.practice.sheet.spacing import days_of, next_return
from slurwright.practice.sheet.table import PracticeTable
from slurwright.practice.sheet.targets import SheetRequest, Target
from slurwright.practice.sheet.values import Coming, ItemKind, Sheet, SheetItem

__all__ = ["plan_sheet"]

_SEEDS = 2**31
_HALVINGS = 10
_MUCH_LEFT = 0.8
"""Share of the time below which it is said that a sheet leaves time over (ours) [1]."""
_CLOSE_S = 5.0
"""Time for slurs is fitted to so much [s]."""


def plan_sheet(request: SheetRequest, targets: Sequence[Target], *, table: PracticeTable, rng: Generator) -> Sheet:
    """Plan today's sheet.

    Args:
        request: the time there is, the day, the concert, what was done earlier today.
        targets: the slurs that may be practised, weak ones and those that were weak once.
        table: what practice is believed to do, and how a sheet is shaped.
        rng: for the seeds of exercises.

    """
    concert, notices = _concert_of(request)
    targets = sorted(targets, key=lambda one: one.key)
    opening = _opening(request, table, rng, more=bool(targets))
    left = 60.0 * request.minutes - sum(item.lasts_s for item in opening.items)
    shaped = _on_the_day(table) if concert == request.today else table
    allotment, laid = _fitted(targets, left, replace(request, concert=concert), table=shaped, rng=rng)
    stuck = [one for one, slow in zip(targets, allotment.paces, strict=True) if _is_stuck(one, slow, request, table)]
    notices += opening.notices
    notices += [_stuck_words(one, request.today) for one in stuck]
    if targets and not laid.items:
        notices.append("no slur fits into the time that is left; more minutes would bring one")
    if not targets:
        notices.append("no weak slur in these parts: the daily lip slurs are enough, and the parts themselves")
    lasts_s = sum(item.lasts_s for item in (*opening.items, *laid.items)) + table.time.settle_s * len(laid.targets)
    spare = lasts_s < _MUCH_LEFT * 60.0 * request.minutes and concert != request.today
    if laid.items and spare:
        notices.append(
            "more tries of these slurs on one day would teach little; "
            f"the rest of the {request.minutes:g} min is yours for the music itself"
        )
    played_s = request.spent.play_s + sum(item.play_s for item in (*opening.items, *laid.items))
    if played_s > table.time.day_most_play_s:
        notices.append("this would be a great deal of playing for one day; shorten it if your lips say so")
    return Sheet(
        day=request.today,
        minutes=request.minutes,
        concert=concert,
        items=(*opening.items, *laid.items),
        targets=laid.targets,
        considered=len(targets),
        before=exp(-allotment.before),
        after=exp(-allotment.after),
        settle_s=table.time.settle_s * len(laid.targets),
        coming=_coming(targets, laid.targets, request.today, concert, table),
        notices=tuple(notices),
    )


@dataclass(frozen=True, slots=True)
class _Opening:
    items: tuple[SheetItem, ...]
    notices: list[str]


def _concert_of(request: SheetRequest) -> tuple[date | None, list[str]]:
    if request.concert is None:
        return None, []
    if request.concert < request.today:
        words = f"the concert was on {request.concert.isoformat()}; this sheet is planned without one"
        return None, [words]
    if request.concert == request.today:
        return request.concert, ["the concert is today: one set of tries each, then spare your lips"]
    return request.concert, []


def _opening(request: SheetRequest, table: PracticeTable, rng: Generator, *, more: bool) -> _Opening:
    """Warm-up and daily lip slurs; where time is short the lip slurs alone."""
    seconds, times = 60.0 * request.minutes, table.time
    notices: list[str] = []
    lips_s = min(max(times.lip_slurs_share * seconds, times.lip_slurs_least_s), times.lip_slurs_most_s)
    if not more:
        lips_s = min(max(lips_s, 0.5 * seconds), times.lip_slurs_most_s)
    if request.spent.lip_slurs:
        lips_s = 0.0
        notices.append("today's lip slurs are done already")
    elif seconds <= lips_s:
        lips_s = seconds
        if seconds < times.lip_slurs_least_s:
            notices.append(f"{request.minutes:g} min are few: all of them go to the daily lip slurs")
    warm_s = min(max(times.warm_up_share * seconds, times.warm_up_least_s), times.warm_up_most_s)
    if request.spent.warmed_up or warm_s + lips_s > seconds:
        warm_s = 0.0
    items: list[SheetItem] = []
    for kind, lasts_s in ((ItemKind.WARM_UP, warm_s), (ItemKind.LIP_SLURS, lips_s)):
        if lasts_s > 0.0:
            items += _half_rest(kind, lasts_s, table, rng)
    return _Opening(tuple(items), notices)


def _half_rest(kind: ItemKind, lasts_s: float, table: PracticeTable, rng: Generator) -> list[SheetItem]:
    """Work in parts of about half a minute, as much rest as play, all of it as long as said."""
    each = table.time.rest_each
    play_s = lasts_s / (1.0 + each)
    parts = max(1, int(play_s * each // (2.0 * table.time.rest_least_s)))
    item, rest = with_rest(
        SheetItem(kind, play_s, 0.0, seed=int(rng.integers(_SEEDS))), each=each, parts=parts, table=table
    )
    over_s = item.lasts_s + rest.rest_s - lasts_s
    return [replace(item, play_s=max(0.0, item.play_s - over_s)), rest]


def _fitted(
    targets: Sequence[Target], left_s: float, request: SheetRequest, *, table: PracticeTable, rng: Generator
) -> tuple[Allotment, Laid]:
    """Allot and lay out for as much time as makes all of it fit; rests and slow tries take more than a usual set."""
    state = rng.bit_generator.state
    best: tuple[Allotment, Laid] | None = None
    low_s, high_s, seconds = 0.0, max(0.0, left_s), max(0.0, left_s)
    for _ in range(_HALVINGS):
        rng.bit_generator.state = state
        allotment = allot(targets, seconds=seconds, today=request.today, concert=request.concert, table=table)
        paces = dict(zip((one.key for one in targets), allotment.paces, strict=True))
        rescues = [_wants_rescue(one.target, paces[one.target.key], request, table) for one in allotment.slurs]
        laid = lay_out(allotment.slurs, rescues=rescues, table=table, rng=rng)
        lasts_s = sum(item.lasts_s for item in laid.items) + table.time.settle_s * len(laid.targets)
        fits = lasts_s <= left_s
        if fits and (best is None or allotment.after <= best[0].after or not best[1].items):
            best = allotment, laid
        if fits:
            low_s = seconds
        else:
            high_s = seconds
        if best is not None and high_s - low_s < _CLOSE_S:
            break
        seconds = 0.5 * (low_s + high_s)
    if best is None:
        allotment = allot(targets, seconds=0.0, today=request.today, concert=request.concert, table=table)
        best = allotment, Laid((), ())
    return best


def _wants_rescue(target: Target, pace: float, request: SheetRequest, table: PracticeTable) -> bool:
    shape = table.shape
    if target.rescue is None or not request.rescues or target.risk <= shape.rescue_above:
        return False
    near = request.concert is not None and (request.concert - request.today).days <= shape.rescue_days
    return target.rescue.risk < target.risk and (near or _is_stuck(target, pace, request, table))


def _is_stuck(target: Target, pace: float, request: SheetRequest, table: PracticeTable) -> bool:
    tries = sum(one.tries for one in days_of(target.days, today=request.today))
    shape = table.shape
    return tries >= shape.stuck_tries and pace < shape.stuck_pace and target.risk > shape.rescue_above


def _stuck_words(target: Target, today: date) -> str:
    tries = sum(one.tries for one in days_of(target.days, today=today))
    first, second = target.names
    return f"{first} to {second} has hardly moved in {tries} tries: let your teacher hear it"


def _on_the_day(table: PracticeTable) -> PracticeTable:
    return replace(table, shape=replace(table.shape, most_tries=table.shape.set_tries))


def _coming(
    targets: Sequence[Target], chosen: Sequence[Target], today: date, concert: date | None, table: PracticeTable
) -> tuple[Coming, ...]:
    """Say when slurs that hold come back."""
    on_sheet = {one.key for one in chosen}
    found = []
    for one in targets:
        if one.days and one.risk < table.shape.least_risk and one.key not in on_sheet:
            back = next_return(one.days, today=today, concert=concert, table=table.returns)
            found.append(Coming(one.names, one.label, max(back.due, today)))
    return tuple(sorted(found, key=lambda one: (one.due, one.label)))
