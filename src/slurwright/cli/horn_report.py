"""The catalogue as people read it in a terminal."""

from collections.abc import Sequence

from rich.console import Console
from rich.table import Table
from rich.text import Text

from slurwright.cli.console import people_console
from slurwright.horn import Horn

__all__ = ["print_horns"]


def print_horns(horns: Sequence[Horn], *, console: Console | None = None) -> None:
    """Print instruments of the catalogue: id, name, range, how the slides are set, how each is read.

    Args:
        horns: the instruments.
        console: where to; None for standard output.
    """
    console = console or people_console()
    table = Table(box=None, pad_edge=False, padding=(0, 2, 0, 0), header_style="bold")
    for name in ("id", "instrument", "sounding range", "readings"):
        table.add_column(name, overflow="fold")
    for horn in horns:
        low, high = horn.possible
        table.add_row(
            Text(horn.id),
            Text(horn.name),
            Text(f"{low} to {high}"),
            Text(", ".join(reading.id for reading in horn.readings)),
        )
    console.print(table)
    words = "Ranges sound; the first reading is the usual one; in ids, b is B♭ and eb is E♭."
    console.print(Text(f"{len(horns)} instruments. {words}"))
