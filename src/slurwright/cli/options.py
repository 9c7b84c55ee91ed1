"""Options that several commands share."""

from collections.abc import Callable
from typing import TypeVar

import click

__all__ = ["horn_options", "json_option"]

_Command = TypeVar("_Command", bound=Callable[..., object])


def horn_options(command: _Command) -> _Command:
    """Add the options that say which horn it is and how it is set."""
    for option in reversed(
        (
            click.option(
                "--horn", "horn_id", required=True, metavar="ID", help="Your instrument, one of `slurwright horns`."
            ),
            click.option(
                "--tuning",
                metavar="SCHEME",
                help="How the valve slides are set: exact, third-long-23, third-long-13, least-squares or minimax.",
            ),
            click.option(
                "--tendency",
                "tendencies",
                multiple=True,
                metavar='"F3 4 -12"',
                help="What you know of your own horn: sounding note, fingering, cents. May be repeated.",
            ),
        )
    ):
        command = option(command)
    return command


json_option = click.option("--json", "as_json", is_flag=True, help="Answer as JSON (schemas: docs/schemas).")
