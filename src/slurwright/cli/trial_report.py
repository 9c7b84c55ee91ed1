"""Trials in a terminal."""

from collections.abc import Mapping, Sequence

from rich.console import Console
from rich.table import Table
from rich.text import Text

from slurwright.cli.console import columns, hang, heading, item, people_console
from slurwright.evidence.trial.tries import arm_key
from slurwright.evidence.trial.values import Aspect, Compared
from slurwright.jobs.trial.running import RunningTrial
from slurwright.jobs.trial.words import (
    arm_line,
    figure_text,
    play_lines,
    provenance_words,
    rest_words,
    sentence_of,
    slur_said,
    state_words,
)
from slurwright.jobs.words import CAUTIONS
from slurwright.wiring.trials import BegunTrial

__all__ = ["print_begun", "print_next", "print_trial", "print_trials"]

_HEADINGS = {
    Aspect.SPEAKING: "speaks, in 100",
    Aspect.SMOOTHNESS: "smoothness",
    Aspect.TUNING: "cents out",
}
_EVEN = 0.5


def print_begun(begun: BegunTrial, *, horn: str, console: Console | None = None) -> None:
    """Print a trial that was laid down, and what to play first.

    Args:
        begun: the trial.
        horn: what the player calls it.
        console: where to; None for standard output.
    """
    console = console or people_console()
    print_next(begun.trial, horn=horn, console=console)
    if begun.others:
        words = f"Not compared: {', '.join(begun.others)}. Another trial with --choose would."
        hang("", words.split(" "), console)


def print_next(trial: RunningTrial, *, horn: str, console: Console | None = None) -> None:
    """Print what to play next.

    Args:
        trial: as it stands.
        horn: what the player calls it.
        console: where to; None for standard output.
    """
    console = console or people_console()
    design, ahead = trial.design, trial.ahead
    _print_head(trial, horn, console)
    if trial.kept.ended_at is not None or not ahead:
        hang("", f"Nothing more to play: {state_words(trial)}.".split(" "), console)
        return
    if trial.standing.over:
        hang("", f"This is enough, {state_words(trial)} (slurwright trial show {trial.short}).".split(" "), console)
        hang("", ["Who", "plays", "on", "all", "the", "same", "makes", "it", "surer:"], console)
    blocks = sorted({slot.block + 1 for slot in ahead})
    which = f"block {blocks[0]}" if len(blocks) == 1 else f"blocks {blocks[0]} to {blocks[-1]}"
    tempo = f"{design.tempo_qpm:.0f} quarters a minute"
    heading(f"Play {which} now: {len(ahead)} tries at {design.mark or 'mf'}, {tempo}", console)
    for line in play_lines(design, ahead):
        console.print(Text(f"{line.number:>3}  {line.arm}  {line.said}"))
    console.print()
    for words in rest_words(design):
        item(words, console)
    for words in _after(trial):
        item(words, console)
    console.print()
    hang("", CAUTIONS[0].split(" "), console)


def _after(trial: RunningTrial) -> tuple[str, ...]:
    """Say how what was played comes into the trial."""
    taken = f"slurwright trial page {trial.short} OUT.pdf, then trial take {trial.short} RECORDING"
    if trial.design.aim is not Aspect.SPEAKING:
        return (f"Record it, as only takes tell of {trial.design.aim}: {taken}",)
    logged = f"slurwright trial log {trial.short} good rough missed …"
    return f"Then say how each went: {logged}", f"Or record it: {taken}"


def print_trial(trial: RunningTrial, *, horn: str, console: Console | None = None) -> None:
    """Print how a trial stands.

    Args:
        trial: as it stands.
        horn: what the player calls it.
        console: where to; None for standard output.
    """
    console = console or people_console()
    _print_head(trial, horn, console)
    hang("", f"{_capital(state_words(trial))}.".split(" "), console)
    for one in trial.standing.compared:
        heading(one.aspect.value.capitalize(), console)
        _print_table(trial, one, console)
        hang("", sentence_of(trial.design, one).split(" "), console)
    heading("Where the figures come from", console)
    for words in provenance_words(trial.design):
        item(words, console)
    console.print()
    if trial.ahead and trial.kept.ended_at is None:
        said = "Next" if not trial.standing.over else "It is enough; to go on all the same"
        hang("", f"{said}: slurwright trial next {trial.short}".split(" "), console)
    hang("", CAUTIONS[1].split(" "), console)


def _capital(words: str) -> str:
    return words[:1].upper() + words[1:]


def _print_head(trial: RunningTrial, horn: str, console: Console) -> None:
    design = trial.design
    where = f"{design.label} of {design.part.title or design.part.file}"
    words = f"Trial {trial.short}: {slur_said(design)} ({where}) at {design.mark or 'mf'}, on {horn}"
    hang("", words.split(" "), console, bold=r"^Trial \S+")
    for number, arm in enumerate(design.arms):
        hang(f"  {arm_key(number)}  ", arm_line(arm).split(" "), console)


def _print_table(trial: RunningTrial, one: Compared, console: Console) -> None:
    speaking = one.aspect is Aspect.SPEAKING
    rows = [("", "tries", *(("spoke",) if speaking else ()), _HEADINGS[one.aspect], "best choice")]
    for number, arm in enumerate(one.arms):
        spoke = sum(tried.spoke >= _EVEN for tried in trial.standing.tries if tried.slot.arm == number)
        value, low, high = (figure_text(x, one.aspect) for x in (arm.figure.value, arm.figure.low, arm.figure.high))
        counted = (str(arm.tries), *((str(spoke),) if speaking else ()))
        rows.append((arm_key(number), *counted, f"{value} ({low} to {high})", f"{100.0 * arm.best:.0f} in 100"))
    columns(rows, console, right={1, 2} if speaking else {1})


def print_trials(found: Sequence[RunningTrial], horns: Mapping[str, str], *, console: Console | None = None) -> None:
    """Print a list of trials.

    Args:
        found: in the order in which they were begun.
        horns: names of the player's horns by their ids.
        console: where to; None for standard output.
    """
    console = console or people_console()
    if not found:
        console.print(Text("No trial is kept: slurwright trial new FILE 12:3 --horn NAME"))
        return
    table = Table(box=None, pad_edge=False, padding=(0, 2, 0, 0), header_style="bold")
    for name in ("trial", "begun on", "slur", "where", "horn", "compared", "state"):
        table.add_column(name, overflow="fold")
    for one in found:
        about = one.kept.about
        table.add_row(
            one.short,
            one.kept.made_at.astimezone().date().isoformat(),
            Text(slur_said(one.design)),
            Text(f"{one.design.label} of {one.design.part.title or one.design.part.file}"),
            Text(horns.get(about.horn_id or "", about.model)),
            Text(", ".join(arm.name for arm in one.design.arms)),
            Text(state_words(one)),
        )
    console.print(table)
