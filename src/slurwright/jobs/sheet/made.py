"""A practice sheet for today: planned, ticked item by item, taken up again after an interruption."""

from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date, datetime

from numpy.random import Generator

from slurwright.errors import RequestError
from slurwright.evidence.attempts import Attempt
from slurwright.evidence.kept import EarAttempt, KeptSheet, SheetAbout, SheetTick, TickState
from slurwright.formats.sheet_json import SHEET_SCHEMA, plan_from_json, plan_to_json
from slurwright.jobs.sheet.targets import histories_of, targets_of
from slurwright.jobs.tried import heard_words, part_tried
from slurwright.jobs.words import title_of
from slurwright.listen.kept import TakenPart
from slurwright.plan import Chances
from slurwright.plan.study import Study
from slurwright.practice.sheet.plan import plan_sheet
from slurwright.practice.sheet.table import PracticeTable
from slurwright.practice.sheet.targets import SheetRequest, SpentToday
from slurwright.practice.sheet.values import ItemKind, KeptPlan, SheetItem, SheetPart

__all__ = [
    "OpenSheet",
    "Owner",
    "about_sheet",
    "ear_attempts_of",
    "item_numbered",
    "latest_sheet",
    "made_plan",
    "open_sheet",
    "sheet_part",
    "spent_on",
]

_MOST_TIMES = 3
"""More than so many times the tries that were asked for is taken for a slip of the finger; ours [1]."""
LEAST_MINUTES, MOST_MINUTES = 1.0, 240.0
"""A sheet for less time or more is a slip of the finger; ours [min]."""


@dataclass(frozen=True, slots=True)
class Owner:
    """Whose sheet it is, and on which horn."""

    player_id: str
    horn_id: str | None
    """The player's own horn; None for a model of the catalogue."""
    model: str
    horns: frozenset[str]
    """Ids under which attempts on this horn go."""


@dataclass(frozen=True, slots=True)
class OpenSheet:
    """A sheet that is kept, and what was done of it."""

    kept: KeptSheet
    plan: KeptPlan
    states: dict[int, TickState]
    """By index into the sheet's items; the rest are still to come."""
    said_at: Mapping[int, datetime] = field(default_factory=dict)
    """When that was said, by the same index."""

    @property
    def short(self) -> str:
        """Enough of its id to name it."""
        return self.kept.id[:8]

    @property
    def left(self) -> tuple[int, ...]:
        """Indices of work that is still to come, in order."""
        return tuple(index for index in self.plan.sheet.work if index not in self.states)


def sheet_part(
    study: Study, *, path: str, part: str | None = None, voice: str | None = None, written_for: str | None = None
) -> SheetPart:
    """Note a part so that it can be studied again.

    Args:
        study: of the part.
        path: of its file.
        part: which part of the file, as it was asked for.
        voice: which voice of it.
        written_for: how it is written.
    """
    print_ = part_tried(study, file="").fingerprint
    return SheetPart(path, title_of(study), print_, part=part, voice=voice, written_for=written_for)


def made_plan(
    studies: Sequence[Study],
    request: SheetRequest,
    *,
    about: KeptPlan,
    attempts: Sequence[Attempt],
    horns: Collection[str],
    chances: Chances,
    table: PracticeTable,
    rng: Generator,
) -> KeptPlan:
    """Plan a sheet for some parts.

    Args:
        studies: of the parts, as the player is known today.
        request: the time there is, the day, the concert, what was done earlier today.
        about: a plan whose sheet is to be replaced: parts, horn and conditions.
        attempts: of the player.
        horns: ids under which attempts on this horn go.
        chances: tell where a technique can be played.
        table: what practice is believed to do, and how a sheet is shaped.
        rng: for the seeds of exercises.

    Raises:
        RequestError: nobody practises so long, or so short.
    """
    if not LEAST_MINUTES <= request.minutes <= MOST_MINUTES:
        allowed = f"{LEAST_MINUTES:g} to {MOST_MINUTES:g}"
        raise RequestError("not a time to practise", got=f"{request.minutes:g} min", allowed=allowed)
    targets = targets_of(studies, histories_of(attempts, horns), chances=chances, table=table)
    sheet = plan_sheet(request, targets, table=table, rng=rng)
    ahead = [one for one in attempts if one.horn in horns and one.played_on > request.today]
    if ahead:
        words = f"attempts are dated after today, until {max(one.played_on for one in ahead)}: is the clock right?"
        sheet = replace(sheet, notices=(*sheet.notices, words))
    return replace(about, sheet=sheet)


