"""`slurwright today`: what to practise, in the time there is."""

from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

import click

from slurwright.cli.options import DYNAMICS, json_option, player_option, which_part_options
from slurwright.cli.values import DAY, Figure

if TYPE_CHECKING:
    from slurwright.evidence.kept import TickState
    from slurwright.jobs.sheet.made import OpenSheet
    from slurwright.practice.sheet.values import KeptPlan

__all__ = ["today"]

_PAPER = click.option("--paper", type=click.Choice(["a4", "letter"]), default="a4", show_default=True, help="Sheet.")
_PAGES = click.option("--pages", type=click.Path(path_type=Path), metavar="OUT", help="Draw the sheet: .pdf or .svg.")


@click.group(
    epilog="""Examples:

\b
  slurwright today plan waltz.musicxml march.musicxml --horn "old silver" --minutes 30 --concert 2026-12-12
  slurwright today plan --minutes 20 --pages today.pdf
  slurwright today done 3 good good rough good
  slurwright today left
"""
)
def today() -> None:
    """Plan today's practice: what to play, in which order, how often, with rests."""


@today.command()
@click.argument("files", nargs=-1, type=click.Path(path_type=Path), metavar="[FILE]...")
@click.option("--minutes", type=float, required=True, metavar="N", help="Time you have, rests counted.")
@click.option("--horn", "horn_name", metavar="NAME", help="Your own horn, or a model's id; else the last sheet's.")
@player_option
@click.option("--tuning", metavar="SCHEME", help="How the valve slides of a model are set.")
@click.option("--concert", type=DAY, metavar="DATE", help="The day by which it must hold; else the last sheet's.")
@click.option("--no-concert", is_flag=True, help="There is no concert any more.")
@which_part_options
@click.option("--reading", metavar="READING", help="Reading for pages and report; the file's own otherwise.")
@click.option("--dynamic", type=click.Choice(DYNAMICS), help="All of it at this dynamic: the conductor's word.")
@click.option("--tempo", type=Figure(10, 400), metavar="QPM", help="First tempo in quarters a minute.")
@click.option("--no-rescues", is_flag=True, help="Only the planned fingerings, no rescue techniques.")
@click.option("--seed", type=click.IntRange(0), metavar="N", help="Other exercises than the day's own.")
@_PAGES
@_PAPER
@json_option
@click.pass_context
def plan(
    context: click.Context,
    *,
    files: tuple[Path, ...],
    minutes: float,
    horn_name: str | None,
    player: str | None,
    tuning: str | None,
    concert: datetime | None,
    no_concert: bool,
    part_name: str | None,
    voice: str | None,
    written_for: str | None,
    reading: str | None,
    dynamic: str | None,
    tempo: float | None,
    no_rescues: bool,
    seed: int | None,
    pages: Path | None,
    paper: str,
    as_json: bool,
) -> None:
    """Plan a sheet for the parts in FILE….

    Without FILE it is for the parts of your last sheet, on the same horn and for the same concert. The sheet is kept
    if you keep a horn here; what you log of it counts for the next one.
    """
    from slurwright.cli.keeping import keeping, tell  # noqa: PLC0415  heavy rooms wait until a job runs
    from slurwright.cli.study_output import working  # noqa: PLC0415
    from slurwright.wiring.horns import kept_here  # noqa: PLC0415
    from slurwright.wiring.sheet import SheetWish, make_sheet  # noqa: PLC0415
    from slurwright.wiring.sheet_kept import check_page_name  # noqa: PLC0415

    if concert is not None and no_concert:
        raise click.UsageError("say either --concert or --no-concert, one of the two", context)
    if pages is not None:
        check_page_name(pages)
    wish = SheetWish(
        minutes,
        files,
        horn_name,
        player,
        tuning,
        concert=concert.date() if concert else None,
        no_concert=no_concert,
        part=part_name,
        voice=voice,
        written_for=written_for,
        reading=reading,
        dynamic=dynamic,
        tempo_qpm=tempo,
        rescues=not no_rescues,
        seed=seed,
    )
    with working("reading and planning"):
        if kept_here():
            with keeping() as store:
                made = make_sheet(store, wish)
        else:
            made = make_sheet(None, wish)
    for words in made.notices:
        tell(words)
    if made.kept is None:
        tell("this sheet is not kept: say --player, or add a horn of your own (slurwright horn add NAME --model ID)")
    _show(made.plan, sheet_id=made.kept.id if made.kept else None, states={}, as_json=as_json)
    if pages is not None:
        _draw(made.plan, pages, paper, name=made.plan.horn, player=player)


@today.command()
@click.argument("sheet_id", metavar="[SHEET]", required=False)
@player_option
@_PAGES
@_PAPER
@json_option
def show(*, sheet_id: str | None, player: str | None, pages: Path | None, paper: str, as_json: bool) -> None:
    """Show a SHEET and what was done of it; the last one without SHEET, the beginning of its id is enough."""
    from slurwright.cli.keeping import keeping  # noqa: PLC0415
    from slurwright.wiring.sheet_kept import check_page_name, horn_name, sheet_meant  # noqa: PLC0415

    if pages is not None:
        check_page_name(pages)
    with keeping() as store:
        sheet = sheet_meant(store, sheet_id, player=player)
        name = horn_name(store, sheet)
    _show(sheet.plan, sheet_id=sheet.kept.id, states=sheet.states, as_json=as_json)
    if pages is not None:
        _draw(sheet.plan, pages, paper, name=name, player=player)


