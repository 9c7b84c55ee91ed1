"""A practice sheet in a terminal."""

from collections.abc import Collection

from rich.console import Console

from slurwright.cli.console import columns, heading, item, people_console
from slurwright.evidence.kept import TickState
from slurwright.jobs.sheet.words import (
    coming_words,
    item_how,
    item_title,
    left_times,
    risk_words,
    sheet_aim,
    sheet_times,
    target_place,
)
from slurwright.jobs.words import CAUTIONS, clock_text
from slurwright.practice.sheet.values import ItemKind, KeptPlan

__all__ = ["print_sheet"]

_STATES = {TickState.DONE: "done: ", TickState.SKIPPED: "skipped: ", None: ""}


def print_sheet(
    plan: KeptPlan,
    *,
    short: str = "",
    states: dict[int, TickState] | None = None,
    only: Collection[int] | None = None,
    console: Console | None = None,
) -> None:
    """Print a sheet, its rests among its items.

    Args:
        plan: the sheet.
        short: beginning of its id; empty where it is not kept.
        states: what was done of it.
        only: indices of the work that is shown, with the rests behind it; None for all.
        console: where to; None for standard output.
    """
    console = console or people_console()
    sheet, states = plan.sheet, states or {}
    name = f" (sheet {short})" if short else ""
    heading(f"Practice of {sheet.day.isoformat()}{name}", console)
    concert = f" Concert on {sheet.concert.isoformat()}." if sheet.concert else ""
    times = sheet_times(sheet) if only is None else left_times(sheet, only)
    item(f"{times}.{concert}", console)
    for words in sheet.notices:
        item(words, console)
    heading("What to play", console)
    columns(_rows(plan, states, only), console, right=(0, 1, 2))
    if sheet.targets and only is None:
        heading("The slurs on it", console)
        rows = [("slur", "place", "breaks")]
        rows += [
            (f"{one.names[0]} to {one.names[1]}", target_place(plan, one), risk_words(one)) for one in sheet.targets
        ]
        columns(rows, console)
    told = (sheet_aim(sheet), *coming_words(sheet)) if only is None else ()
    if only is None:
        heading("What it is for", console)
    for words in (*told, *CAUTIONS):
        if words:
            item(words, console)
    if short:
        item(
            "When an item is done: slurwright today done NUMBER [good rough missed …]; what is left: today left",
            console,
        )


def _rows(plan: KeptPlan, states: dict[int, TickState], only: Collection[int] | None) -> list[tuple[str, ...]]:
    """A line for each piece of work, with the rest behind it."""
    items = plan.sheet.items
    rows: list[tuple[str, ...]] = [("", "play", "rest", "what", "how")]
    for number, index in enumerate(plan.sheet.work, start=1):
        if only is not None and index not in only:
            continue
        one = items[index]
        behind = items[index + 1] if index + 1 < len(items) else one
        rest_s = one.rest_s + (behind.rest_s if behind.kind is ItemKind.REST else 0.0)
        title = _STATES[states.get(index)] + item_title(plan, one)
        rows.append((str(number), clock_text(one.play_s), clock_text(rest_s), title, item_how(plan, one)))
    return rows