def about_sheet(plan: KeptPlan, owner: Owner) -> SheetAbout:
    """Say of a sheet what is kept beside its document.

    Args:
        plan: the sheet.
        owner: whose it is.
    """
    return SheetAbout(
        player_id=owner.player_id,
        horn_id=owner.horn_id,
        model=owner.model,
        day=plan.sheet.day,
        document_json=plan_to_json(plan),
        schema=SHEET_SCHEMA,
    )


def open_sheet(kept: KeptSheet, ticks: Sequence[SheetTick]) -> OpenSheet:
    """Open a sheet that is kept.

    Args:
        kept: the sheet.
        ticks: what was done of it; the last word on an item counts.

    Raises:
        StoreError: its document cannot be read.
    """
    last = {one.item: one for one in sorted(ticks, key=lambda one: one.at)}
    states = {item: one.state for item, one in last.items()}
    plan = plan_from_json(kept.about.document_json)
    return OpenSheet(kept, plan, states, {item: one.at for item, one in last.items()})


def latest_sheet(sheets: Sequence[KeptSheet], *, horn_id: str | None = None) -> KeptSheet | None:
    """Give the sheet that was made last, whatever day it is for; None where there is none.

    Args:
        sheets: of the player.
        horn_id: of the player's own horn, if it must be that one.
    """
    some = [one for one in sheets if horn_id is None or one.about.horn_id == horn_id]
    return max(some, key=lambda one: (one.made_at, one.about.day, one.id), default=None)


def spent_on(
    day: date, sheets: Sequence[OpenSheet], *, day_of: Callable[[datetime], date] | None = None
) -> SpentToday:
    """Say what was done on a day: of that day's sheets, and of older ones that were taken up again.

    Args:
        day: the day.
        sheets: of the player.
        day_of: tells the day of a time; None where only the sheets of that day count.
    """
    done = [
        sheet.plan.sheet.items[index]
        for sheet in sheets
        for index, state in sheet.states.items()
        if state is TickState.DONE and index < len(sheet.plan.sheet.items)
        if sheet.plan.sheet.day == day or (day_of is not None and day_of(sheet.said_at[index]) == day)
    ]
    return SpentToday(
        play_s=sum(item.play_s for item in done),
        warmed_up=bool(done),
        lip_slurs=any(item.kind is ItemKind.LIP_SLURS for item in done),
    )


def item_numbered(sheet: OpenSheet, number: int) -> int:
    """Find an item by the number that it has on paper and screen.

    Args:
        sheet: the sheet.
        number: from 1; rests have none [1].

    Raises:
        RequestError: the sheet has no such item.
    """
    work = sheet.plan.sheet.work
    if not 1 <= number <= len(work):
        raise RequestError("no such item on the sheet", got=str(number), allowed=f"1 to {len(work)}")
    return work[number - 1]


def ear_attempts_of(sheet: OpenSheet, index: int, words: Sequence[str], *, today: date) -> tuple[EarAttempt, ...]:
    """Read what became of the tries of an item.

    Args:
        sheet: the sheet.
        index: into its items [1].
        words: ``good``, ``rough``, ``missed``, each once for each try, or counted: ``good=7``; none for none.
        today: the day on which it was played.

    Raises:
        RequestError: the item is about no slur, a word means nothing, or far more tries are told than were asked for.
    """
    item = sheet.plan.sheet.items[index]
    if not words:
        return ()
    if item.tried is None or item.target is None:
        raise RequestError(
            "only slurs are logged, and this item is about none in particular",
            got=item.kind.value,
            allowed="the item's number alone",
        )
    told, most = heard_words(words), _MOST_TIMES * max(item.tries, 1)
    if len(told) > most:
        raise RequestError(
            "far more tries than this item asks for",
            got=f"{len(told)}",
            allowed=f"up to {most}; others with slurwright tried log",
        )
    about = sheet.kept.about
    target = sheet.plan.sheet.targets[item.target]
    return tuple(
        EarAttempt(
            player_id=about.player_id,
            horn_id=about.horn_id,
            model=about.model,
            part=_part_of(sheet.plan, item),
            label=target.label,
            tried=item.tried,
            heard=heard,
            played_on=today,
            sheet_id=sheet.kept.id,
        )
        for heard in told
    )


def _part_of(plan: KeptPlan, item: SheetItem) -> TakenPart | None:
    if item.target is None:
        return None
    target = plan.sheet.targets[item.target]
    if not 0 <= target.part < len(plan.parts):
        return None
    part = plan.parts[target.part]
    file = part.path.replace("\\", "/").rpartition("/")[2]
    return TakenPart(file, part.fingerprint, part.name)
