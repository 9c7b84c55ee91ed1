"""What a measured take shows in the terminal."""

from pathlib import Path

import click

from slurwright.cli.answers import print_json
from slurwright.wiring.take import MeasuredFile

__all__ = ["show_measured"]


def show_measured(measured: MeasuredFile, written: tuple[Path, ...] = (), *, as_json: bool = False) -> None:
    """Print a measured take as a report for people, or as JSON.

    Args:
        measured: the take.
        written: files that were written, to be named at the end.
        as_json: JSON instead of the report.
    """
    if as_json:
        from slurwright.jobs.take.answers import answer_of_take  # noqa: PLC0415

        print_json(answer_of_take(measured.taken, notices=measured.remarks))
    else:
        from slurwright.cli.take_report import print_take  # noqa: PLC0415

        print_take(measured.taken, notices=measured.remarks)
    for path in written:
        click.echo(f"written: {path}", err=True)
    if measured.kept is not None:
        sound = "its figures and its recording" if measured.kept.sound is not None else "its figures"
        click.echo(f"kept: take {measured.kept.id[:8]}, {sound}", err=True)
    if measured.tones:
        click.echo(f"tones added: {measured.tones} steady notes (`slurwright tone list`)", err=True)