@today.command()
@click.option("--sheet", "sheet_id", metavar="SHEET", help="Beginning of its id; else the last one.")
@player_option
@json_option
def left(*, sheet_id: str | None, player: str | None, as_json: bool) -> None:
    """Show what is left of a sheet, after an interruption."""
    from slurwright.cli.keeping import keeping  # noqa: PLC0415
    from slurwright.wiring.sheet_kept import sheet_meant  # noqa: PLC0415

    with keeping() as store:
        sheet = sheet_meant(store, sheet_id, player=player)
    _tell_of_day(sheet, sheet_id)
    if as_json:
        _show(sheet.plan, sheet_id=sheet.kept.id, states=sheet.states, as_json=True)
    elif not sheet.left:
        click.echo(f"nothing is left of sheet {sheet.short}")
    else:
        from slurwright.cli.today_report import print_sheet  # noqa: PLC0415

        print_sheet(sheet.plan, short=sheet.short, states=sheet.states, only=sheet.left)


@today.command()
@click.argument("number", type=int, metavar="ITEM")
@click.argument("words", nargs=-1, metavar="[good|rough|missed]...")
@click.option("--sheet", "sheet_id", metavar="SHEET", help="Beginning of its id; else the last one.")
@click.option("--more", is_flag=True, help="Further tries of an item that is done already.")
@player_option
def done(*, number: int, words: tuple[str, ...], sheet_id: str | None, more: bool, player: str | None) -> None:
    """Tick ITEM, and say by ear what became of its tries: good, rough, missed, or counted: good=7."""
    from slurwright.cli.keeping import keeping  # noqa: PLC0415
    from slurwright.wiring.sheet_kept import log_item, place_in_list, sheet_meant  # noqa: PLC0415

    with keeping() as store:
        sheet = sheet_meant(store, sheet_id, player=player)
        logged = log_item(store, sheet, number, words, more=more)
        first = place_in_list(store, sheet, logged) if logged else 0
        remaining = len(sheet_meant(store, sheet.kept.id, player=player).left)
    _tell_of_day(sheet, sheet_id)
    tries = f", {len(logged)} {'try' if len(logged) == 1 else 'tries'} logged" if logged else ""
    click.echo(f"done: item {number}{tries}; {remaining} left")
    if logged:
        last = first + len(logged) - 1
        click.echo(f"Undo: slurwright tried withdraw {first}{f'-{last}' if last > first else ''}")


@today.command()
@click.argument("numbers", nargs=-1, required=True, type=int, metavar="ITEM...")
@click.option("--sheet", "sheet_id", metavar="SHEET", help="Beginning of its id; else the last one.")
@player_option
def skip(*, numbers: tuple[int, ...], sheet_id: str | None, player: str | None) -> None:
    """Leave ITEMs out; `done` takes that back."""
    from slurwright.cli.keeping import keeping  # noqa: PLC0415
    from slurwright.wiring.sheet_kept import sheet_meant, skip_items  # noqa: PLC0415

    with keeping() as store:
        sheet = sheet_meant(store, sheet_id, player=player)
        skip_items(store, sheet, numbers)
        remaining = len(sheet_meant(store, sheet.kept.id, player=player).left)
    _tell_of_day(sheet, sheet_id)
    named = ", ".join(map(str, numbers))
    click.echo(f"skipped: item{'' if len(numbers) == 1 else 's'} {named}; {remaining} left")


def _show(plan: "KeptPlan", *, sheet_id: str | None, states: "dict[int, TickState]", as_json: bool) -> None:
    if as_json:
        from slurwright.cli.answers import print_json  # noqa: PLC0415
        from slurwright.jobs.sheet.answers import sheet_answer  # noqa: PLC0415

        print_json(sheet_answer(plan, sheet_id=sheet_id, states=states))
        return
    from slurwright.cli.today_report import print_sheet  # noqa: PLC0415

    print_sheet(plan, short=(sheet_id or "")[:8], states=states)


def _tell_of_day(sheet: "OpenSheet", sheet_id: str | None) -> None:
    """Say that the last sheet is for another day; who names a sheet knows."""
    from slurwright.cli.keeping import tell  # noqa: PLC0415
    from slurwright.wiring.sheet_kept import other_day_words  # noqa: PLC0415

    words = other_day_words(sheet)
    if words and sheet_id is None:
        tell(words)


def _draw(plan: "KeptPlan", pages: Path, paper: str, *, name: str, player: str | None) -> None:
    from slurwright.cli.study_output import working  # noqa: PLC0415
    from slurwright.wiring.sheet_kept import horn_of, write_sheet_pages  # noqa: PLC0415

    with working("drawing"):
        written = write_sheet_pages(plan, horn_of(plan, name=name, player=player), pages, paper=paper)
    for path in written:
        click.echo(f"written: {path}", err=True)
