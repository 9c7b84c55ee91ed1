"""`slurwright tone`: tones that a player measures on their horn."""

from datetime import datetime
from pathlib import Path

import click

from slurwright.cli.options import json_option, player_option
from slurwright.cli.values import DAY, Figure

__all__ = ["tone"]


@click.group(
    epilog="""Examples:

\b
  slurwright tone add "old silver" "F3 4 -12" "Bb3 0 +4" --celsius 19
  slurwright tone add "old silver" --csv monday.csv
  slurwright tone list "old silver"
  slurwright tone withdraw "old silver" 7
"""
)
def tone() -> None:
    """Keep the tones that you measure: which note, on which fingering, how many cents out."""


@tone.command(context_settings={"ignore_unknown_options": True})
@click.argument("horn")
@click.argument("tones", nargs=-1, metavar='["NOTE FINGERING CENTS"]...')
@click.option("--csv", "table", type=click.Path(path_type=Path), metavar="FILE", help="Tones from a table instead.")
@click.option("--reading", metavar="ID", help="The notes are written in this reading; otherwise concert pitch.")
@click.option("--celsius", type=Figure(-20, 50), metavar="T", help="Air in the room.")
@click.option("--dynamic", metavar="MARK", help="How loud they were played; mf where nothing is said.")
@click.option("--on", type=DAY, metavar="DATE", help="When, as 2026-01-31; today otherwise.")
@click.option("--sitting", metavar="WORD", help="Tells sittings of one day apart, such as evening.")
@click.option("--by-ear", is_flag=True, help="Judged by ear, not by a tuner: believed less.")
@player_option
def add(
    horn: str,
    tones: tuple[str, ...],
    *,
    table: Path | None,
    reading: str | None,
    celsius: float | None,
    dynamic: str | None,
    on: datetime | None,
    sitting: str | None,
    by_ear: bool,
    player: str | None,
) -> None:
    """Add steady tones: "F3 4 -12" is sounding F3 on fingering 4, 12 cents flat of equal temperament.

    Tones of one day belong together: they share the air and the place of the main slide. If you moved the main slide
    or went into other air, say --sitting. A tone that does not fit the others is set aside when the horn is learnt,
    and `slurwright horn show` says why.
    """
    from slurwright.cli.keeping import keeping, tell  # noqa: PLC0415
    from slurwright.devices.clock import today  # noqa: PLC0415
    from slurwright.devices.packaged import load_horn  # noqa: PLC0415
    from slurwright.jobs.own_horn import own_horn  # noqa: PLC0415
    from slurwright.jobs.readings import reading_named  # noqa: PLC0415
    from slurwright.jobs.tone_list import said_before  # noqa: PLC0415
    from slurwright.jobs.tones import Conditions  # noqa: PLC0415
    from slurwright.jobs.words import tones_text  # noqa: PLC0415
    from slurwright.wiring.own_horn import add_tones  # noqa: PLC0415

    unknown = next((words for words in tones if words.startswith("--")), None)
    if unknown is not None:
        raise click.NoSuchOption(unknown)
    if bool(tones) == (table is not None):
        raise click.UsageError('say either tones ("F3 4 -12") or --csv, one of the two')
    with keeping() as store:
        own = own_horn(store, horn, player=player, catalogue=load_horn)
        conditions = Conditions(
            on=today() if on is None else on.date(),
            celsius=celsius,
            dynamic=dynamic,
            sitting=sitting or "",
            by_ear=by_ear,
            reading=None if reading is None else reading_named(reading, own.model),
        )
        added = add_tones(store, own, tones, table=table, conditions=conditions)
        total = len(own.readings) + len(added)
    again = said_before(own.readings, added)
    if again:
        tell(f"{again} of them stood there already, alike in every figure; `slurwright tone withdraw` takes them out")
    click.echo(f"added: {tones_text(len(added))}; {own.owned.name} now has {total}")


@tone.command("list")
@click.argument("horn")
@player_option
@json_option
def list_tones(horn: str, player: str | None, *, as_json: bool) -> None:
    """List the tones of a horn with their numbers, withdrawn ones too, and what became of each."""
    from slurwright.cli.keeping import keeping  # noqa: PLC0415
    from slurwright.devices.packaged import load_horn, load_priors  # noqa: PLC0415
    from slurwright.jobs.own_horn import learnt_of, own_horn  # noqa: PLC0415
    from slurwright.jobs.tone_list import told_tones  # noqa: PLC0415

    with keeping() as store:
        own = own_horn(store, horn, player=player, catalogue=load_horn)
        every = store.readings_of(own.owned.id, withdrawn=True)
    told = told_tones(every, learnt_of(own, load_priors()).verdicts)
    if as_json:
        from slurwright.cli.answers import print_json  # noqa: PLC0415
        from slurwright.jobs.own_answers import tones_answer  # noqa: PLC0415

        print_json(tones_answer(own.owned, told))
        return
    from slurwright.cli.own_horn_report import print_tones  # noqa: PLC0415

    print_tones(own, told)


@tone.command()
@click.argument("horn")
@click.argument("numbers", nargs=-1, required=True, type=click.IntRange(1), metavar="NUMBER...")
@player_option
def withdraw(horn: str, numbers: tuple[int, ...], player: str | None) -> None:
    """Leave tones out of account; `slurwright tone restore` takes it back. NUMBERs are those of `tone list`."""
    _mark(horn, numbers, player, withdrawn=True)


@tone.command()
@click.argument("horn")
@click.argument("numbers", nargs=-1, required=True, type=click.IntRange(1), metavar="NUMBER...")
@player_option
def restore(horn: str, numbers: tuple[int, ...], player: str | None) -> None:
    """Take tones into account again that were withdrawn."""
    _mark(horn, numbers, player, withdrawn=False)


def _mark(horn: str, numbers: tuple[int, ...], player: str | None, *, withdrawn: bool) -> None:
    from slurwright.cli.keeping import keeping  # noqa: PLC0415
    from slurwright.devices.clock import now  # noqa: PLC0415
    from slurwright.jobs.own_horn import player_for  # noqa: PLC0415
    from slurwright.jobs.tone_list import numbered  # noqa: PLC0415

    with keeping() as store:
        owned = store.horn_named(player_for(store, player).id, horn)
        ids = numbered(store.readings_of(owned.id, withdrawn=True), numbers)
        (store.withdraw if withdrawn else store.restore)(ids, now=now())
    which = ", ".join(map(str, numbers))
    if withdrawn:
        click.echo(f"withdrawn: {which} of {owned.name}")
        click.echo(f"Undo: slurwright tone restore {_quoted(owned.name)} {' '.join(map(str, numbers))}")
    else:
        click.echo(f"back in account: {which} of {owned.name}")


def _quoted(name: str) -> str:
    import shlex  # noqa: PLC0415

    return shlex.quote(name)
