"""The terminal as the reports see it: plain where nobody looks at colours, never a crash over a letter."""

import sys
from collections.abc import Collection, Iterable, Sequence

from rich.cells import cell_len
from rich.console import Console
from rich.text import Text

__all__ = ["columns", "hang", "heading", "item", "people_console"]


def people_console() -> Console:
    """Console for reports on standard output.

    Colour is left out when the output is not a terminal or NO_COLOR is set; letters that the terminal's encoding
    does not have are replaced instead of ending the report.
    """
    reconfigure = getattr(sys.stdout, "reconfigure", None)
    if reconfigure is not None:
        reconfigure(errors="replace")
    return Console(highlight=False, emoji=False, markup=False)


def heading(words: str, console: Console) -> None:
    """Print the heading of a section."""
    console.print()
    console.print(Text(words, style="bold"))


def item(words: str, console: Console, *, sign: str = "-") -> None:
    """Print one point of a list, wrapped under itself."""
    hang(f"{sign:>3} ", words.split(" "), console)


def hang(lead: str, pieces: Iterable[str], console: Console, *, bold: str = "") -> None:
    """Print a line that goes on under itself, with no spaces at its ends.

    Args:
        lead: what the first line begins with.
        pieces: words, broken only between them.
        console: where to.
        bold: pattern of what is set bold.

    """
    _hang(lead, pieces, console, bold=bold, width=console.width)


def _hang(lead: str, pieces: Iterable[str], console: Console, *, bold: str, width: int) -> None:
    room = max(20, width - len(lead))
    lines: list[str] = []
    for piece in pieces:
        if lines and len(lines[-1]) + 1 + len(piece) <= room:
            lines[-1] += f" {piece}"
        else:
            lines.append(piece)
    for place, line in enumerate(line.rstrip() for line in lines):
        indent = " " * len(lead) if place else lead
        whole = f"{indent if line else indent.rstrip()}{line}"
        if not bold and whole.isprintable() and cell_len(whole) <= width:
            console.out(whole, highlight=False)  # what fits and is plain needs none of the work on styles and breaks
            continue
        text = Text(whole[: len(whole) - len(line)])
        said = Text(line)
        if bold:
            said.highlight_regex(bold, style="bold")
        console.print(text.append_text(said))


def columns(rows: Sequence[Sequence[str]], console: Console, *, right: Collection[int] = (), bold: int = -1) -> None:
    """Print rows as columns, the last one wrapped under itself; no line ends in spaces.

    Args:
        rows: the first of them is the head.
        console: where to.
        right: columns that are set to the right.
        bold: the row that stands out; -1 for none.

    """
    width = console.width
    widths = [max(len(row[place]) for row in rows) for place in range(len(rows[0]) - 1)]
    for number, row in enumerate(rows):
        cells = [
            cell.rjust(wide) if place in right else cell.ljust(wide)
            for place, (cell, wide) in enumerate(zip(row[:-1], widths, strict=True))
        ]
        lead, strong = f" {'  '.join(cells)}  ", ".+" if number in {0, bold} else ""
        _hang(lead, row[-1].split(" "), console, bold=strong, width=width)
