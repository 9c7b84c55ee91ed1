"""The terminal as the reports see it: plain where nobody looks at colours, never a crash over a letter."""

import sys

from rich.console import Console
from rich.table import Table
from rich.text import Text

__all__ = ["heading", "item", "people_console"]


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


def item(words: str, console: Console) -> None:
    """Print one point of a list, wrapped under itself."""
    grid = Table.grid(padding=(0, 1))
    grid.add_column(width=3, justify="right")
    grid.add_column()
    grid.add_row(Text("-"), Text(words))
    console.print(grid)
