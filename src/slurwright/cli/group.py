"""The command `slurwright` and its sub-commands."""

import click

from slurwright import __version__
from slurwright.cli.air import air
from slurwright.cli.book import book
from slurwright.cli.demo import demo
from slurwright.cli.exercises import exercises
from slurwright.cli.horn import horn
from slurwright.cli.horns import horns
from slurwright.cli.note import note
from slurwright.cli.part import part
from slurwright.cli.progress import progress
from slurwright.cli.pulls import pulls
from slurwright.cli.take import take
from slurwright.cli.today import today
from slurwright.cli.tone import tone
from slurwright.cli.trial import trial
from slurwright.cli.tried import tried
from slurwright.cli.unmark import unmark

__all__ = ["slurwright"]


@click.group(
    context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100},
    epilog="Start with:  slurwright demo",
)
@click.version_option(__version__, prog_name="slurwright")
def slurwright() -> None:
    """Plan a brass part for the horn you own.

    Which fingerings sound each note and how far out they are, which slurs are likely to break and what to do
    about each, and the part given back marked and engraved for the stand.
    """


for _command in (
    part,
    take,
    tried,
    progress,
    today,
    note,
    horns,
    horn,
    tone,
    trial,
    pulls,
    air,
    exercises,
    book,
    unmark,
    demo,
):
    slurwright.add_command(_command)
