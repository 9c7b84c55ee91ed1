"""A sheet that is kept: found again, ticked item by item, drawn for the stand."""

from collections.abc import Sequence
from pathlib import Path

from slurwright.devices.clock import now, today
from slurwright.devices.files import ending_faults, place_faults, write_files
from slurwright.devices.packaged import load_exercise_rules, load_familiarity
from slurwright.errors import Fault, RequestError
from slurwright.evidence.kept import LoggedAttempt, TickState
from slurwright.horn import Horn
from slurwright.jobs.own_horn import player_for
from slurwright.jobs.sheet.made import OpenSheet, ear_attempts_of, item_numbered, latest_sheet, open_sheet
from slurwright.practice.sheet.values import KeptPlan
from slurwright.store import Store
from slurwright.wiring.horns import find_horn
from slurwright.wiring.part import numbered_files

__all__ = [
    "check_page_name",
    "horn_name",
    "horn_of",
    "log_item",
    "other_day_words",
    "place_in_list",
    "sheet_meant",
    "skip_items",
    "write_sheet_pages",
]


def sheet_meant(store: Store, beginning: str | None, *, player: str | None) -> OpenSheet:
    """Open a sheet: the one whose id begins so, or the last one.

    Args:
        store: what players keep.
        beginning: of its id; None for the last one.
        player: whose; None for the only player.

    Raises:
        StoreError: no sheet begins so, or several do, or it cannot be read.
        RequestError: there is none yet.
    """
    if beginning is not None:
        kept = store.sheet_of(beginning)
    else:
        latest = latest_sheet(store.sheets_of(player_for(store, player).id))
        if latest is None:
            raise RequestError(
                "there is no sheet yet", allowed="slurwright today plan FILE… --horn NAME --minutes 30"
            )
        kept = latest
    return open_sheet(kept, store.ticks_of(kept.id))


def horn_name(store: Store, sheet: OpenSheet) -> str:
    """Say what the horn of a sheet is called now; it may have been renamed since.

    Args:
        store: what players keep.
        sheet: the sheet.
    """
    about = sheet.kept.about
    names = {one.id: one.name for one in store.horns(about.player_id)}
    return names.get(about.horn_id or "", sheet.plan.horn)


def other_day_words(sheet: OpenSheet) -> str:
    """Say that a sheet is for another day than today; empty where it is for today.

    Args:
        sheet: the sheet.
    """
    day, here = sheet.plan.sheet.day, today()
    if day == here:
        return ""
    then = ": is the clock right?" if day > here else "; a new one: slurwright today plan --minutes N"
    return f"this sheet is for {day.isoformat()}, and today is {here.isoformat()}{then}"


def log_item(
    store: Store, sheet: OpenSheet, number: int, words: Sequence[str], *, more: bool = False
) -> tuple[LoggedAttempt, ...]:
    """Tick an item, and keep what became of its tries.

    Args:
        store: what players keep.
        sheet: the sheet.
        number: of the item, from 1 [1].
        words: what became of its tries; none for none.
        more: further tries of an item that is done.

    Raises:
        RequestError: no such item, it is done already, or a word means nothing; then nothing is kept.
    """
    index = item_numbered(sheet, number)
    if sheet.states.get(index) is TickState.DONE and not more:
        raise RequestError("this item is done already", got=str(number), allowed="--more with what else was tried")
    found = ear_attempts_of(sheet, index, words, today=today())
    return store.log_item(sheet.kept.id, index, found, once=not more, now=now())


def place_in_list(store: Store, sheet: OpenSheet, logged: Sequence[LoggedAttempt]) -> int:
    """Say which number the first of some attempts has in the player's list, from 1 [1].

    Args:
        store: what players keep.
        sheet: on which they were logged.
        logged: they, one at least.
    """
    every = store.attempts_of(sheet.kept.about.player_id, withdrawn=True)
    ids = {one.id for one in logged}
    return next(number for number, one in enumerate(every, start=1) if one.id in ids)


def skip_items(store: Store, sheet: OpenSheet, numbers: Sequence[int]) -> None:
    """Note that items are left out, all of them or none.

    Args:
        store: what players keep.
        sheet: the sheet.
        numbers: of the items, from 1.

    Raises:
        RequestError: no such item, or it is done already.
    """
    faults: list[Fault] = []
    found = []
    for number in numbers:
        try:
            index = item_numbered(sheet, number)
        except RequestError as error:
            faults += error.faults
            continue
        if sheet.states.get(index) is TickState.DONE:
            faults.append(Fault("this item is done already", got=str(number)))
        found.append((index, TickState.SKIPPED))
    if faults:
        raise RequestError(faults=tuple(faults))
    store.tick_sheet(sheet.kept.id, found, now=now())


def check_page_name(out: Path) -> None:
    """Refuse an ending that says nothing, or a folder that is not there, before any work is done.

    Raises:
        RequestError: the file would be neither PDF nor SVG, or cannot be written there.
    """
    faults = (*ending_faults((("a sheet", out, (".pdf", ".svg")),)), *place_faults((out,)))
    if faults:
        raise RequestError(faults=faults)


def write_sheet_pages(plan: KeptPlan, horn: Horn, out: Path, *, paper: str) -> tuple[Path, ...]:
    """Draw a sheet for the stand; SVG has a file for each page.

    Args:
        plan: the sheet.
        horn: its horn.
        out: where to.
        paper: the sheet of paper.

    Returns:
        What was written.

    Raises:
        EngravingError: it cannot be drawn, or drawing took more than it may.
    """
    from slurwright.devices.engraver import engrave_each  # noqa: PLC0415  what draws waits until it is asked for
    from slurwright.formats.pages.request import Paper  # noqa: PLC0415
    from slurwright.jobs.exercise.pages import (  # noqa: PLC0415
        STAVES_FROM_MM,
        STAVES_TO_MM,
        exercise_pages,
        exercise_requests,
    )
    from slurwright.jobs.sheet.pages import (  # noqa: PLC0415
        lip_slurs_of,
        sheet_pages,
        slur_requests,
        slurs_end_mm,
    )

    on = Paper(paper)
    requests = slur_requests(plan, horn, familiarity=load_familiarity(), paper=on)
    drawn = engrave_each(list(requests.values()), left_mm=STAVES_FROM_MM, right_mm=slurs_end_mm(on))
    systems = {target: each[0] for target, each in zip(requests, drawn, strict=True) if each}
    pages = sheet_pages(plan, systems, paper=on)
    lips = lip_slurs_of(plan, horn, rules=load_exercise_rules())
    if lips is not None:
        each = engrave_each(exercise_requests(lips, paper=on), left_mm=STAVES_FROM_MM, right_mm=STAVES_TO_MM)
        pages += exercise_pages(lips, each, paper=on)
    if out.suffix.lower() == ".svg":
        contents = numbered_files(out, pages)
    else:
        from slurwright.devices.sheet_setter import set_sheets  # noqa: PLC0415
        from slurwright.formats.chart_sheets import Sheet as PaperSheet  # noqa: PLC0415

        contents = {out: set_sheets(pages, title="Today", sheet=PaperSheet(paper))}
    write_files(contents)
    return tuple(contents)


def horn_of(plan: KeptPlan, *, name: str, player: str | None) -> Horn:
    """Find the horn of a sheet.

    Args:
        plan: the sheet.
        name: of the horn, as it is called now.
        player: whose; None for the only player.
    """
    return find_horn(name, player=player, tuning=plan.tuning).horn
