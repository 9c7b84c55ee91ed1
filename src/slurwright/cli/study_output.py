"""What a studied part shows in the terminal, and the line that says what takes its time."""

import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import click

from slurwright.cli.answers import print_json
from slurwright.wiring.part import StudiedFile

__all__ = ["show_study", "working"]


@contextmanager
def working(what: str) -> Iterator[None]:
    """Say on the terminal what is being done, if anyone is looking and while it lasts."""
    if not sys.stderr.isatty():
        yield
        return
    from rich.console import Console  # noqa: PLC0415  only people need it

    with Console(stderr=True).status(f"{what} …"):
        yield


def show_study(studied: StudiedFile, written: tuple[Path, ...] = (), *, as_json: bool = False) -> None:
    """Print a studied part as a report for people, or as JSON.

    Args:
        studied: the studied part.
        written: files that were written, to be named at the end.
        as_json: JSON instead of the report.
    """
    if as_json:
        from slurwright.formats.study_json import part_answer  # noqa: PLC0415

        print_json(part_answer(studied.study))
    else:
        from slurwright.cli.report import print_study  # noqa: PLC0415

        print_study(studied.study)
    for path in written:
        click.echo(f"written: {path}", err=True)
