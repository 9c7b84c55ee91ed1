"""Where to set the slides, in a terminal: each slide in millimetres, each note before and after."""

from rich.console import Console
from rich.table import Table
from rich.text import Text

from slurwright.cli.console import heading, item, people_console
from slurwright.horn import HornKind
from slurwright.horn.slides import Summary
from slurwright.jobs.pulls import PulledNote, PullsAnswer
from slurwright.jobs.words import NEVER_FORCE, cents_text, percent, tones_text
from slurwright.pitch import Reading

__all__ = ["print_pulls"]

_ROUND_CM = 0.1


def print_pulls(answer: PullsAnswer, reading: Reading, *, console: Console | None = None) -> None:
    """Print where to set the slides and what that does.

    Args:
        answer: the pulls.
        reading: how the player reads.
        console: where to; None for standard output.
    """
    console = console or people_console()
    console.print(Text(f"Slides of {answer.horn.name}", style="bold"))
    console.print(_slides(answer))
    console.print()
    console.print(_sum(answer))
    heading("Every note, before and after", console)
    console.print(_notes(answer, reading))
    console.print()
    for words in _words(answer):
        item(words, console)


def _slides(answer: PullsAnswer) -> Table:
    table = Table(box=None, padding=(0, 2, 0, 0), pad_edge=False, header_style="bold")
    for name in ("slide", "set it", "it can go"):
        table.add_column(name, no_wrap=True)
    known = {slide.name: slide for slide in answer.horn.slides}
    moved = {pull.name: pull.drawn_mm for pull in answer.slides.pulls}
    for name, slide in known.items():
        ways = (
            f"{1000 * slide.in_m:.0f} mm in to {1000 * slide.out_m:.0f} mm out"
            if slide.in_m
            else (f"0 to {1000 * slide.out_m:.0f} mm out")
        )
        held = "stays where it is" if name not in moved else pull_text(moved[name])
        table.add_row(Text(name), Text(held), Text(f"{ways}, to {1000 * slide.step_m:g} mm"))
    return table


def pull_text(drawn_mm: float) -> str:
    """Say how far a slide goes from where it is.

    Args:
        drawn_mm: out above zero, in below [mm].
    """
    if not round(drawn_mm, 1):
        return "where it is"
    return f"{abs(drawn_mm):g} mm {'out' if drawn_mm > 0 else 'in'}"


def _sum(answer: PullsAnswer) -> Table:
    table = Table(box=None, padding=(0, 2, 0, 0), pad_edge=False, header_style="bold")
    for name in ("", "on average", "worst", f"within {answer.within_cents:g} cents"):
        table.add_column(name, justify="right" if name else "left", no_wrap=True)
    for name, summary in (("before", answer.slides.before), ("after", answer.slides.after)):
        table.add_row(name, *_figures(summary))
    return table


def _figures(summary: Summary) -> tuple[str, str, str]:
    return f"{summary.rms_cents:.1f} cents", f"{summary.worst_cents:.0f} cents", percent(summary.within)


def _notes(answer: PullsAnswer, reading: Reading) -> Table:
    slide = answer.horn.kind is HornKind.SLIDE
    table = Table(box=None, padding=(0, 1, 0, 0), pad_edge=False, header_style="bold")
    held = "position" if slide else "fingering"
    for name, justify in (("note", "left"), (f"{held} on partial", "left"), ("before", "right"), ("after", "right")):
        table.add_column(name, justify=justify, no_wrap=True)  # type: ignore[arg-type]
    table.add_column("while playing")
    for one in answer.notes:
        note = one.change.note
        table.add_row(
            str(reading.transposition.to_written(note.sounding)),
            Text(f"{note.fingering} on {note.partial}"),
            cents_text(one.change.before_cents),
            cents_text(one.change.after_cents),
            Text(_while_playing(one)),
            style="" if abs(one.change.after_cents) <= answer.within_cents or slide else "bold",
        )
    return table


def _while_playing(one: PulledNote) -> str:
    if one.move is not None:
        if abs(one.move.drawn_cm) < _ROUND_CM:
            moved = "the usual place"
        else:
            moved = f"{abs(one.move.drawn_cm):.1f} cm {'out' if one.move.drawn_cm > 0 else 'in'}"
        return moved + (f", {cents_text(one.move.left_cents)} left" if abs(one.move.left_cents) >= 1 else "")
    return "; or ".join(
        f"{kick.name} slide {abs(kick.drawn_mm):.0f} mm {'out' if kick.drawn_mm > 0 else 'in'}"
        + (f", {cents_text(kick.left_cents)} left" if abs(kick.left_cents) >= 1 else "")
        for kick in one.kicks
    )


def _words(answer: PullsAnswer) -> list[str]:
    learnt = answer.horn.measured_tones
    known = (
        f"cents are learnt from {tones_text(learnt)} of this horn and the pulls count from where the slides were then"
        if learnt
        else "cents are those of the model and the pulls count from where its tubes have their nominal length; "
        "measure your own horn before you trust a millimetre"
    )
    words = [known]
    if answer.horn.kind is HornKind.SLIDE:
        words.append(
            "the tuning slides are set for the notes of the closed slide; while playing, centimetres from the usual "
            "place of the position"
        )
    else:
        words.append("before and after are in cents, + sharp; bold: still further out than counts as in tune")
    words.append("how far a slide can go is common practice, not your instrument: look before you pull")
    words.append(NEVER_FORCE)
    return words
