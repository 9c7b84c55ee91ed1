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
@click.option("--sound", is_flag=True, help="The recordings of takes too, into a folder beside FILE: band-takes.")
def export(file: Path, *, sound: bool) -> None:
    """Write all players, horns, tones, takes, tries, trials and sheets into FILE.

    One JSON document (schema: docs/schemas/store.schema.json); recordings only if asked for.
    """
    from slurwright.cli.keeping import keeping  # noqa: PLC0415
    from slurwright.wiring.book import export_to, sounds_beside  # noqa: PLC0415

    with keeping() as store:
        copied = export_to(store, file, sounds=sound)
    click.echo(f"written: {file}", err=True)
    if copied:
        click.echo(f"written: {sounds_beside(file)}, {copied} recordings", err=True)


@book.command("import")
@click.argument("file", type=click.Path(path_type=Path))
def import_book(file: Path) -> None:
    """Join a document that `slurwright book export` wrote, here or elsewhere, with what is kept.

    Recordings that lie in the folder beside it come with it. Nothing is overwritten and nothing counted twice;
    importing the same file again changes nothing.
    """
    from slurwright.cli.keeping import keeping  # noqa: PLC0415
    from slurwright.wiring.book import import_from  # noqa: PLC0415

    with keeping() as store:
        done = import_from(store, file)
    click.echo(
        f"new: {done.players_added} players, {done.horns_added} horns, {done.readings_added} tones, "
        f"{done.takes_added} takes, {done.sounds_added} recordings, {done.attempts_added} tries by ear, "
        f"{done.trials_added} trials, {done.sheets_added} sheets; changed: {done.changed}"
    )


@book.command()
def check() -> None:
    """Look through all that is kept: is it sound, does each take have its recording. Nothing is changed."""
    from slurwright.cli.keeping import keeping  # noqa: PLC0415
    from slurwright.wiring.book import faults_found  # noqa: PLC0415

    with keeping() as store:
        found = faults_found(store)
    for words in found:
        click.echo(words)
    if not found:
        click.echo("sound")


@book.command()
def backup() -> None:
    """Make a backup now. One is made by itself on each day on which something was changed.

    It holds all but the recordings of takes: for those use `slurwright book export --sound`.
    """
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
