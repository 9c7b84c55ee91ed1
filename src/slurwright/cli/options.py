"""Options that several commands share."""

from collections.abc import Callable
from typing import TypeVar

import click

from slurwright.cli.values import Figure

__all__ = [
    "DYNAMICS",
    "add_tones_option",
    "horn_options",
    "json_option",
    "pin_option",
    "player_option",
    "reading_option",
    "score_options",
    "tried_option",
    "which_part_options",
    "yes_option",
]

DYNAMICS = ("ppp", "pp", "p", "mp", "mf", "f", "ff", "fff")

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


def which_part_options(command: _Command) -> _Command:
    """Add the options that say which part of a file is meant."""
    for option in reversed(
        (
            click.option(
                "--part", "part_name", metavar="NAME", help="Which part of a score: its name, number or instrument."
            ),
            click.option("--voice", metavar="V", help="Which voice where a part divides: 1, 2, top or bottom."),
            click.option(
                "--written-for", metavar="READING", help="How the part is written, where the file does not say."
            ),
        )
    ):
        command = option(command)
    return command


pin_option = click.option(
    "--pin", "pins", multiple=True, metavar="WHERE=FINGERING", help="Keep a fingering: 12:3=4 or F3=4."
)
tried_option = click.option(
    "--tried",
    multiple=True,
    metavar="WHERE=TECHNIQUE",
    help="What you did at a slur: 12:3=legato-tongue or half-valve; WHERE is the note it leads from.",
)
add_tones_option = click.option(
    "--add-tones",
    is_flag=True,
    help="The plan's fingerings were used: let the steady notes tell where your own horn sounds.",
)


def score_options(command: _Command) -> _Command:
    """Add the options that say which part of a file is meant, how it is read and how it is played."""
    for option in reversed(
        (
            click.option("--typed", metavar="ABC", help="A passage typed in ABC notation instead of FILE."),
            which_part_options,
            click.option(
                "--reading", metavar="READING", help="Reading for pages and report; the file's own otherwise."
            ),
            click.option(
                "--dynamic", type=click.Choice(DYNAMICS), help="Play all of it at this dynamic: the conductor's word."
            ),
            click.option(
                "--tempo",
                type=Figure(10, 400),
                metavar="QPM",
                help="First tempo in quarter notes a minute.",
            ),
            pin_option,
        )
    ):
        command = option(command)
    return command
