"""What was logged by ear, in a terminal."""

from collections.abc import Mapping, Sequence
from datetime import date

from rich.console import Console
from rich.text import Text

from slurwright.cli.console import columns, people_console
from slurwright.evidence.kept import LoggedAttempt
from slurwright.jobs.take.words import counted
from slurwright.jobs.tried_list import LoggedRow, heard_text, logged_rows
from slurwright.plan import Technique
from slurwright.wiring.tried import LoggedHere

__all__ = ["print_logged", "print_tried"]


def print_logged(logged: LoggedHere, *, console: Console | None = None) -> None:
    """Say what was just logged, and how it is taken back.

    Args:
        logged: what was logged.
        console: where to; None for standard output.
    """
    console = console or people_console()
    first, last = logged.first, logged.first + len(logged.attempts) - 1
    row = LoggedRow(first, last, logged.attempts)
    console.print(
        Text(f"logged: {counted(len(logged.attempts), 'attempt')} at {_slur(row)}: {heard_text(row.attempts)}")
    )
    console.print(Text(f"Undo: slurwright tried withdraw {_numbers(row)}"))


def print_tried(
    every: Sequence[LoggedAttempt],
    horns: Mapping[str, str],
    *,
    since: date | None = None,
    console: Console | None = None,
) -> None:
    """List what was logged, alike attempts in one line.

    Args:
        every: all attempts of a player, in the order in which they were logged.
        horns: names of their horns by the ids.
        since: only those that were played since then; None for all.
        console: where to; None for standard output.
    """
    console = console or people_console()
    rows = [row for row in logged_rows(every) if since is None or row.attempts[0].about.played_on >= since]
    if not rows:
        when = f" since {since.isoformat()}" if since else " yet"
        console.print(Text(f"Nothing was logged{when}: slurwright tried log FILE 12:3 good rough missed --horn NAME"))
        return
    several = len({(row.attempts[0].about.horn_id, row.attempts[0].about.model) for row in rows}) > 1
    cells = [("no.", "day", "heard", "slur"), *(_cells(row, horns if several else None) for row in rows)]
    columns(cells, console, right={0})


def _cells(row: LoggedRow, horns: Mapping[str, str] | None) -> tuple[str, ...]:
    """One line of the list; the horn is named where there are several."""
    about = row.attempts[0].about
    horn = "" if horns is None else f"; {horns.get(about.horn_id or '', about.model)}"
    gone = "; withdrawn" if row.withdrawn else ""
    return _numbers(row), about.played_on.isoformat(), heard_text(row.attempts), f"{_slur(row)}{horn}{gone}"


def _numbers(row: LoggedRow) -> str:
    return f"{row.first}" if row.first == row.last else f"{row.first}-{row.last}"


def _slur(row: LoggedRow) -> str:
    about = row.attempts[0].about
    first, second = row.notes
    ways = " to ".join(way.fingering for way in about.tried.ways)
    technique = "" if about.tried.technique is Technique.PLAIN else f", {about.tried.technique.value}"
    place = f" ({about.label})" if about.label else ""
    return f"{first} to {second}{place} on {ways}{technique}"
