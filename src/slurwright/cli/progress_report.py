"""A player's progress in a terminal: what is said of it, then every slur and note with its figures.

Each week of a slur is one figure, the chance that it speaks in tenths, so that a row of figures reads as a curve
without being drawn as one.
"""

from collections.abc import Sequence

from rich.console import Console
from rich.text import Text

from slurwright.cli.console import columns, heading, item, people_console
from slurwright.evidence.progress.values import NoteCurve, SlurCurve, Verdict
from slurwright.jobs.progress.gathered import ProgressAnswer
from slurwright.jobs.progress.words import (
    HOW_TO_READ,
    NOTHING_YET,
    chance_text,
    how_text,
    note_title,
    note_verdict,
    sections_of,
    slur_title,
)
from slurwright.jobs.take.words import counted
from slurwright.jobs.words import CAUTIONS, percent

__all__ = ["print_progress"]

_MOST_MARKS = 14


def print_progress(answer: ProgressAnswer, *, console: Console | None = None) -> None:
    """Print how a player got on.

    Args:
        answer: how they got on.
        console: where to; None for standard output.
    """
    console = console or people_console()
    title = f"Progress of {answer.player.name}" + (f": {answer.part}" if answer.part else "")
    console.print(Text(title, style="bold"))
    since = f" since {answer.since.isoformat()}" if answer.since else ""
    if not answer.progress.slurs and not answer.progress.notes:
        console.print(Text(NOTHING_YET if not since else f"Nothing was played{since}."))
        return
    horns = ", ".join(answer.horns.values())
    console.print(Text(f"{counted(answer.attempts, 'attempt')}{since}, on {horns}"))
    for section in sections_of(answer):
        heading(section.heading, console)
        for sentence in section.sentences:
            item(sentence, console)
    _slurs(answer, console)
    _notes(answer.progress.notes, answer, console)
    heading("How to read it", console)
    for words in (*HOW_TO_READ, _MARKS, CAUTIONS[0]):
        item(words, console)


_MARKS = (
    "By week: the chance that it speaks, in tenths, 0 to 9; a figure is one week, or several where they are many. "
    "Prior: the chance under the same circumstances before anything was learnt of you."
)


def _slurs(answer: ProgressAnswer, console: Console) -> None:
    for horn, name in answer.horns.items():
        slurs = [slur for slur in answer.progress.slurs if slur.horn == horn]
        if not slurs:
            continue
        heading(f"Slurs on {name}", console)
        rows: list[tuple[str, ...]] = [("how", "spoke", "prior", "now (nine in ten)", "by week")]
        for slur in slurs:
            rows.append((slur_title(slur), "", "", "", ""))
            rows += [_slur_row(curve) for curve in slur.curves]
        columns(rows, console, right={1, 2})


def _slur_row(curve: SlurCurve) -> tuple[str, ...]:
    drop = " to drop" if curve.versus is not None and curve.versus.drop else ""
    now = chance_text(curve.change.end.value)
    spoke = f"{curve.spoke} of {curve.tried}"
    return f"  {how_text(curve)}", spoke, percent(curve.prior), now, _by_week(curve) + drop


def _by_week(curve: SlurCurve) -> str:
    """A figure a week: the chance in tenths."""
    chosen = _thinned([point.value.value for point in curve.curve])
    return "".join(str(min(9, int(10.0 * chance))) for chance in chosen)


def _thinned(values: Sequence[float]) -> Sequence[float]:
    """As many values as there is room for, the first and the last among them."""
    if len(values) <= _MOST_MARKS:
        return values
    step = (len(values) - 1) / (_MOST_MARKS - 1)
    return [values[round(place * step)] for place in range(_MOST_MARKS)]


def _notes(notes: Sequence[NoteCurve], answer: ProgressAnswer, console: Console) -> None:
    told = [note for note in notes if note.verdict is not Verdict.UNKNOWN]
    for horn, name in answer.horns.items():
        mine = [note for note in told if note.horn == horn]
        if not mine:
            continue
        heading(f"Notes on {name}, cents against their targets", console)
        rows = [("note", "takes", "now (nine in ten), and what became of it")]
        rows += [(note_title(note), str(len(note.points)), note_verdict(note, today=answer.today)) for note in mine]
        columns(rows, console, right={1})
    if len(told) < len(notes):
        few = len(notes) - len(told)
        heading("Notes in too few takes to say how they change", console)
        item(f"{counted(few, 'note')} of {len(notes)}.", console)
