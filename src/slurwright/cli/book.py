"""`slurwright book`: everything that players keep, as a whole."""

from pathlib import Path

import click

from slurwright.cli.options import yes_option

__all__ = ["book"]


@click.group()
def book() -> None:
    """Take care of everything that is kept: write it out, read it in, back it up."""


@book.command()
@click.argument("file", type=click.Path(path_type=Path))
def export(file: Path) -> None:
    """Write all players, horns and tones into FILE, one JSON document (schema: docs/schemas/store.schema.json)."""
    from slurwright.cli.keeping import keeping  # noqa: PLC0415
    from slurwright.wiring.book import export_to  # noqa: PLC0415

    with keeping() as store:
        export_to(store, file)
    click.echo(f"written: {file}", err=True)


@book.command("import")
@click.argument("file", type=click.Path(path_type=Path))
def import_book(file: Path) -> None:
    """Join a document that `slurwright book export` wrote, here or elsewhere, with what is kept.

    Nothing is overwritten and nothing counted twice; importing the same file again changes nothing.
    """
    from slurwright.cli.keeping import keeping  # noqa: PLC0415
    from slurwright.wiring.book import import_from  # noqa: PLC0415

    with keeping() as store:
        done = import_from(store, file)
    click.echo(
        f"new: {done.players_added} players, {done.horns_added} horns, {done.readings_added} tones; "
        f"changed: {done.changed}"
    )


@book.command()
def backup() -> None:
    """Make a backup now. One is made by itself on each day on which something was changed."""
    from slurwright.cli.keeping import keeping  # noqa: PLC0415
    from slurwright.devices.clock import now  # noqa: PLC0415

    with keeping() as store:
        made = store.back_up(now=now())
    click.echo(f"backup: {made.path}")


@book.command()
def where() -> None:
    """Say where everything is kept, and which backups there are."""
    from slurwright.wiring.book import kept_backups, place  # noqa: PLC0415

    path = place()
    click.echo(f"{path}{'' if path.exists() else ' (nothing yet)'}")
    for one in kept_backups():
        click.echo(f"backup: {one.path}")


@book.command()
@click.argument("file", required=False, type=click.Path(path_type=Path))
@click.option("--empty", is_flag=True, help="Begin with nothing, where what was kept is lost.")
@yes_option
def restore(file: Path | None, *, empty: bool, yes: bool) -> None:
    """Put a backup in the place of what is kept: FILE, or the newest sound one.

    What is there now is set aside beside it, never overwritten.
    """
    from slurwright.wiring.book import begin_anew, bring_back, newest_backup  # noqa: PLC0415

    if empty:
        if file is not None:
            raise click.UsageError("say either FILE or --empty, one of the two")
        click.echo(f"begun: {begin_anew()}")
        return
    backup_file = file or newest_backup()
    if not yes:
        click.confirm(f"Put {backup_file} in the place of what is kept now?", abort=True)
    aside = bring_back(backup_file)
    click.echo(f"restored: {backup_file}")
    if aside is not None:
        click.echo(f"set aside: {aside}")
