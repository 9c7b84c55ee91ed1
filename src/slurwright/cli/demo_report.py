"""What is told of the weeks of the demo's made-up player."""

from rich.console import Console

from slurwright.cli.console import columns, heading, item, people_console
from slurwright.cli.learnt_report import print_learnt
from slurwright.jobs.demo.weeks import SlurThen
from slurwright.jobs.words import percent
from slurwright.wiring.demo_weeks import LivedWeeks

__all__ = ["print_weeks"]


def print_weeks(lived: LivedWeeks, *, console: Console | None = None) -> None:
    """Print what was learnt beside what the priors said and what was made up, and how the plan changes.

    Args:
        lived: the weeks when they are over.
        console: where to; None for standard output.
    """
    console = console or people_console()
    heading(f"{lived.player.name}, a made-up player, after {lived.takes} takes", console)
    logged = len(lived.attempts) - lived.measured
    minutes = lived.sheets[0].minutes
    times = f"{len(lived.sheets)} sheet{'' if len(lived.sheets) == 1 else 's'} of {minutes:g} minutes"
    item(f"practised by {times}: {logged} attempts were logged by ear, {lived.measured} measured in takes", console)
    heads = ("slur", "choice", "prior", "learnt", "nine in ten", "tries", "made up")
    columns([heads, *map(_row, lived.slurs)], console, right={2, 3, 4, 5})
    item("chances of a break; learnt only from what was heard, made up is what the takes were drawn from", console)
    held = sum(slur.low <= slur.true <= slur.high for slur in lived.slurs)
    item(f"the interval holds what was made up in {held} of {len(lived.slurs)}", console)
    print_learnt(lived.after.study, console)


def _row(slur: SlurThen) -> tuple[str, ...]:
    return (
        " to ".join(slur.pair),
        slur.technique.said,
        percent(slur.prior),
        percent(slur.learnt),
        f"{percent(slur.low).removesuffix(' %')}-{percent(slur.high)}",
        f"{slur.attempts:.0f}",
        percent(slur.true),
    )
