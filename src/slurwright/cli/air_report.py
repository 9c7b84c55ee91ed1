"""What other air does to a horn, in a terminal."""

from rich.console import Console
from rich.text import Text

from slurwright.cli.console import item, people_console
from slurwright.jobs.air import AirAnswer
from slurwright.jobs.words import NEVER_FORCE

__all__ = ["print_air"]


def print_air(answer: AirAnswer, *, console: Console | None = None) -> None:
    """Print how far a horn drifts and what its main slide can do.

    Args:
        answer: what other air does.
        console: where to; None for standard output.
    """
    console = console or people_console()
    cents = round(answer.drift_cents)
    side = "sharp" if cents > 0 else "flat"
    drift = f"{abs(cents)} cents {side}" if cents else "in tune"
    console.print(
        Text(f"A horn tuned at {answer.tuned_at_c:g} °C is {drift} at {answer.celsius:g} °C.", style="bold")
    )
    console.print(Text(f"One degree there moves it {answer.cents_each_degree:.1f} cents."))
    if answer.horn is not None and answer.pull_mm is not None:
        console.print(Text(f"{answer.horn.name}: {_slide(answer)}."))
        if abs(answer.left_cents) >= 1.0:
            left = "sharp" if answer.left_cents > 0 else "flat"
            console.print(
                Text(f"Left over: {abs(answer.left_cents):.0f} cents {left}; the slide goes no further than that.")
            )
    console.print()
    item(
        "the air in the horn counts: a played horn is warmer than a cold hall, so warm it up, then listen, then move "
        "the slide; the open horn is put right, long fingerings move a little less",
        console,
    )
    if answer.horn is not None:
        item(NEVER_FORCE, console)


def _slide(answer: AirAnswer) -> str:
    pull = answer.pull_mm or 0.0
    if not round(pull):
        return "leave the main slide where it is"
    return f"main slide {abs(pull):.0f} mm {'out' if pull > 0 else 'in'}"
