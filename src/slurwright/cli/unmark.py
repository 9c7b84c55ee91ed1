"""`slurwright unmark`: take our marks out of a file again."""

from pathlib import Path

import click

__all__ = ["unmark"]


@click.command(epilog="Example:  slurwright unmark waltz-marked.musicxml waltz.musicxml")
@click.argument("file", type=click.Path(path_type=Path))
@click.argument("out", type=click.Path(path_type=Path))
def unmark(file: Path, out: Path) -> None:
    """Write FILE without Slurwright's marks to OUT: byte for byte the file that was marked."""
    from slurwright.wiring.part import unmark_path  # noqa: PLC0415

    unmark_path(file, out)
    click.echo(f"written without marks: {out}", err=True)
