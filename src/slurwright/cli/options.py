"""Options that several commands share."""

from collections.abc import Callable
from typing import TypeVar

import click

__all__ = ["horn_options", "json_option", "player_option", "reading_option", "yes_option"]

_Command = TypeVar("_Command", bound=Callable[..., object])


player_option = click.option("--player", metavar="NAME", help="Whose horn, where several players keep theirs here.")
yes_option = click.option("--yes", is_flag=True, help="Do not ask.")
reading_option = click.option("--reading", metavar="ID", help="How you read: bass-concert, treble-b9, …")


def horn_options(command: _Command) -> _Command:
    """Add the options that say which horn it is and how it is set."""
    for option in reversed(
        (
            click.option(
                "--horn",
                "horn_name",
                required=True,
                metavar="NAME",
                help="Your own horn (`slurwright horn add`), or a model's id (`slurwright horns`).",
            ),
            player_option,
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
